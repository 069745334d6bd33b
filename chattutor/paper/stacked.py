"""Fractions typed over three lines, ``x + 3`` over ``------- = 4`` over ``5``, as one line: ``(x + 3)/(5) = 4``."""

import re
from collections.abc import Sequence

BAR = re.compile(r"(?<!\S)[-–—_]{2,}(?!\S)")
ANY_BAR = re.compile(r"(?<!\S)[-–—−_]+(?!\S)")  # of one digit over another a bar may be a single stroke
LABEL = re.compile(r"\s*(?:q(?:uestion)?\s*)?\(?[0-9a-z]{1,4}\s?[.):]+\s+", re.IGNORECASE)
PART = re.compile(r"\S+(?: \S+)*")
TAKEN = "#"  # a line that says nothing more, and is no empty one


def unstacked(lines: Sequence[str]) -> list[str]:
    """The lines, each where it was; of a fraction's three the middle one has it all."""
    found = list(lines)
    for place in range(1, len(found) - 1):
        joined = _joined(found[place - 1], found[place], found[place + 1])
        if joined:
            found[place - 1 : place + 2] = [TAKEN, joined, TAKEN]
    return found


def _joined(above: str, bars: str, below: str) -> str:
    """The one line that the three are; empty where they are no fraction."""
    if bars.count("=") != 1 or not BAR.search(bars) or "=" in above + below:
        return ""
    label = LABEL.match(above)
    shown = label[0] if label else ""
    tops, bottoms = PART.findall(above[len(shown) :]), PART.findall(below)
    if not tops or len(tops) != len(bottoms):
        return ""
    pattern = next((each for each in (BAR, ANY_BAR) if len(each.findall(bars)) == len(tops)), None)
    if pattern is None:
        return ""
    parts = iter(zip(tops, bottoms, strict=True))
    return shown + pattern.sub(lambda _: "({})/({})".format(*next(parts)), bars.strip())
