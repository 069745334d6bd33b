"""A line the learner states: the next line, the result of the move in hand, an answer, or both sides of a check."""

from fractions import Fraction

from dialogue.algebra.cost import comes_closer
from dialogue.algebra.equation import Equation
from dialogue.algebra.judge import Judgement, judge
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line
from dialogue.algebra.refusals import OutOfScope
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Unknown, has_unknown
from dialogue.tutor.due import due_line
from dialogue.tutor.events import Event, Kind
from dialogue.tutor.state import State


def stated(state: State, meaning: Line, line: Equation) -> Event:
    """The event that a stated line is in this state."""
    try:
        line.linear()
    except OutOfScope:
        return Event("unclear", meaning)
    verdict = judge(state.equation, meaning)
    answer = claimed_answer(line)
    if state.phase in {"check left", "check right"} and answer is None and not _mentions(line):
        return _both_values(state, meaning, line)
    if state.phase in {"left", "right", "line"} and (due := due_line(state)) is not None:
        result = _as_result(due, meaning, line, verdict)
        if result is not None:
            return result
    if answer is not None:
        return Event("answer", meaning, meaning, verdict, line, answer)
    return Event(_as_next_line(state, line, verdict), meaning, meaning, verdict, line)


def claimed_answer(line: Equation) -> Fraction | None:
    """The number claimed, where the line is the unknown alone against a number."""
    for side, other in (line.sides(), line.sides()[::-1]):
        if isinstance(side, Unknown) and not has_unknown(other):
            return Fraction(linear(other).constant)
    return None


def _as_next_line(state: State, line: Equation, verdict: Judgement) -> Kind:
    if line == state.equation:
        return "line same"
    if not verdict.balanced:
        return "line broken"
    if is_solved(line) and not _mentions(line):
        return "line ends"
    return "line closer" if verdict.closer or line == state.equation.swapped() else "line level"


def _mentions(line: Equation) -> bool:
    return has_unknown(line.left) or has_unknown(line.right)


def _as_result(due: Equation, meaning: Line, line: Equation, verdict: Judgement) -> Event | None:
    """A line offered as the result of the move in hand, each side checked against that move, in either order.

    None where it is better heard as a step further on: an answer, or a line that is closer still.
    """
    left, right = max((_kept(due, one) for one in (line, line.swapped())), key=sum)
    answer = claimed_answer(line)
    if left and right:
        return Event("line kept", meaning, meaning, verdict, line, answer)
    if verdict.balanced:
        further = verdict.closer and (answer is not None or comes_closer(due, line))
        return None if further else Event("line elsewhere", meaning, meaning, verdict, line)
    if left or right:
        return Event("right wrong" if left else "left wrong", meaning, meaning, verdict, line)
    return None if answer is not None else Event("both wrong", meaning, meaning, verdict, line)


def _kept(due: Equation, line: Equation) -> tuple[bool, bool]:
    (due_left, due_right), (left, right) = due.linear(), line.linear()
    return left == due_left, right == due_right


def _both_values(state: State, meaning: Line, line: Equation) -> Event:
    """``17 = 14`` while an answer is being put in: both values at once, in either order."""
    if state.guess is None:
        return Event("unclear", meaning)
    due = sorted(linear(side).at(state.guess) for side in state.task.equation.sides())
    given = sorted(linear(side).constant for side in line.sides())
    return Event("line kept" if given == due else "both wrong", meaning)
