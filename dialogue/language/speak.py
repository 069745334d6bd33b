"""Mathematics to words for a voice: ``4n + 9 = 37`` is "four n, plus nine, equals thirty-seven".

Conventions, from the ClearSpeak rules (Brownstein, Soiffer and Frankel, ETS 2015) as published in the open MathCAT
rule files (MIT), and the MathSpeak core specification, rule 1.2: a leading minus is "negative", a binary one "minus";
nothing is said between a number and a letter; coefficient one is unsaid; brackets are said; decimals digit by digit.
Of our own, after common practice in classrooms: "lots of" before a bracket, "then plus" after a fraction and "all
over" after a sum, so that grouping is heard and understanding what we say gives the same equation back.
"""

from dataclasses import dataclass
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Move
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown, constant
from dialogue.language.number_words import decimal_words, is_ordinal, over_words, whole_words


@dataclass(frozen=True, slots=True)
class Voice:
    """What differs between classrooms: names of brackets, the word before one, and whether "and" is said."""

    opening: str
    closing: str
    times: str
    lots: str
    joined: str


BRITISH = Voice("bracket", "close bracket", "times", "lots of", " and ")
AMERICAN = Voice("open parenthesis", "close parenthesis", "multiplied by", "times", " ")


def say_equation(equation: Equation, voice: Voice = BRITISH) -> str:
    """Both sides, with "equals" between."""
    return f"{say_expression(equation.left, voice)}, equals {say_expression(equation.right, voice)}"


def say_value(value: Fraction, voice: Voice = BRITISH) -> str:
    """A number: "negative two thirds"."""
    return say_expression(constant(value), voice)


def say_expression(expression: Expression, voice: Voice = BRITISH) -> str:
    """An expression in words, commas where a speaker pauses."""
    return _say(expression, voice, first=True)


MOVES = {
    "add": "add {operand} to {sides}",
    "subtract": "subtract {operand} from {sides}",
    "multiply": "multiply {sides} by {operand}",
    "divide": "divide {sides} by {operand}",
    "transfer": "move {operand} to the other side",
}
SIDES = {"both": "both sides", "unsaid": "both sides", "left": "the left side", "right": "the right side"}


def say_move(move: Move, voice: Voice = BRITISH) -> str:
    """A move in the words of the board: "subtract three from both sides"."""
    operand = say_expression(move.operand, voice)
    return MOVES[move.operation].format(operand=operand, sides=SIDES[move.sides])


def _say(expression: Expression, voice: Voice, first: bool) -> str:
    """``first`` says that nothing stands before it on this side, so "all over" can only mean all of this."""
    match expression:
        case Number(value, written):
            return _number(value, written, voice)
        case Unknown(letter):
            return letter
        case Negative(body):
            return f"negative {_negated(body, voice)}"
        case Sum():
            return _sum(expression, voice, first)
        case Product(factors):
            return _product(factors, voice)
        case Quotient(top, bottom):
            return _quotient(top, bottom, voice, first)


def _negated(body: Expression, voice: Voice) -> str:
    """What follows "negative": a sum needs its bracket, and a fraction of a sum too."""
    if isinstance(body, Sum | Negative) or (isinstance(body, Quotient) and not _is_plain(body.top)):
        return _bracketed(body, voice)
    return _say(body, voice, first=False)


def _number(value: Fraction, written: str, voice: Voice) -> str:
    if "." in written:
        return decimal_words(written, voice.joined)
    if " " in written:
        whole, _, part = written.partition(" ")
        top, _, bottom = part.partition("/")
        return f"{whole_words(int(whole), voice.joined)} and {over_words(int(top), int(bottom), voice.joined)}"
    if value.denominator != 1:
        return over_words(value.numerator, value.denominator, voice.joined)
    return whole_words(value.numerator, voice.joined)


def _sum(expression: Sum, voice: Voice, first: bool) -> str:
    said = ""
    for index, term in enumerate(expression.terms):
        body = term.body
        if not index:
            said = f"negative {_negated(body, voice)}" if term.sign < 0 else _term(body, voice, first)
            continue
        before = expression.terms[index - 1].body
        then = "then " if isinstance(before, Quotient) and not _is_ordinal(before) else ""
        said += f", {then}{'plus' if term.sign > 0 else 'minus'} {_term(body, voice, first=False)}"
    return said


def _term(body: Expression, voice: Voice, first: bool) -> str:
    """A term; a fraction that is not first is bracketed, because "five minus y over three" can be heard two ways."""
    divided = isinstance(body, Quotient) and not _is_ordinal(body) and not first
    return _bracketed(body, voice) if isinstance(body, Sum) or divided else _say(body, voice, first)


def _product(factors: tuple[Expression, ...], voice: Voice) -> str:
    head, *rest = factors
    if len(rest) == 1 and not isinstance(head, Sum | Product | Negative):
        (inner,) = rest
        if isinstance(inner, Unknown) and isinstance(head, Number):
            return f"{_say(head, voice, first=False)} {inner.letter}"
        if isinstance(inner, Unknown) and _is_ordinal(head):
            return f"{_say(head, voice, first=False)} {inner.letter}"
        if isinstance(inner, Sum) and (isinstance(head, Number) or _is_ordinal(head)):
            return f"{_say(head, voice, first=False)} {voice.lots}, {_bracketed(inner, voice)}"
    said = [_factor(head, voice)]
    for factor in rest:
        said.append(f"{voice.times} {_factor(factor, voice)}")
    return " ".join(said)


def _factor(factor: Expression, voice: Voice) -> str:
    alone = isinstance(factor, Number | Unknown) or (isinstance(factor, Negative) and isinstance(factor.body, Number))
    return _say(factor, voice, first=False) if alone else _bracketed(factor, voice)


def _quotient(top: Expression, bottom: Expression, voice: Voice, first: bool) -> str:
    if isinstance(top, Number) and isinstance(bottom, Number) and not (top.written or bottom.written):
        return over_words(int(top.value), int(bottom.value), voice.joined)
    below = _factor(bottom, voice)
    if _is_plain(top):
        return f"{_say(top, voice, first=False)} over {below}"
    if first and isinstance(top, Sum):
        return f"{_in_one_breath(top, voice)}, all over {below}"
    return f"{_bracketed(top, voice)} over {below}"


def _is_plain(top: Expression) -> bool:
    """Whether the top of a fraction is one thing, so that "over" can only mean all of it."""
    if isinstance(top, Negative):
        return _is_plain(top.body)
    lots = isinstance(top, Product) and len(top.factors) == 2 and isinstance(top.factors[0], Number)
    return isinstance(top, Number | Unknown) or (lots and isinstance(top.factors[1], Unknown))  # type: ignore[union-attr]


def _is_ordinal(fraction: Expression) -> bool:
    match fraction:
        case Quotient(Number(top, ""), Number(bottom, "")):
            return is_ordinal(int(top), int(bottom))
    return False


def _bracketed(expression: Expression, voice: Voice) -> str:
    return f"{voice.opening}, {_in_one_breath(expression, voice)}, {voice.closing}"


def _in_one_breath(expression: Expression, voice: Voice) -> str:
    """Without pauses, so that the pauses that remain are those of the grouping."""
    return _say(expression, voice, first=True).replace(", ", " ")
