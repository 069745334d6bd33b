"""Solve as a teacher would on the board: one small legal step a line.

The order of work (common practice, no source): collect like terms; clear fractions where there are several;
divide out a bracket where that comes out whole, else multiply it out; remove the smaller unknown term, so that
what survives is positive; undo the constant, then the coefficient.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from dialogue.algebra.equation import Equation
from dialogue.algebra.exact import Exact, over, size
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, Operation, Rewrite, carry_out, carry_out_rewrite
from dialogue.algebra.terms import Addend, collected, parts
from dialogue.algebra.tree import Expression, Negative, Number, Quotient, Unknown, constant, scaled
from dialogue.algebra.writing import BOARD, write

MOST_STEPS = 24  # more than any equation within the reader's bounds has needed


@dataclass(frozen=True, slots=True)
class Worked:
    """A step and the line it gives."""

    step: Move | Rewrite
    equation: Equation


def solve_by_steps(equation: Equation) -> tuple[Worked, ...]:
    """The lines after the first, down to ``x = 4`` (or ``4 = x``), or to a line with no unknown (``1 = 9``)."""
    return tuple(_lines(equation))


def _lines(equation: Equation) -> Iterator[Worked]:
    for _ in range(MOST_STEPS):
        step = next_step(equation)
        if step is None:
            return
        equation = carry_out(step, equation) if isinstance(step, Move) else carry_out_rewrite(step, equation)
        yield Worked(step, equation)


def is_solved(equation: Equation) -> bool:
    """Whether the unknown stands alone against a single number, or has gone from both sides."""
    left, right = equation.sides()
    if isinstance(left, Unknown):
        return is_settled(right)
    if isinstance(right, Unknown):
        return is_settled(left)
    return is_settled(left) and is_settled(right)


def is_settled(side: Expression) -> bool:
    """Whether a side is one number with nothing left to work out: ``-3``, ``0.5``, ``2/3``, not ``6/4``."""
    match side:
        case Negative(body):
            return not isinstance(body, Negative) and is_settled(body)
        case Quotient(Number(top, ""), Number(bottom, "")):
            return bottom not in {0, 1} and (top / bottom).denominator == bottom
        case Number():
            return True
    return False


def next_step(equation: Equation) -> Move | Rewrite | None:
    """What a teacher would do next; None when nothing is left to do."""
    if is_solved(equation):
        return None
    left, right = parts(equation.left), parts(equation.right)
    clear = _clear_fractions(equation, left, right)
    if clear is None and (_collectable(left) or _collectable(right)):
        return Rewrite("collect")
    return (
        clear
        or _open_bracket(left, right, equation.decimals)
        or _open_bracket(right, left, equation.decimals)
        or _gather(equation, left, right)
        or _undo(equation, left)
        or _undo(equation, right)
        or Rewrite("simplify")
    )


def _collectable(found: list[Addend]) -> bool:
    """Whether two terms of a side can be added up, or a term comes to nothing."""
    return len(found) > max(len(collected(found)), 1) or any(
        (part.coefficient == 0 and not part.is_constant) or (part.is_bracket and part.coefficient == 1)
        for part in found
    )


def _clear_fractions(equation: Equation, left: list[Addend], right: list[Addend]) -> Move | None:
    """Multiply through where fractions would be carried along: several of them, or one over a bracket."""
    if equation.decimals:
        return None
    everything = [*left, *right]
    below = [part.coefficient.denominator for part in everything if part.coefficient.denominator != 1]
    if not below:
        return None
    unknowns = [part for part in everything if not part.is_constant]
    fractional = [part for part in unknowns if part.coefficient.denominator != 1]
    over_bracket = any(part.is_bracket for part in fractional)
    alone = len(everything) == 2 and len(unknowns) == 1
    if not over_bracket and (_coefficient(left) - _coefficient(right)).denominator == 1:
        return None
    if over_bracket and alone and abs(fractional[0].coefficient.numerator) == 1:
        return _by("multiply", over(1, fractional[0].coefficient))
    if fractional and (over_bracket or (len(below) > 1 and not alone)):
        return _by("multiply", lcm(*below))
    return None


def _open_bracket(side: list[Addend], other: list[Addend], decimals: bool) -> Move | Rewrite | None:
    if not any(part.is_bracket for part in side):
        return None
    if len(side) == 1 and all(part.is_constant for part in other):
        outside = side[0].coefficient
        against = other[0].coefficient
        if outside != -1 and over(against, outside).denominator == 1:
            return _by("divide", outside, decimals)
    return Rewrite("expand")


def _gather(equation: Equation, left: list[Addend], right: list[Addend]) -> Move | None:
    """Remove the smaller unknown term (-3 is smaller than 2), or a subtracted unknown that has a number beside it."""
    on_left, on_right = _coefficient(left), _coefficient(right)
    if on_left and on_right:
        return _take_away(equation, min(on_left, on_right))
    coefficient, side = (on_left, left) if on_left else (on_right, right)
    if coefficient < 0 and len(side) > 1:
        return _take_away(equation, coefficient)
    return None


def _coefficient(side: list[Addend]) -> Exact:
    return sum(part.coefficient for part in side if part.is_unknown)


def _take_away(equation: Equation, coefficient: Exact) -> Move:
    operation: Operation = "subtract" if coefficient > 0 else "add"
    return Move(operation, scaled(size(coefficient), Unknown(equation.letter), equation.decimals))


def _undo(equation: Equation, side: list[Addend]) -> Move | None:
    """Undo the constant on the unknown's side, then the coefficient."""
    coefficient = _coefficient(side)
    if not coefficient:
        return None
    number = sum(part.coefficient for part in side if part.is_constant)
    if number:
        operation: Operation = "subtract" if number > 0 else "add"
        return Move(operation, constant(size(number), equation.decimals))
    if coefficient == 1:
        return None
    if coefficient.denominator != 1 and not equation.decimals:
        sign = -1 if coefficient.numerator == -1 else 1
        return _by("multiply", Fraction(sign * coefficient.denominator))
    return _by("divide", coefficient, equation.decimals)


def _by(operation: Operation, factor: Exact, decimals: bool = False) -> Move:
    return Move(operation, constant(factor, decimals))


JOINS = {
    "add": ("Add", "to"),
    "subtract": ("Subtract", "from"),
    "multiply": ("Multiply", "by"),
    "divide": ("Divide", "by"),
}
REWRITES = {
    "expand": "Multiply out the bracket.",
    "collect": "Collect like terms.",
    "swap": "Swap the sides.",
    "simplify": "Simplify each side.",
}


def in_words(step: Move | Rewrite) -> str:
    """The step as a teacher notes it: ``Subtract 3 from both sides.``"""
    if isinstance(step, Rewrite):
        return REWRITES[step.how]
    verb, join = JOINS[step.operation]
    operand = write(step.operand, BOARD)
    if step.operation in {"add", "subtract"}:
        return f"{verb} {operand} {join} both sides."
    return f"{verb} both sides {join} {operand}."


def value_at(side: Expression, value: Fraction) -> Fraction:
    """What a side comes to when the unknown is ``value``."""
    return linear(side).at(value)
