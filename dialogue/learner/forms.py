"""A form of equation, ``a*x + b = c``, read once and filled with numbers many times.

The numbers' letters are read as placeholder numbers, so that one reader reads everything.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from math import prod
from typing import TypeAlias

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.exact import Exact, exact, over
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, SignedTerm, Sum, Unknown, constant

NUMBERS = "abcdes"  # s: the answer, written as a number
PLACEHOLDER = {letter: Number(Fraction(900_001 + index)) for index, letter in enumerate(NUMBERS)}
LETTER_OF = {number.value.numerator: letter for letter, number in PLACEHOLDER.items()}
PLACE = re.compile(r"\b[abcdes]\b")

SideValue: TypeAlias = Callable[[Mapping[str, Exact]], Exact]  # of a side, from the numbers and ``x``, the answer
Filled: TypeAlias = Callable[[Mapping[str, Expression]], Expression]


@dataclass(frozen=True)
class Form:
    """An equation with placeholders for its numbers."""

    pattern: Equation

    def equation(self, numbers: Mapping[str, Exact], letter: str) -> Equation:
        """The equation with these numbers and this letter for the unknown."""
        filling: dict[str, Expression] = {name: _constant(value) for name, value in numbers.items()}
        if "x" in numbers:
            filling["s"] = filling["x"]
        filling["x"] = Unknown(letter)
        left, right = self._filled
        return Equation(left(filling), right(filling), letter)

    def missing(self, name: str, numbers: Mapping[str, Exact]) -> Exact | None:
        """The one number that makes the equation true with the others (``x`` is the answer); None if there is none.

        The two sides differ by ``u*name + v``, for no form divides by the number that is found: so two values of it
        tell ``u`` and ``v``.
        """
        known: dict[str, Exact] = {**numbers, "s": numbers.get("x", 0)}
        left, right = self._values
        known[name] = 0
        at_none = left(known) - right(known)
        known[name] = 1
        at_one = left(known) - right(known)
        return None if at_one == at_none else over(-at_none, at_one - at_none)

    def numbers(self, equation: Equation) -> dict[str, Fraction] | None:
        """The numbers of an equation of this form, by their letters; None for an equation of another form."""
        numbers: dict[str, Fraction] = {}
        sides = zip(self.pattern.sides(), equation.sides(), strict=True)
        return numbers if all(_matched(one, other, numbers) for one, other in sides) else None

    @cached_property
    def _values(self) -> tuple[SideValue, SideValue]:
        return _value(self.pattern.left), _value(self.pattern.right)

    @cached_property
    def _filled(self) -> tuple[Filled, Filled]:
        return _filling(self.pattern.left), _filling(self.pattern.right)


@cache
def form(text: str) -> Form:
    """The form written as ``text``."""
    return Form(read_equation(PLACE.sub(lambda match: str(PLACEHOLDER[match.group()].value), text), "x"))


def _matched(pattern: Expression, expression: Expression, numbers: dict[str, Fraction]) -> bool:
    """Whether an expression has the pattern's form; the numbers in the places of its letters are noted."""
    match pattern, expression:
        case Number(place), Number(value) if place.numerator in LETTER_OF:
            return numbers.setdefault(LETTER_OF[place.numerator], value) == value
        case Unknown(), Unknown():
            return True
        case Number(place), Negative(Number(value)) if place.numerator in LETTER_OF:
            return numbers.setdefault(LETTER_OF[place.numerator], -value) == -value
        case Negative(one), Negative(other):
            return _matched(one, other, numbers)
        case Sum(some), Sum(others) if [term.sign for term in some] == [term.sign for term in others]:
            return all(_matched(one.body, two.body, numbers) for one, two in zip(some, others, strict=True))
        case Product(some), Product(others) if len(some) == len(others):
            return all(_matched(one, other, numbers) for one, other in zip(some, others, strict=True))
        case Quotient(top, bottom), Quotient(other, below):
            return _matched(top, other, numbers) and _matched(bottom, below, numbers)
    return pattern == expression


@lru_cache(maxsize=4096)  # the same numbers come again and again
def _constant(value: Exact) -> Expression:
    return constant(value)


def _value(expression: Expression) -> SideValue:
    """How an expression is worked out: made once for a form, used for every choice of its numbers."""
    match expression:
        case Number(value):
            letter, fixed = LETTER_OF.get(value.numerator), exact(value)
            return (lambda numbers: fixed) if letter is None else (lambda numbers: numbers[letter])
        case Unknown():
            return lambda numbers: numbers["x"]
        case Negative(body):
            inside = _value(body)
            return lambda numbers: -inside(numbers)
        case Sum(terms):
            signed = [(term.sign, _value(term.body)) for term in terms]
            return lambda numbers: sum([sign * each(numbers) for sign, each in signed])
        case Product(factors):
            each_factor = [_value(factor) for factor in factors]
            return lambda numbers: prod([each(numbers) for each in each_factor])
        case Quotient(top, bottom):
            above, below = _value(top), _value(bottom)
            return lambda numbers: over(above(numbers), below(numbers))


def _filling(expression: Expression) -> Filled:
    """How an expression is written with other numbers; as ``_value``."""
    match expression:
        case Number():
            letter = LETTER_OF.get(expression.value.numerator)
            return (lambda filling: expression) if letter is None else (lambda filling: filling[letter])
        case Unknown():
            return lambda filling: filling["x"]
        case Negative(body):
            inside = _filling(body)
            return lambda filling: Negative(inside(filling))
        case Sum(terms):
            signed = [(term.sign, _filling(term.body)) for term in terms]
            return lambda filling: Sum(tuple([SignedTerm(sign, each(filling)) for sign, each in signed]))
        case Product(factors):
            each_factor = [_filling(factor) for factor in factors]
            return lambda filling: Product(tuple([each(filling) for each in each_factor]))
        case Quotient(top, bottom):
            above, below = _filling(top), _filling(bottom)
            return lambda filling: Quotient(above(filling), below(filling))
