"""A form of equation, ``a*x + b = c``, read once and filled with numbers many times.

The numbers' letters are read as placeholder numbers, so that one reader reads everything.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import prod

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.exact import Exact, exact, over
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Term, Unknown, constant

NUMBERS = "abcdes"  # s: the answer, written as a number
PLACEHOLDER = {letter: Number(Fraction(900_001 + index)) for index, letter in enumerate(NUMBERS)}
LETTER_OF = {number.value.numerator: letter for letter, number in PLACEHOLDER.items()}
PLACE = re.compile(r"\b[abcdes]\b")


@dataclass(frozen=True, slots=True)
class Form:
    """An equation with placeholders for its numbers."""

    pattern: Equation

    def equation(self, numbers: Mapping[str, Fraction], letter: str) -> Equation:
        """The equation with these numbers and this letter for the unknown."""
        filling = {name: constant(value) for name, value in numbers.items()}
        if "x" in numbers:
            filling["s"] = filling["x"]
        filling["x"] = Unknown(letter)
        return Equation(_filled(self.pattern.left, filling), _filled(self.pattern.right, filling), letter)

    def missing(self, name: str, numbers: Mapping[str, Fraction]) -> Fraction | None:
        """The one number that makes the equation true with the others (``x`` is the answer); None if there is none.

        The two sides differ by ``u*name + v``, for no form divides by the number that is found: so two values of it
        tell ``u`` and ``v``.
        """
        known: dict[str, Exact] = {each: exact(value) for each, value in numbers.items()}
        known["s"] = known.get("x", 0)
        at_none, at_one = (self._difference({**known, name: value}) for value in (0, 1))
        return None if at_one == at_none else Fraction(-at_none, at_one - at_none)

    def _difference(self, numbers: Mapping[str, Exact]) -> Exact:
        return _value(self.pattern.left, numbers) - _value(self.pattern.right, numbers)


@cache
def form(text: str) -> Form:
    """The form written as ``text``."""
    return Form(read_equation(PLACE.sub(lambda match: str(PLACEHOLDER[match.group()].value), text), "x"))


def _value(expression: Expression, numbers: Mapping[str, Exact]) -> Exact:
    match expression:
        case Number(value):
            letter = LETTER_OF.get(value.numerator)
            return exact(value) if letter is None else numbers[letter]
        case Unknown():
            return numbers["x"]
        case Negative(body):
            return -_value(body, numbers)
        case Sum(terms):
            return sum(term.sign * _value(term.body, numbers) for term in terms)
        case Product(factors):
            return prod(_value(factor, numbers) for factor in factors)
        case Quotient(top, bottom):
            return over(_value(top, numbers), _value(bottom, numbers))


def _filled(expression: Expression, filling: Mapping[str, Expression]) -> Expression:
    match expression:
        case Number():
            letter = LETTER_OF.get(expression.value.numerator)
            return expression if letter is None else filling[letter]
        case Unknown():
            return filling["x"]
        case Negative(body):
            return Negative(_filled(body, filling))
        case Sum(terms):
            return Sum(tuple(Term(term.sign, _filled(term.body, filling)) for term in terms))
        case Product(factors):
            return Product(tuple(_filled(factor, filling) for factor in factors))
        case Quotient(top, bottom):
            return Quotient(_filled(top, filling), _filled(bottom, filling))
