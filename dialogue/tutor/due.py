"""What the question in hand has as its right answer: a side, a line, a value."""

from dialogue.algebra.cost import untidy
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, carry_out, carry_out_rewrite
from dialogue.algebra.tree import Expression, Number, Quotient, constant
from dialogue.tutor.state import State


def due_line(state: State) -> Equation | None:
    """The line that the pending move or rewrite makes; None where none is pending."""
    if state.pending is None:
        return None
    if isinstance(state.pending, Move):
        return carry_out(state.pending, state.equation)
    return carry_out_rewrite(state.pending, state.equation)


def due_value(state: State) -> Expression | None:
    """What the question in hand asks to be worked out, where it asks for a value."""
    line = due_line(state)
    if line is not None and state.phase in {"left", "right", "line"}:
        return line.right if state.phase == "right" else line.left
    if state.phase in {"check left", "check right"}:
        assert state.guess is not None
        side = state.task.equation.left if state.phase == "check left" else state.task.equation.right
        return constant(linear(side).at(state.guess))
    return None


def is_unworked(value: Expression, due: Expression) -> bool:
    """Whether a right value is still a sum to be worked out (``14 - 2``); a fraction such as 14/6 may stand."""
    if isinstance(value, Quotient) and isinstance(value.top, Number) and isinstance(value.bottom, Number):
        return bool(value.bottom.value) and (value.top.value / value.bottom.value).denominator == 1
    return untidy(value) > untidy(due)
