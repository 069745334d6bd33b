"""The exact value of an expression: ``coefficient`` lots of the unknown plus ``constant``.

This is the fast half of judging; ``with_sympy`` is the judge it is checked against.
"""

from dataclasses import dataclass
from fractions import Fraction

from dialogue.algebra.refusals import DivisionByZero, NotLinear, UnknownBelow
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown


@dataclass(frozen=True, slots=True)
class Linear:
    """``coefficient * unknown + constant``, exactly."""

    coefficient: Fraction
    constant: Fraction

    def __add__(self, other: "Linear") -> "Linear":
        return Linear(self.coefficient + other.coefficient, self.constant + other.constant)

    def __sub__(self, other: "Linear") -> "Linear":
        return Linear(self.coefficient - other.coefficient, self.constant - other.constant)

    def __mul__(self, factor: Fraction) -> "Linear":
        return Linear(self.coefficient * factor, self.constant * factor)

    def at(self, value: Fraction) -> Fraction:
        """The value when the unknown is ``value``."""
        return self.coefficient * value + self.constant


ZERO, ONE = Fraction(0), Fraction(1)


def linear(expression: Expression) -> Linear:
    """The exact linear form. Raises NotLinear, UnknownBelow or DivisionByZero."""
    match expression:
        case Number(value, _):
            return Linear(ZERO, value)
        case Unknown():
            return Linear(ONE, ZERO)
        case Negative(body):
            inner = linear(body)
            return Linear(-inner.coefficient, -inner.constant)
        case Sum(terms):
            coefficient = constant = ZERO
            for term in terms:
                part = linear(term.body)
                coefficient += part.coefficient * term.sign
                constant += part.constant * term.sign
            return Linear(coefficient, constant)
        case Product(factors):
            product = Linear(ZERO, ONE)
            for factor in factors:
                product = _product(product, linear(factor))
            return product
        case Quotient(top, bottom):
            below = linear(bottom)
            if below.coefficient:
                raise UnknownBelow()
            if not below.constant:
                raise DivisionByZero()
            above = linear(top)
            return Linear(above.coefficient / below.constant, above.constant / below.constant)


def _product(left: Linear, right: Linear) -> Linear:
    if left.coefficient and right.coefficient:
        raise NotLinear()
    if right.coefficient:
        left, right = right, left
    return left * right.constant
