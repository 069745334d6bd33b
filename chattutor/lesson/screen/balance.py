"""A balance drawn in text: level, or with one pan lower; a picture of equality, gone where it cannot be one.

A weight cannot be below nothing, so the picture ends with the first negative number or term (Filloy and Rojano 1989,
For the Learning of Mathematics 9(2): concrete models hinder where terms or solutions are negative).
"""

from fractions import Fraction
from typing import Literal, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, on_side
from dialogue.algebra.tree import Expression, Negative, Sum, walk
from dialogue.algebra.writing import BOARD, write

Lower: TypeAlias = Literal["neither", "left", "right"]

GONE = "(No picture here: a balance cannot hold less than nothing. Both sides are equal all the same.)"
UNDRAWN = "    Not level: only the {side} side was changed."
NARROWEST = 44  # columns below which the drawing is left out


def can_be_weighed(equation: Equation) -> bool:
    """Whether every term and the solution are at least zero."""
    value = equation.solution().value
    return not any(map(_has_minus, equation.sides())) and (value is None or value >= 0)


def drawn(equation: Equation, width: int, one_sided: Move | None = None) -> list[str]:
    """The balance holding the equation, tilted by a one-sided move; words alone where it cannot be drawn."""
    if one_sided is None or one_sided.sides not in {"left", "right"}:
        return _level(equation, width)
    side: Lower = "left" if one_sided.sides == "left" else "right"
    changed = _side(equation, one_sided)
    left, right = (changed, equation.right) if side == "left" else (equation.left, changed)
    value = equation.solution().value
    lower = _heavier(left, right, value)
    if not can_be_weighed(equation) or _has_minus(changed) or lower == "neither":
        return [] if lower == "neither" else [UNDRAWN.format(side=side)]
    picture = _fitted(left, right, width, lower)
    return [*picture, *([""] if picture else []), _in_words(lower)]


def _level(equation: Equation, width: int) -> list[str]:
    if not can_be_weighed(equation):
        return [GONE]
    return _fitted(equation.left, equation.right, width, "neither")


def _fitted(left: Expression, right: Expression, width: int, lower: Lower) -> list[str]:
    """The picture, or nothing where it does not fit."""
    one, other = write(left, BOARD), write(right, BOARD)
    pan = max(len(one), len(other), 7) + 4
    return [] if width < max(NARROWEST, 2 * pan + 12) else _picture(one, other, pan, lower)


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


def _in_words(lower: Lower) -> str:
    return f"    Not level: the {lower} side is heavier now."


def _picture(one: str, other: str, pan: int, lower: Lower) -> list[str]:
    """Two pans on a beam; the lower pan hangs two lines further down."""
    plate, gap = "═" * pan, 8
    first, second = f"{one:^{pan}}", f"{other:^{pan}}"
    middle, centre = pan + gap // 2, pan // 2
    arm = middle - centre - 1
    if lower == "neither":
        beam = f"{'':{centre}}└{'─' * arm}┬{'─' * arm}┘"
        lines = [f"{first}{'':{gap}}{second}", f"{plate}{'':{gap}}{plate}", beam, f"{'':{middle}}▲"]
    else:
        high_first = lower == "right"
        high = f"{first}" if high_first else f"{'':{pan + gap}}{second}"
        low = f"{'':{pan + gap}}{second}" if high_first else f"{first}"
        high_plate = plate if high_first else f"{'':{pan + gap}}{plate}"
        low_plate = f"{'':{pan + gap}}{plate}" if high_first else plate
        if high_first:
            join = f"{'':{centre}}└{'─' * arm}┐"
            low = f"{'':{middle}}│{low[middle + 1 :]}"
            low_plate = f"{'':{middle}}│{low_plate[middle + 1 :]}"
            foot = f"{'':{middle}}├{'─' * arm}┘"
        else:
            join = f"{'':{middle}}┌{'─' * arm}┘"
            low = f"{low:<{middle}}│"
            low_plate = f"{low_plate:<{middle}}│"
            foot = f"{'':{centre}}└{'─' * arm}┤"
        lines = [high, high_plate, join, low, low_plate, foot, f"{'':{middle}}▲"]
    return [f"    {line}".rstrip() for line in lines]
