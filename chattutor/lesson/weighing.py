"""What a balance holds, and which way it tips: a picture of equality, gone where it cannot be one.

A weight cannot be below nothing, so the picture ends with the first negative number or term (Filloy and Rojano 1989,
For the Learning of Mathematics 9(2): concrete models hinder where terms or solutions are negative).
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, on_side
from dialogue.algebra.tree import Expression, Negative, Sum, walk

Lower: TypeAlias = Literal["neither", "left", "right"]

GONE = "No picture here: a balance cannot hold less than nothing. Both sides are equal all the same."
UNDRAWN = "Not level: only the {side} side was changed."
HEAVIER = "Not level: the {side} side is heavier now."


@dataclass(frozen=True, slots=True)
class Weighed:
    """What lies on each pan, and the lower one; ``words`` say what a picture would leave unsaid (empty when level).

    Where ``drawable`` is false only the words can be given.
    """

    left: Expression
    right: Expression
    lower: Lower = "neither"
    words: str = ""
    drawable: bool = True


def can_be_weighed(equation: Equation) -> bool:
    """Whether every term and the solution are at least zero."""
    value = equation.solution().value
    return not any(map(_has_minus, equation.sides())) and (value is None or value >= 0)


def weighed(equation: Equation, one_sided: Move | None = None) -> Weighed:
    """The equation on a balance, tipped by a move that was made on one side alone."""
    if one_sided is None or one_sided.sides not in {"left", "right"}:
        drawable = can_be_weighed(equation)
        return Weighed(equation.left, equation.right, words="" if drawable else GONE, drawable=drawable)
    side: Lower = "left" if one_sided.sides == "left" else "right"
    changed = _side(equation, one_sided)
    left, right = (changed, equation.right) if side == "left" else (equation.left, changed)
    lower = _heavier(left, right, equation.solution().value)
    if lower == "neither":
        return Weighed(left, right, drawable=False)
    if not can_be_weighed(equation) or _has_minus(changed):
        return Weighed(left, right, lower, UNDRAWN.format(side=side), False)
    return Weighed(left, right, lower, HEAVIER.format(side=lower))


def _has_minus(side: Expression) -> bool:
    return any(
        isinstance(piece, Negative) or (isinstance(piece, Sum) and any(term.sign < 0 for term in piece.terms))
        for piece in walk(side)
    )


def _side(equation: Equation, move: Move) -> Expression:
    side = equation.left if move.sides == "left" else equation.right
    return on_side(move, side, equation.decimals)


def _heavier(left: Expression, right: Expression, value: Fraction | None) -> Lower:
    at = value if value is not None else Fraction(1)
    one, other = linear(left).at(at), linear(right).at(at)
    if one == other:
        return "neither"
    return "left" if one > other else "right"
