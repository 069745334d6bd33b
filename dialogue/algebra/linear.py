"""The exact value of an expression: ``coefficient`` lots of the unknown plus ``constant``.

This is the fast half of judging; ``with_sympy`` is the judge it is checked against.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from dialogue.algebra.exact import Exact, over
from dialogue.algebra.refusals import DivisionByZero, NotLinear, UnknownBelow
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown


@dataclass(frozen=True, slots=True)
class Linear:
    """``coefficient * unknown + constant``, exactly."""

    coefficient: Exact
    constant: Exact

    def __sub__(self, other: "Linear") -> "Linear":
        return Linear(self.coefficient - other.coefficient, self.constant - other.constant)

    def __mul__(self, factor: Exact) -> "Linear":
        return Linear(self.coefficient * factor, self.constant * factor)

    def at(self, value: Fraction) -> Fraction:
        """The value when the unknown is ``value``."""
        return self.coefficient * value + Fraction(self.constant)


Scaled: TypeAlias = tuple[int, int, int]  # lots of the unknown and the constant, both over the third


def linear(expression: Expression) -> Linear:
    """The exact linear form. Raises NotLinear, UnknownBelow or DivisionByZero."""
    unknowns, numbers, below = _whole(expression)
    return Linear(unknowns, numbers) if below == 1 else Linear(over(unknowns, below), over(numbers, below))


def _whole(expression: Expression) -> Scaled:
    """The linear form in whole numbers, which are several times faster than fractions at every node of a tree."""
    match expression:
        case Number(value, _):
            return 0, value.numerator, value.denominator
        case Unknown():
            return 1, 0, 1
        case Sum(terms):
            unknowns, numbers, below = 0, 0, 1
            for term in terms:
                more, constant, over = _whole(term.body)
                if over != below:
                    unknowns, numbers = unknowns * over, numbers * over
                    more, constant, below = more * below, constant * below, below * over
                unknowns, numbers = unknowns + term.sign * more, numbers + term.sign * constant
            return unknowns, numbers, below
        case Product(factors):
            product = 0, 1, 1
            for factor in factors:
                product = _product(product, _whole(factor))
            return product
        case Quotient(top, bottom):
            above, below_line = _whole(top), _whole(bottom)
            if below_line[0]:
                raise UnknownBelow()
            if not below_line[1]:
                raise DivisionByZero()
            return _scaled(above, below_line[2], below_line[1])
        case Negative(body):
            return _scaled(_whole(body), -1, 1)


def _product(one: Scaled, other: Scaled) -> Scaled:
    if one[0] and other[0]:
        raise NotLinear()
    if other[0]:
        one, other = other, one
    return _scaled(one, other[1], other[2])


def _scaled(form: Scaled, top: int, bottom: int) -> Scaled:
    return form[0] * top, form[1] * top, form[2] * bottom
