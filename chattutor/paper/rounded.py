"""Whether a number on paper is a rounded one."""

from collections.abc import Sequence
from fractions import Fraction

from chattutor.paper.notation import DECIMALS
from dialogue.algebra.equation import Equation
from dialogue.algebra.solver import is_solved, value_at
from dialogue.algebra.tree import Number


def near(piece: str, left: Fraction | int, right: Fraction | int) -> bool:
    """Whether one of two values is the other, rounded to the decimals that are written."""
    decimals = DECIMALS.findall(piece)
    return bool(decimals) and any(
        close(Fraction(one), Fraction(other), len(decimals[-1])) for one, other in ((left, right), (right, left))
    )


def close(exact: Fraction, value: Fraction, places: int) -> bool:
    """Whether a value is the exact one rounded or cut to so many decimals."""
    unit = Fraction(1, 10**places)
    return abs(exact - value) <= unit / 2 or (abs(value) <= abs(exact) and abs(exact - value) < unit)


def fits_rounded(stated: Equation, exact: Fraction, decimals: Sequence[str]) -> bool:
    """Whether an equation holds for its line's exact answer but for the rounding of its one decimal."""
    if is_solved(stated):
        return close(exact, stated.solution().value or Fraction(0), len(decimals[-1]))
    left, right = (value_at(side, exact) for side in stated.sides())
    alone = [side for side in stated.sides() if isinstance(side, Number)]
    return len(decimals) == 1 and len(alone) == 1 and close(left, right, len(decimals[0]))
