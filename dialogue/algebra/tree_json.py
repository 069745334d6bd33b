"""Expressions and equations as JSON that reads back as the very same tree, for session logs.

An expression is its ASCII text with numbers as typed (``3*x + 0.50``). Few trees, made of spoken words, are not what
reading their text gives: those are a list of their parts, ``["/", "1", "2"]``.
"""

import re
from fractions import Fraction
from typing import Any

from dialogue.algebra.equation import Equation
from dialogue.algebra.reading import OWN, read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, SignedTerm, Sum, Unknown, letters
from dialogue.algebra.writing import Style, write

WRITTEN = re.compile(r"[0-9]+|[0-9]*\.[0-9]+|[0-9]+\.|[0-9]+ [0-9]+/[1-9][0-9]*")  # 7, 0.50, 1 1/2
EXACT = Style(minus="-", times="*", juxtapose=False, typed=True)


class NotAnExpression(ValueError):
    """JSON that is no expression or equation of ours; the message says why."""


def expression_to_json(expression: Expression) -> str | list[Any]:
    """The expression, exactly."""
    text = write(expression, EXACT)
    try:
        return text if read_expression(text, room=OWN) == expression else _parts(expression)
    except Refusal:
        return _parts(expression)


def expression_from_json(given: object, letter: str | None = None) -> Expression:
    """The expression written. ``letter``: that of the lesson, for text of older logs. Raises NotAnExpression."""
    if isinstance(given, str):
        try:
            return read_expression(given, letter, room=OWN)
        except Refusal as refusal:
            raise NotAnExpression(refusal.sentence) from refusal
    return _built(given)


def equation_to_json(equation: Equation) -> str | list[Any]:
    """The equation, exactly."""
    sides = [expression_to_json(side) for side in equation.sides()]
    text = " = ".join(map(str, sides))
    plain = all(isinstance(side, str) for side in sides)
    return text if plain and letters_of(equation) == (equation.letter,) else [*sides, equation.letter]


def equation_from_json(given: object, letter: str = "x") -> Equation:
    """The equation written. ``letter``: of an equation that has none in older logs. Raises NotAnExpression."""
    match given:
        case str(text) if text.count("=") == 1:
            left, right = map(expression_from_json, text.split("="))
            found = tuple(dict.fromkeys((*letters(left), *letters(right))))
            if len(found) < 2:
                return Equation(left, right, found[0] if found else letter)
        case [left, right, str(own)]:
            return Equation(expression_from_json(left), expression_from_json(right), own)
    raise NotAnExpression("it is not an equation")


def letters_of(equation: Equation) -> tuple[str, ...]:
    """The letters on both sides, each once."""
    return tuple(dict.fromkeys(letter for side in equation.sides() for letter in letters(side)))


def _parts(expression: Expression) -> list[Any]:
    match expression:
        case Number(value, written):
            return ["number", str(value), written]
        case Unknown(letter):
            return ["unknown", letter]
        case Negative(body):
            return ["-", expression_to_json(body)]
        case Sum(terms):
            return ["+", *([term.sign, expression_to_json(term.body)] for term in terms)]
        case Product(factors):
            return ["*", *map(expression_to_json, factors)]
        case Quotient(top, bottom):
            return ["/", expression_to_json(top), expression_to_json(bottom)]


def _built(given: object) -> Expression:
    match given:
        case ["number", str(value), str(written)]:
            try:
                number = Fraction(value)
            except (ValueError, ZeroDivisionError) as error:
                raise NotAnExpression("it is not a number") from error
            if written and WRITTEN.fullmatch(written) is None:
                raise NotAnExpression("it is not written as a number is")
            return Number(number, written)
        case ["unknown", str(letter)]:
            return Unknown(letter)
        case ["-", body]:
            return Negative(expression_from_json(body))
        case ["+", *terms]:
            return Sum(tuple(map(_term, terms)))
        case ["*", *factors]:
            return Product(tuple(map(expression_from_json, factors)))
        case ["/", top, bottom]:
            return Quotient(expression_from_json(top), expression_from_json(bottom))
    raise NotAnExpression("it is not an expression")


def _term(given: object) -> SignedTerm:
    match given:
        case [1, body]:
            return SignedTerm(1, expression_from_json(body))
        case [-1, body]:
            return SignedTerm(-1, expression_from_json(body))
    raise NotAnExpression("it is not a term")
