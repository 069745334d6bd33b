"""Numbers as a learner writes them: decimals where the equation has them, a mixed number for whoever says "6 1/2"."""

from fractions import Fraction
from typing import cast

from dialogue.algebra.equation import Equation
from dialogue.algebra.tree import Expression, Negative, Number, Quotient, constant, mixed_number
from dialogue.verbalising.sayings import Filling


def as_mixed(value: Filling) -> Filling:
    """A number past one as a mixed number, for whoever writes them so."""
    return mixed_number(value) if isinstance(value, Fraction) else value


def as_decimals(value: Filling) -> Filling:
    """A number as decimals where it has an end: what is said of an equation with decimals has them throughout."""
    match value:
        case Fraction():
            return constant(value, decimals=True)
        case Equation(left, right, letter):
            return Equation(_decimal_side(left), _decimal_side(right), letter)
        case Quotient(Number(top, ""), Number(bottom, "")) if bottom:
            return constant(top / bottom, decimals=True)
        case Negative(Quotient(Number(top, ""), Number(bottom, ""))) if bottom:
            return constant(-top / bottom, decimals=True)
    return value


def _decimal_side(side: Expression) -> Expression:
    return cast(Expression, as_decimals(side))
