"""What a learner can see of a step that breaks: both lines tried with a number, or side by side; never a verdict
alone."""

from dataclasses import dataclass, replace

from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Line, Move, as_written
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, constant, has_unknown
from dialogue.tutor.core.events import Stated, Valued
from dialogue.tutor.core.mistakes import NO_MODEL, about, trial_number
from dialogue.tutor.core.questions import due_line
from dialogue.tutor.core.state import Failed, State
from dialogue.verbalising.sayings import Saying

MOST = 100  # a number that is tried is whole and no larger, so that it can be checked in the head


@dataclass(frozen=True, slots=True)
class Broken:
    """A line that does not follow, and what it was to follow from."""

    before: Equation
    stated: Equation


def evidence(broken: Broken) -> Saying:
    """The number for which the new line is true and the one before is not, where a child can check it; else the two
    lines side by side. The number is never the answer, for the lines do not have the same one."""
    found = broken.stated.solution()
    values = {"line": broken.stated, "before": broken.before}
    if found.value is not None and found.value.denominator == 1 and 0 <= found.value <= MOST:
        return Saying("evidence number", {**values, "trial": found.value})
    return Saying("evidence lines", values)


def aimed(before: State, state: State, event: Stated | Valued) -> tuple[State, Saying]:
    """What to say of a wrong result of the move in hand: the question of the error that explains it; else the sum, and
    the second time, where the unknown is still there, the side tried with a number."""
    due = due_line(before)
    if due is None:
        return state, Saying("check arithmetic")
    claimed = event.step.equation if isinstance(event, Stated) else _with_value(before, due, event.value)
    errors = _errors(before, claimed)
    state = replace(state, failed=Failed(before.equation, claimed, before.pending))
    known = bool(errors) and error_table()[errors[0]].idea not in NO_MODEL
    if known and state.tries == 1:
        return about(state, errors)
    state, _ = about(state, errors)
    return state, _worked(before, state, due, claimed)


def _with_value(state: State, due: Equation, value: Expression) -> Equation:
    if state.phase == "right":
        return Equation(due.left, value, due.letter)
    return Equation(value, due.right, due.letter)


def _errors(state: State, claimed: Equation) -> tuple[str, ...]:
    try:
        return tuple(found.error for found in explain(state.equation, Line(claimed)))
    except Refusal:
        return ()


def _worked(before: State, state: State, due: Equation, claimed: Equation) -> Saying:
    if not isinstance(state.pending, Move):
        return Saying("check the line")
    right = state.phase == "right"
    side, was, said = (
        (due.right, before.equation.right, claimed.right) if right else (due.left, before.equation.left, claimed.left)
    )
    name = "right" if right else "left"
    if state.tries > 1 and has_unknown(side):
        trial = trial_number(before.equation)
        numbers = {"trial": trial, "value": constant(value_at(was, trial)), "after": constant(value_at(side, trial))}
        claim = constant(value_at(said, trial))
        return Saying("try result", {**numbers, "sum": was, "move": state.pending, "one": said, "two": claim})
    if state.tries > 1:
        return Saying("look at the sum", {"side": name, "sum": as_written(state.pending, was)})
    return Saying("check arithmetic", {"side": name})


def shown_again(state: State) -> Saying | None:
    """The evidence against the last line that did not follow, for whoever asks why."""
    failed = state.failed
    if failed is None:
        return None
    if failed.stated.solution() != failed.before.solution():
        return evidence(Broken(failed.before, failed.stated))
    if isinstance(failed.move, Move):
        return Saying("claim fails", {"line": failed.stated, "before": failed.before, "move": failed.move})
    return None
