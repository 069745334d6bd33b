""" "How do you know?": asked rarely, before a step is judged aloud, so that it gives nothing away (rules 6 and 10)."""

import re
from dataclasses import replace
from typing import Literal

from dialogue.acts import Act, Describe, Work
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Line, Move
from dialogue.algebra.tree import Expression, Product, Quotient, SignedTerm, Sum, Unknown, constant, has_unknown
from dialogue.tutor.core.events import Event, EventKind, Outcome, Unsure, now_and_then
from dialogue.tutor.core.state import Phase, State
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.verbalising.sayings import Saying

ASKED_ABOUT: frozenset[EventKind] = frozenset(
    {"move closer", "move level", "move one side", "line closer", "line level", "line ends", "line broken"}
)
REASON = re.compile(
    r"\b(?:because|becuase|becos|cos|coz|cuz|since|so that|opposite|inverse|undo(?:es|ing)?|cancels?)\b"
)
ASKED_IN: frozenset[Phase] = frozenset({"operations", "first", "move"})
REASON_ONE_IN = 8  # how rarely (a choice)
# what may follow a reason in the same breath is credited, never marked: a learner who passes over the question
# and goes on is not held up by it
CREDITED: frozenset[EventKind] = frozenset(
    {
        "value right",
        "move closer",
        "line kept",
        "line closer",
        "line ends",
        "answer",
        "verdict right",
        "move further",
        "move other side",
    }
)
ReasonKind = Literal["inverse", "same operation", "own words"]


def wants_reason(state: State, event: Event) -> bool:
    """Whether to ask before judging: by the seed and the turn alone, never by whether the step is right; not of
    somebody who asked to be left to it, nor twice on one line."""
    asked = event.kind in ASKED_ABOUT and state.phase in ASKED_IN and not state.task.alone and not state.leads
    return asked and now_and_then(state, "reason", REASON_ONE_IN)


def tells_why(text: str) -> bool:
    """Whether a turn has its reason in it, read or not: a word that gives one, or two operations named."""
    return REASON.search(text.lower()) is not None or len(set(operations_named(re.sub(r"\d", " ", text)))) > 1


def ask_how(state: State, event: Unsure) -> Outcome:
    """The step is held until the learner has said how they know."""
    return replace(state, held=event.acts, rivals=(), back=state.phase, phase="reason"), ()


def heard_reason(state: State, event: Event) -> Outcome:
    """The reason is taken as it comes, and the held step then judged; a reason that fails is tried where it fails, and
    one that names the inverse is named. Who goes on with the next line instead is judged on that, after the step."""
    line = event.act if isinstance(event.act, Line) and event.act != Line(state.equation) else None
    if line is not None and any(map(has_unknown, line.equation.sides())):
        return replace(state, phase=state.back, held=(), then=(*state.held, line)), ()
    after = replace(state, phase=state.back, held=(), then=state.held)
    if event.kind in {"hint", "stuck", "silence"}:
        return after, (Saying("no reason"),)
    if isinstance(event, Unsure):
        return after, ()
    if event.act is not None:
        after = replace(after, if_right=(event.act,))
    given = reason_given(state, event.act)
    held = state.held[0] if state.held else None
    if given == "same operation" and isinstance(held, Move):
        return after, (Saying("reason tried", {"other": where_it_fails(held, state.letter)}),)
    if given == "inverse":
        return after, (Saying("reason inverse"),)
    return after, (Saying("reason sum"),) if isinstance(event.act, Work) else ()


def reason_given(state: State, act: Act | None) -> ReasonKind:
    """How far the reason can be checked: which operation undoes which."""
    held = state.held[0] if state.held else None
    if not isinstance(act, Describe) or not isinstance(held, Move) or has_unknown(held.operand):
        return "own words"
    named = {done.action for done in act.operations if linear(done.operand) == linear(held.operand)}
    if INVERSE.get(held.operation) in named:
        return "inverse"
    return "same operation" if held.operation in named else "own words"


def where_it_fails(move: Move, letter: str) -> Equation:
    """An equation on which the same operation would undo nothing: ``x - 3 = 7`` for "because it is minus 3"."""
    unknown: Expression = Unknown(letter)
    operand = move.operand
    match move.operation:
        case "add":
            left: Expression = Sum((SignedTerm(1, unknown), SignedTerm(1, operand)))
        case "subtract":
            left = Sum((SignedTerm(1, unknown), SignedTerm(-1, operand)))
        case "multiply":
            left = Product((operand, unknown))
        case _:
            left = Quotient(unknown, operand)
    return Equation(left, constant(linear(operand).constant + 5), letter)
