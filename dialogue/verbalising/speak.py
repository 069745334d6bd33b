"""Mathematics to words for a voice: ``4n + 9 = 37`` is "four n, plus nine, equals thirty-seven".

Conventions, from the ClearSpeak rules (Brownstein, Soiffer and Frankel, ETS 2015) as published in the open MathCAT
rule files (MIT), and the MathSpeak core specification, rule 1.2: a leading minus is "negative", a binary one "minus";
nothing is said between a number and a letter; coefficient one is unsaid; brackets are said; decimals digit by digit.
Of our own, after common practice in classrooms (no source): "lots of" before a bracket, "then plus" after a fraction
and "all over" after a sum. A part whose end could be heard in two ways ("nine plus x over four") stands in a bracket,
written or not: the words alone, without the pauses, always give the same equation back.
"""

import tomllib
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from typing import Any, Literal

from dialogue.algebra.equation import Equation
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown
from dialogue.verbalising.number_words import decimal_words, is_ordinal, over_words, whole_words


@dataclass(frozen=True, slots=True)
class SpokenStyle:
    """What differs between classrooms; the words of each choice are in ``voice.toml``."""

    brackets: Literal["brackets", "parentheses"] = "brackets"
    times: Literal["times", "multiplied by"] = "times"
    lots: Literal["lots of", "times"] = "lots of"  # between a number and a bracket
    hundreds: Literal["and", "plain"] = "and"  # "two hundred and five"
    fourths: Literal["quarters", "fourths"] = "quarters"


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    """``voice.toml``, read once."""
    return tomllib.loads(resources.files("dialogue.verbalising").joinpath("en/voice.toml").read_text("utf-8"))


BRITISH, AMERICAN = (SpokenStyle(**_data()["voices"][name]) for name in ("british", "american"))


def say_equation(equation: Equation, voice: SpokenStyle = BRITISH) -> str:
    """Both sides, with "equals" between."""
    return f"{say_expression(equation.left, voice)}, equals {say_expression(equation.right, voice)}"


def say_expression(expression: Expression, voice: SpokenStyle = BRITISH) -> str:
    """An expression in words, commas where a speaker pauses."""
    return _Speaker(voice).whole(expression)


