"""What is made of a turn of which too little was read: an account, a number pointed at, an operation alone, a move that
is named in talk, a line of a game, mathematics that is out of scope, or what of it is sure. The first that applies."""

import re
from collections.abc import Callable
from dataclasses import replace

from dialogue.acts import Act, Ask, Comment, Describe, Interpretation, PartMove, Say, Unclear
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.tree import Unknown, constant
from dialogue.tutor.activities.diagnosis import plain_account
from dialogue.tutor.activities.games import aside
from dialogue.tutor.core.line_in_hand import claimed_answer
from dialogue.tutor.core.state import State
from dialogue.tutor.numbers_said import number_meant, operation_alone, sums_to
from dialogue.tutor.resolve_in_lesson import with_both_sides
from dialogue.tutor.sure_parts import named_beside, sure_parts
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.symbolic import why_refused

Resort = Callable[[State, str, Interpretation], Interpretation | None]

CLAUSE, LONGEST = re.compile(r"[,.;!?]\s|$"), 400  # characters
NOTHING_READ = frozenset({Ask("meaning"), Unclear(), Say("stuck"), Comment("object"), Comment("object", "not heard")})


def last_resort(state: State, text: str, found: Interpretation, typed: bool) -> Interpretation | None:
    """What a turn is taken for in place of what was read of it; None where that is enough."""
    instead = (made for resort in RESORTS if (made := resort(state, text, found)) is not None)
    return next(instead, None) or _where_nothing_is(state, text, found, typed)


def _account(state: State, text: str, found: Interpretation) -> Interpretation | None:
    """Asked for an account, one that is plain from its words."""
    no_step = (isinstance(act, Comment | Unclear) or _is_bare(act) for act in found.acts)
    account = plain_account(text, state.letter) if state.phase == "account" and all(no_step) else None
    return None if account is None else Interpretation((account,), sure=True)


def _nothing_done(state: State, text: str, found: Interpretation) -> Interpretation | None:
    """Asked about an error, that nothing was done."""
    asked = state.phase == "move" and bool(state.last) and state.last[-1].key == "error"
    nothing = asked and not _has_step(found) and plain_account(text, state.letter) == Describe(())
    return Interpretation((Ask("check", "nothing done"),), sure=True) if nothing else None


def _number(state: State, text: str, found: Interpretation) -> Interpretation | None:
    meant = None if _has_step(found) else number_meant(state, text)
    return None if meant is None else Interpretation((meant,), sure=True)


def _operation(state: State, text: str, found: Interpretation) -> Interpretation | None:
    done = operation_alone(state, text) if set(found.acts) <= NOTHING_READ else None
    talk = (act for act in found.acts if isinstance(act, Comment))
    return None if done is None else Interpretation((done, *talk), sure=True)


def _named(state: State, text: str, found: Interpretation) -> Interpretation | None:
    named = None if found.sure else named_beside(state, text, found.acts)
    return None if named is None else replace(found, acts=(named, *found.acts))


def _answer(state: State, text: str, found: Interpretation) -> Interpretation | None:
    """The answer, where a clause says what the unknown is, or a right sum with a number of the line comes to it: taken
    where it is right, whatever else was not followed."""
    if state.phase not in {"operations", "first", "move"} or _has_step(found) or len(text) > LONGEST:
        return None
    clauses = (certain_acts(one.strip(), "equation", state.letter) or () for one in CLAUSE.split(text))
    answer = state.task.equation.solution().value
    told = (act for acts in clauses for act in acts if isinstance(act, Line))
    right = next((act for act in told if claimed_answer(act.equation) == answer is not None), None)
    talk = (act for act in found.acts if isinstance(act, Comment))
    if right is None and answer is not None and answer in sums_to(state, text):
        right = Line(Equation(Unknown(state.letter), constant(answer), state.letter))
    return None if right is None else with_both_sides(state, text, Interpretation((right, *talk), sure=True))


RESORTS: tuple[Resort, ...] = (_account, _nothing_done, _answer, _number, _operation, _named)


def _where_nothing_is(state: State, text: str, found: Interpretation, typed: bool) -> Interpretation | None:
    """Where nothing was read and nothing is to be asked of it."""
    if found.acts != (Unclear(),):
        return None
    act: Act | None = aside(text, state.phase) or (why_refused(text, state.letter) if typed else None)
    if act in {None, Unclear()} and (parts := sure_parts(state, text)) is not None:
        return replace(parts, rivals=found.rivals)
    return None if act is None else Interpretation((act,), sure=not isinstance(act, Unclear))


def _is_bare(act: Act) -> bool:
    """Whether an operation is all that is named, as in "i moved it"."""
    return isinstance(act, PartMove) and act.operand is None


def _has_step(found: Interpretation) -> bool:
    return any(isinstance(act, Move | Line | Describe) for act in found.acts)
