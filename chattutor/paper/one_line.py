"""The steps that stand on one line: parted by arrows, words, commas, strokes, gaps, or by more equals signs."""

import re
from collections.abc import Callable

from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal

ARROWS = re.compile(r"\s*(?:=+>|⇒|⟹|→|⟶|-+>|∴|∵|⇔|<=+>|\|\||\\therefore)\s*")
GOES_ON = re.compile(  # on the line of the equation itself: the working that follows from it
    rf"{ARROWS.pattern}|[,;]?\s+(?:and\s+)?(?:so|then|therefore|hence)\b\s*|\s*(?:\.{{3,}}|…)\s*"
    r"|[,;]\s+(?=[^,;]*=|[-+*/×÷−–]\d)|(?<=\d)\s*:\s+(?=[^:]*=)|(?:\s{3,}|\t\s*)(?=\S[^=]*=)"
)
BAR = re.compile(r"\s*\|\s*")
LONGEST = 500  # characters of a line that is cut so
REMARK = re.compile(r"(?<=\d)\s+[A-Za-z]{2,}[!.]*$")  # x=6 done!!
CROSS = re.compile(r"(?<=\d)x(?=\d)")  # 3x4
ENDS = (re.compile(r"\s+/\s+"), re.compile(r"\s+"))  # between steps, where every part is an equation


def steps_on_line(text: str) -> list[str]:
    """The parts in their order; of a line with one equation the line alone."""
    first, *beside = BAR.split(text) if "=" in BAR.split(text)[0] else [text]
    parts = [part for each in re.split(GOES_ON, first) for part in run_on(each)]
    return [*parts, *filter(None, beside)]


def run_on(text: str) -> list[str]:
    """``6x+6=16 2x=10 x=5``, ``3x = 24 = x = 8``, ``10=5x / x=2``: the equations in them, where all are some."""
    if text.count("=") < 2 or len(text) > LONGEST:
        return [text]
    for cut in (*(_at(sign) for sign in ENDS), _in_pairs):
        parts = cut(CROSS.sub("*", REMARK.sub("", text)))
        if len(parts) > 1 and all(map(_is_one, parts)):
            return parts
    return [text]


def _at(sign: re.Pattern[str]) -> Callable[[str], list[str]]:
    return lambda text: [part for part in sign.split(text.strip()) if part]


def _in_pairs(text: str) -> list[str]:
    """Sides joined by equals signs that only go on: two sides for each equation, if there is an even number."""
    sides = [each.strip() for each in text.split("=")]
    if len(sides) % 2:
        return [text]
    return [f"{left} = {right}" for left, right in zip(sides[::2], sides[1::2], strict=True)]


def _is_one(text: str) -> bool:
    if text.count("=") != 1 or not re.search(r"[a-zA-Z]", text):
        return False
    try:
        read_equation(text)
    except Refusal:
        return False
    return True
