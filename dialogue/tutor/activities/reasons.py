""" "How do you know?": asked now and then before a step is judged aloud, so that it tells nothing (rules 6 and 10)."""

from dataclasses import replace
from typing import Literal

from dialogue.acts import Describe, Meaning
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Move
from dialogue.algebra.tree import Expression, Product, Quotient, Sum, Term, Unknown, constant, has_unknown
from dialogue.tutor.core.events import Event, EventKind, Outcome, now_and_then
from dialogue.tutor.core.state import Phase, State
from dialogue.verbalising.sayings import Saying

ASKED_ABOUT: frozenset[EventKind] = frozenset(
    {"move closer", "move level", "move one side", "line closer", "line level", "line ends", "line broken"}
)
ASKED_IN: frozenset[Phase] = frozenset({"operations", "first", "move"})
# what may follow a reason in the same breath is credited, never marked: a learner who passes over the question
# and goes on is not held up by it
CREDITED: frozenset[EventKind] = frozenset(
    {"value right", "line kept", "line closer", "line ends", "answer", "verdict right"}
)
CREDITED_MOVES: frozenset[EventKind] = CREDITED | {
    "move closer",
    "move other side",
}  # where a move is asked for
ReasonKind = Literal["inverse", "same operation", "own words"]


def wants_reason(state: State, event: Event) -> bool:
    """Whether to ask before judging: by the seed and the turn alone, never by whether the step is right."""
    asked = event.kind in ASKED_ABOUT and state.phase in ASKED_IN and not state.task.alone
    return asked and now_and_then(state, "reason")


def ask_how(state: State, event: Event) -> Outcome:
    """The step is held until the learner has said how they know."""
    return replace(state, held=event.meaning, back=state.phase), ()


def heard_reason(state: State, event: Event) -> Outcome:
    """The reason is taken as it comes, and the held step then judged; a reason that fails is tried where it fails."""
    if event.kind in {"hint", "stuck", "silence"}:
        return state, (Saying("no reason"),)
    if reason_given(state, event.meaning) == "same operation" and isinstance(state.held, Move):
        return state, (Saying("reason tried", {"other": where_it_fails(state.held, state.letter)}),)
    return state, (Saying("reason taken"),)


def reason_given(state: State, meaning: Meaning | None) -> ReasonKind:
    """How far the reason can be checked: which operation undoes which."""
    held = state.held
    if not isinstance(meaning, Describe) or not isinstance(held, Move) or has_unknown(held.operand):
        return "own words"
    named = {move.operation for move in meaning.operations if linear(move.operand) == linear(held.operand)}
    if INVERSE.get(held.operation) in named:
        return "inverse"
    return "same operation" if held.operation in named else "own words"


def where_it_fails(move: Move, letter: str) -> Equation:
    """An equation on which the same operation would undo nothing: ``x - 3 = 7`` for "because it is minus 3"."""
    unknown: Expression = Unknown(letter)
    operand = move.operand
    match move.operation:
        case "add":
            left: Expression = Sum((Term(1, unknown), Term(1, operand)))
        case "subtract":
            left = Sum((Term(1, unknown), Term(-1, operand)))
        case "multiply":
            left = Product((operand, unknown))
        case _:
            left = Quotient(unknown, operand)
    return Equation(left, constant(linear(operand).constant + 5), letter)
