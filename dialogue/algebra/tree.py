"""Expressions as the learner wrote them: a small frozen tree with exact numbers.

Nothing here simplifies. ``3 + 2``, ``x + x`` and ``2*(x + 3)`` stay what they are, because the
tutor talks about the line on the board, not about its value. Equality is equality of writing:
``2*x`` and ``x*2`` differ, and so do ``0.5`` and ``1/2``.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from dialogue.algebra.exact import Exact

Sign: TypeAlias = Literal[1, -1]


@dataclass(frozen=True, slots=True)
class Number:
    """A number of at least zero, with the text it was typed as where that says more (``0.50``, ``2 1/2``)."""

    value: Fraction
    written: str = ""

    def __hash__(self) -> int:
        """By the value; that of a ``Fraction`` itself takes a modular inverse each time."""
        return hash((self.value.numerator, self.value.denominator))


@dataclass(frozen=True, slots=True)
class Unknown:
    """The one letter of the equation."""

    letter: str


@dataclass(frozen=True, slots=True)
class Negative:
    """A minus sign in front: ``-x``, or the second minus of ``3 - -2``."""

    body: "Expression"


@dataclass(frozen=True, slots=True)
class SignedTerm:
    """One signed term of a sum."""

    sign: Sign
    body: "Expression"


@dataclass(frozen=True, slots=True)
class Sum:
    """Two or more signed terms in the order written; a bracketed sum inside a sum stays nested."""

    terms: tuple[SignedTerm, ...]


@dataclass(frozen=True, slots=True)
class Product:
    """Two or more factors in the order written."""

    factors: tuple["Expression", ...]


@dataclass(frozen=True, slots=True)
class Quotient:
    """``top`` over ``bottom``: a fraction, or a division sign."""

    top: "Expression"
    bottom: "Expression"


Expression: TypeAlias = Number | Unknown | Negative | Sum | Product | Quotient


def children(expression: Expression) -> tuple[Expression, ...]:
    """The parts directly inside an expression, left to right."""
    match expression:
        case Number() | Unknown():
            return ()
        case Sum(terms):
            return tuple([term.body for term in terms])
        case Product(factors):
            return factors
        case Quotient(top, bottom):
            return (top, bottom)
        case Negative(body):
            return (body,)


def with_leaves(expression: Expression, change: Callable[[Number | Unknown], Expression]) -> Expression:
    """The same tree with each number and unknown as ``change`` makes it."""
    match expression:
        case Number() | Unknown():
            return change(expression)
        case Sum(terms):
            return Sum(tuple(SignedTerm(term.sign, with_leaves(term.body, change)) for term in terms))
        case Product(factors):
            return Product(tuple(with_leaves(factor, change) for factor in factors))
        case Quotient(top, bottom):
            return Quotient(with_leaves(top, change), with_leaves(bottom, change))
        case Negative(body):
            return Negative(with_leaves(body, change))


def walk(expression: Expression) -> Iterator[Expression]:
    """The expression and everything inside it, outermost first."""
    yield expression
    for child in children(expression):
        yield from walk(child)


def numbers_in(expression: Expression) -> Iterator[Fraction]:
    """The values of its numbers, from left to right."""
    return (piece.value for piece in walk(expression) if isinstance(piece, Number))


def letters(expression: Expression) -> tuple[str, ...]:
    """The letters in it, each once, in order of first appearance."""
    if isinstance(expression, Unknown):
        return (expression.letter,)
    found: dict[str, None] = {}
    for child in children(expression):
        found.update(dict.fromkeys(letters(child)))
    return tuple(found)


def has_unknown(expression: Expression) -> bool:
    """Whether the unknown stands anywhere in it."""
    if isinstance(expression, Number):
        return False
    return isinstance(expression, Unknown) or any(map(has_unknown, children(expression)))


def uses_decimals(expression: Expression) -> bool:
    """Whether a number in it was typed with a decimal point."""
    return any(isinstance(part, Number) and "." in part.written for part in walk(expression))


def whole(value: int) -> Expression:
    """An integer as an expression: ``3`` or ``-3``."""
    return Number(Fraction(value)) if value >= 0 else Negative(Number(Fraction(-value)))


def decimal_text(value: Fraction, most_places: int = 6) -> str | None:
    """``4.5`` for nine halves; None where the decimal does not end within ``most_places``."""
    shifted = value * 10**most_places
    if value < 0 or shifted.denominator != 1:
        return None
    digits = str(shifted.numerator).rjust(most_places + 1, "0")
    return f"{digits[:-most_places]}.{digits[-most_places:]}".rstrip("0").rstrip(".")


def constant(value: Exact, decimals: bool = False) -> Expression:
    """A rational number as a teacher writes it: ``3``, ``-3``, ``1/2``, ``-1/2``, or ``0.5`` with ``decimals``."""
    size = abs(Fraction(value))
    text = decimal_text(size) if decimals and size.denominator != 1 else None
    body: Expression
    if size.denominator == 1:
        body = Number(size)
    elif text is not None:
        body = Number(size, text)
    else:
        body = Quotient(Number(Fraction(size.numerator)), Number(Fraction(size.denominator)))
    return Negative(body) if value < 0 else body


def mixed_number(value: Fraction) -> Expression:
    """A rational number past one as a mixed number, ``6 1/2``; any other as ``constant`` writes it."""
    whole, rest = divmod(abs(value), 1)
    if not whole or not rest:
        return constant(value)
    body = Number(abs(value), f"{whole} {rest}")
    return Negative(body) if value < 0 else body


def scaled(coefficient: Exact, body: Expression, decimals: bool = False) -> Expression:
    """``coefficient`` lots of ``body`` as a teacher writes it: ``x``, ``-x``, ``3x``, ``x/4``, ``2x/3``, ``0.5x``."""
    size = abs(Fraction(coefficient))
    if size == 0:
        return Number(Fraction(0))
    text = decimal_text(size) if decimals and size.denominator != 1 else None
    shown: Expression
    if size == 1:
        shown = body
    elif text is not None:
        shown = Product((Number(size, text), body))
    else:
        top = body if size.numerator == 1 else Product((Number(Fraction(size.numerator)), body))
        shown = top if size.denominator == 1 else Quotient(top, Number(Fraction(size.denominator)))
    return Negative(shown) if coefficient < 0 else shown


def total(parts: list[Expression]) -> Expression:
    """The parts added up, a negative part becoming a subtraction: ``[3x, -2]`` is ``3x - 2``; none is ``0``."""
    terms: list[SignedTerm] = [
        SignedTerm(-1, part.body) if isinstance(part, Negative) else SignedTerm(1, part) for part in parts
    ]
    if not terms:
        return Number(Fraction(0))
    if len(terms) == 1:
        return parts[0]
    return Sum(tuple(terms))
