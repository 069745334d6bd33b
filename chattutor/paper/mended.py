"""An equation that cannot be read as it stands, read as it was most likely meant; whoever typed it is told.

A decimal comma, a colon for division, a cross or a full stop for times, words around or behind it. Nothing of it is
tried on an equation that can be read as it is typed.
"""

import re
from collections.abc import Callable

from chattutor.paper.notation import DEGREES, SMALL_CROSS, WRITTEN_WORD, readings, written
from chattutor.paper.question_text import question_text
from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import is_solved

LONGEST = 300  # characters: no equation that can be read has as many
ASIDE = re.compile(r"\s*(?:[(\[{][^()\[\]{}=]*[A-Za-z]{2,}[^()\[\]{}=]*[)\]}]|(?:<-+|←).*)\s*$")
BEFORE = re.compile(r"^\s*[\[{][^\[\]{}=]*[A-Za-z]{2,}[^\[\]{}=]*[\]}]\s*")
COMMA = re.compile(r"(?<=\d),(?=\d{1,2}(?!\d)|\d{4,})")  # 7,5 but not 1,000
COLON = re.compile(r"(?:(?<=[\d)])|(?<=\b[a-zA-Z]))\s*:\s*(?=[\d(])")
DOT = re.compile(r"(?<=\d)\s*\.\s*(?=[a-zA-Z]\b|\()")
CROSS = re.compile(r"(?<=[\d)])\s+x\s+(?=[\d(])|(?<=[\d)])x(?=\d)")
LARGE_CROSS = re.compile(r"(?<=\d)\s+X\s+(?=\d)")
NOUGHT = re.compile(r"(?<=[-+=])\s*O(?!\w)")  # 3x + 6 = O
OF = re.compile(r"(?<=\d)\s+of\s+(?=[a-zA-Z]\b(?!\w))")


def _small_cross(text: str) -> str:
    return SMALL_CROSS.sub(" * ", text) if "X" in text else text


MENDS: tuple[Callable[[str], str], ...] = (
    lambda text: ASIDE.sub("", BEFORE.sub("", text)),
    lambda text: DEGREES.sub("", text),
    lambda text: COMMA.sub(".", text),
    lambda text: COLON.sub("/", text),
    lambda text: OF.sub(" * ", text),
    lambda text: LARGE_CROSS.sub(" * ", _small_cross(CROSS.sub(" * ", text))),
    lambda text: DOT.sub("*", text),
    lambda text: NOUGHT.sub("0", text),
    lambda text: among_words(text) or text,
)


def mended_text(text: str) -> str:
    """The text mended until it can be read; empty where it never can, or is then an answer rather than an equation."""
    if len(text) > LONGEST:
        return ""
    for mend in MENDS:
        before, text = text, mend(text)
        if text == before:
            continue
        try:
            return "" if is_solved(read_equation(text)) else text
        except Refusal:
            pass
    return ""


def among_words(text: str) -> str:
    """The one equation in a sentence, such as ``next one was 5x - 10 = 15``; nothing where there is none or several."""
    found = equations_in(text)
    return found[0] if len(found) == 1 and re.search(WRITTEN_WORD, text) else ""


def equations_in(text: str) -> list[str]:
    """The equations in a sentence, in their order, where all that holds an equals sign can be read; else nothing."""
    for cut in readings(written(text).text, ""):
        stated = [each for piece in cut if _reads(each := piece) or _reads(each := question_text(piece).equation)]
        if stated and len(stated) == sum("=" in piece for piece in cut):
            return stated
    return []


def _reads(text: str) -> bool:
    try:
        read_equation(text)
    except Refusal:
        return False
    return True