class _Speaker:
    """Says expressions in one voice."""

    def __init__(self, voice: SpokenStyle) -> None:
        self.voice = voice
        self.opening, self.closing = _data()["brackets"][voice.brackets]
        self.lots: str = _data()["lots"][voice.lots]
        self.joined = " and " if voice.hundreds == "and" else " "

    def whole(self, expression: Expression) -> str:
        """An expression with nothing before it or after it, so that "all over" can only mean all of this."""
        match expression:
            case Sum():
                return self.sum(expression)
            case Quotient(top, bottom) if not _is_plain(top):
                above = self.whole(top) if _ends_well(top) else self.bracketed(top)
                if isinstance(top, Sum):
                    above = above.replace(", ", " ")  # the one pause is the one before "all over"
                return f"{above}, all over {self.factor(bottom)}"
        return self.part(expression)

    def operand(self, expression: Expression) -> str:
        """What a move is made with: one thing, or a bracket."""
        return self.bracketed(expression) if isinstance(expression, Sum) else self.whole(expression)

    def sum(self, expression: Sum) -> str:
        said = ""
        over = False  # whether what was said last was "… over four", after which "then plus" leaves the fraction
        for index, term in enumerate(expression.terms):
            body = term.body
            clear = _is_one_thing(body) or (not index and _is_simple_fraction(body))
            if not index and term.sign < 0 and isinstance(body, Negative):
                clear = False
            words = self.part(body) if clear else self.bracketed(body)
            if index:
                words = f", {'then ' if over else ''}{'plus' if term.sign > 0 else 'minus'} {words}"
            elif term.sign < 0:
                words = f"negative {words}"
            said += words
            over = clear and not index and _is_simple_fraction(body)
        return said

    def part(self, expression: Expression) -> str:
        """Something that is not a sum."""
        match expression:
            case Number(value, written):
                return self.number(value, written)
            case Unknown(letter):
                return letter
            case Negative(body):
                clear = not isinstance(body, Negative) and (_is_one_thing(body) or _is_simple_fraction(body))
                return f"negative {self.part(body) if clear else self.bracketed(body)}"
            case Product(factors):
                return self.product(factors)
            case Quotient(Number(top, ""), Number(bottom, "")):
                return over_words(int(top), int(bottom), self.joined, self.voice.fourths == "fourths")
            case Quotient(top, bottom):
                return f"{self.part(top) if _is_plain(top) else self.bracketed(top)} over {self.factor(bottom)}"
        return self.bracketed(expression)

    def number(self, value: Fraction, written: str) -> str:
        fourths = self.voice.fourths == "fourths"
        if "." in written:
            return decimal_words(written, self.joined)
        if " " in written:
            whole, _, part = written.partition(" ")
            top, _, bottom = part.partition("/")
            fraction = over_words(int(top), int(bottom), self.joined, fourths)
            return f"{whole_words(int(whole), self.joined)} and {fraction}"
        if value.denominator != 1:
            return over_words(value.numerator, value.denominator, self.joined, fourths)
        return whole_words(value.numerator, self.joined)

    def product(self, factors: tuple[Expression, ...]) -> str:
        match factors:
            case (Number() | Quotient() as many, Unknown(letter)) if _is_number(many):
                return f"{self.part(many)} {letter}"
            case (Number() | Quotient() as many, Sum() as inside) if _is_number(many):
                between = self.lots if isinstance(many, Number) else self.voice.times
                return f"{self.part(many)} {between}, {self.bracketed(inside)}"
        head, *rest = factors
        first = self.bracketed(head) if isinstance(head, Negative) else self.factor(head)
        return " ".join((first, *(f"{self.voice.times} {self.factor(factor)}" for factor in rest)))

    def factor(self, factor: Expression) -> str:
        """Something multiplied or divided by: bracketed unless it is one number or the unknown."""
        inner = factor.body if isinstance(factor, Negative) else factor
        alone = isinstance(inner, Unknown) or (isinstance(inner, Number) and " " not in inner.written)
        return self.part(factor) if alone else self.bracketed(factor)

    def bracketed(self, expression: Expression) -> str:
        """In a bracket, without pauses inside, so that the pauses that remain are those of the grouping."""
        return f"{self.opening}, {self.whole(expression).replace(', ', ' ')}, {self.closing}"


def _is_number(expression: Expression) -> bool:
    """A number whose words cannot run into what follows: not "seven over thirty", which could swallow a letter."""
    match expression:
        case Quotient(Number(top, ""), Number(bottom, "")):
            return is_ordinal(int(top), int(bottom))
    return isinstance(expression, Number)


def _is_plain(top: Expression) -> bool:
    """Whether the top of a fraction is a number, the unknown or a multiple of it: "over" can only mean all of it."""
    match top:
        case Number() | Unknown():
            return True
        case Product((Number(), Unknown())):
            return True
    return False


def _is_simple_fraction(expression: Expression) -> bool:
    """A fraction with a plain top over a number, or a bracketed sum over one."""
    match expression:
        case Quotient(top, Number(_, written)):
            return (_is_plain(top) or isinstance(top, Sum)) and " " not in written
    return False


def _is_one_thing(body: Expression) -> bool:
    """Whether its words have a clear end wherever it stands in a sum."""
    match body:
        case Number() | Unknown():
            return True
        case Product((many, Unknown() | Sum())):
            return _is_number(many)
        case Negative(inner):
            return not isinstance(inner, Negative) and _is_one_thing(inner)
        case Quotient():
            return _is_number(body)
    return False


def _ends_well(top: Expression) -> bool:
    """Whether "all over" straight after its words can only mean all of it."""
    match top:
        case Sum(terms):
            return all(_is_one_thing(term.body) for term in terms)
    return _is_one_thing(top)
