"""Typed mathematics that cannot be a step here: which sentence says why."""

import re

from dialogue.algebra.equation import read_equation
from dialogue.algebra.linear import linear
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
from dialogue.meaning import Unclear

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
