"""A tree to text: ASCII for JSON (``3*x + 2``), and the board's way for people (``3x + 2``, ``2(x − 1)/3``)."""

from dataclasses import dataclass
from fractions import Fraction

from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown


@dataclass(frozen=True, slots=True)
class Style:
    """How signs are written; ``typed`` keeps decimals as they were typed, else they become exact fractions."""

    minus: str
    times: str
    juxtapose: bool
    typed: bool


ASCII = Style(minus="-", times="*", juxtapose=False, typed=False)
BOARD = Style(minus="\N{MINUS SIGN}", times="\N{MULTIPLICATION SIGN}", juxtapose=True, typed=True)
TYPED = Style(minus="-", times="*", juxtapose=True, typed=True)

SUM, NEGATIVE, PRODUCT, ATOM = range(4)  # how tightly each kind of expression holds together


def write(expression: Expression, style: Style = ASCII) -> str:
    """The expression as text; reading it back gives the same value, and the same tree but for spare brackets."""
    return _write(expression, style)[0]


def _write(expression: Expression, style: Style) -> tuple[str, int]:
    match expression:
        case Number(value, written):
            return _number(value, written, style)
        case Unknown(letter):
            return letter, ATOM
        case Negative(body):
            return style.minus + _held(body, style, PRODUCT), NEGATIVE
        case Sum(terms):
            first, *others = terms
            text = f"{style.minus if first.sign < 0 else ''}{_held(first.body, style, PRODUCT)}"
            for term in others:
                text += f" {'+' if term.sign > 0 else style.minus} {_held(term.body, style, PRODUCT)}"
            return text, SUM
        case Product(factors):
            return _product(factors, style), PRODUCT
        case Quotient(top, bottom):
            # a product above the line needs no brackets; below the line everything but a single thing does
            return f"{_held(top, style, PRODUCT)}/{_held(bottom, style, ATOM)}", PRODUCT


def _held(expression: Expression, style: Style, least: int) -> str:
    text, tightness = _write(expression, style)
    return text if tightness >= least else f"({text})"


def _number(value: Fraction, written: str, style: Style) -> tuple[str, int]:
    if written and style.typed:
        return written, ATOM if " " not in written else PRODUCT
    if value.denominator == 1:
        return str(value), ATOM
    return str(value), PRODUCT


def _product(factors: tuple[Expression, ...], style: Style) -> str:
    text = ""
    for index, factor in enumerate(factors):
        quotient_later = index > 0 and isinstance(factor, Quotient)
        shown = _held(factor, style, ATOM if quotient_later else PRODUCT)
        if not index:
            if style.juxtapose and isinstance(factor, Quotient):
                shown = f"({shown})"  # (2/3)x, where 2/3x would have to be puzzled over
            text = shown
        else:
            beside = style.juxtapose and not (shown[0].isdecimal() or shown[0] == ".")  # 3 × .5 is not 3.5
            text += shown if beside else f"{_sign(style)}{shown}"
    return text


def _sign(style: Style) -> str:
    return f" {style.times} " if style.juxtapose else style.times
