"""Typed mathematics alone, without a word: read by the reader of equations, with the sign in front as a move."""

import re
from fractions import Fraction

from dialogue.acts import Expecting, Meaning, Unclear, Value
from dialogue.algebra.equation import read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Operation
from dialogue.algebra.reading import MAX_LENGTH, read_expression
from dialogue.algebra.refusals import (
    DivisionByZero,
    NotAnEquation,
    NotLinear,
    OutOfScope,
    Refusal,
    SeveralUnknowns,
    TooMuch,
    UnknownBelow,
)
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, walk

MATHEMATICS = re.compile(r"[\s\d.+\-*/=()²³⁴^a-z]+")
WORD = re.compile(r"[a-z]{2,}")
STARRED = re.compile(r"[-+]\s*[\w.]+\s+\*([-+]\s*[\w.]+)")
OPERATION: dict[str, Operation] = {"+": "add", "*": "multiply", "/": "divide"}


def read_typed(text: str, expecting: Expecting, letter: str) -> Meaning | None:
    """The meaning of a text that is nothing but mathematics; None where there are words in it."""
    text = text.strip().rstrip("?!.;, ").strip()
    if not text or MATHEMATICS.fullmatch(text) is None or WORD.search(text):
        return None
    if expecting in {"operations", "term"} and text[0] in "+-*/":
        return None  # what is done to the unknown, told in signs
    if not any(character in "0123456789=+*/()" for character in text):
        return None  # single letters: "y", "k", "x x"
    if letter != "x" and re.fullmatch(r"[\d.\s]*x\s*[\d.]+", text):
        return None  # "x5" with another unknown: x is the times sign
    if letter == "x" and re.fullmatch(r"x\s*-?[\d.]+", text):
        return Unclear()  # "x9": nine x, or times nine?
    if mended := STARRED.fullmatch(text):  # "+14 *-14": a star marks the mended version
        text = mended.group(1)
    if letter != "x":
        text = re.sub(rf"\b{letter}(?=\d)", f"{letter}*", text)  # "m5 = 25"
    try:
        return _read(text, expecting, letter)
    except SeveralUnknowns:
        return Unclear("another letter")
    except Refusal:
        return Unclear()


def _read(text: str, expecting: Expecting, letter: str) -> Meaning:
    """Raises a Refusal."""
    if text.startswith("=") and text.count("=") == 1:
        if expecting == "equation":
            return Unclear()  # half of one
        return Value(read_expression(text[1:], letter))
    if "=" in text:
        return Line(read_equation(text, letter))
    if text[0] in "*/" or (text[0] == "+" and expecting != "value"):
        return _operation(OPERATION[text[0]], read_expression(text[1:], letter))
    found = read_expression(text, letter)
    if isinstance(found, Negative) and text.startswith("-"):
        return _minus(found, expecting)
    return _bare(found, expecting)


def _operation(operation: Operation, operand: Expression) -> Meaning:
    nothing = any(isinstance(part, Quotient) and part.bottom == Number(Fraction(0)) for part in walk(operand))
    return Unclear() if nothing or isinstance(operand, Sum) else Move(operation, operand, "unsaid")


def _minus(found: Negative, expecting: Expecting) -> Meaning:
    if expecting in {"move", "yesno"}:
        return Move("subtract", found.body, "unsaid")
    return Value(found) if expecting in {"value", "term", "operations"} else Unclear()


def _bare(found: Expression, expecting: Expecting) -> Meaning:
    number = isinstance(found, Number) or (isinstance(found, Negative) and isinstance(found.body, Number))
    if expecting in {"any", "value", "term"} or number:
        return Value(found)
    simple = expecting == "operations" and isinstance(found, Product)
    return Value(found) if simple else Unclear()


QUESTIONS: tuple[tuple[type[Refusal], str], ...] = (  # the first that fits
    (NotLinear, "not linear"),
    (UnknownBelow, "unknown below"),
    (DivisionByZero, "division by zero"),
    (SeveralUnknowns, "another letter"),
    (NotAnEquation, "one equation"),
    (OutOfScope, "not linear"),
    (TooMuch, "too big"),
)
WORDS = re.compile(r"[A-Za-z]{3}")
SIGNS = re.compile(r"[=<>≤≥^²³/÷*×(]")


def why_refused(text: str, letter: str) -> Unclear:
    """Unclear, with the reason where the text is mathematics typed in signs and the algebra refuses it."""
    if len(text) > MAX_LENGTH:
        return Unclear("too big")
    if WORDS.search(text) or not SIGNS.search(text):
        return Unclear()
    try:
        if re.search(r"[=<>≤≥]", text):
            read_equation(text, letter)
        else:
            linear(read_expression(text, letter))
    except Refusal as refusal:
        return next((Unclear(question) for kind, question in QUESTIONS if isinstance(refusal, kind)), Unclear())
    return Unclear()
