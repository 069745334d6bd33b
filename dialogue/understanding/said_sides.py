"""Whether a move was said of one side alone ("just the n side", "the 5 I leave"): phrases of ``one_side.toml``."""

import re
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple, TypeAlias, cast

from dialogue.understanding.grammar import read_data
from dialogue.understanding.normalise import in_lower_case

OneSide: TypeAlias = Literal["unknown", "left", "right", "some"]  # "unknown": the side that the unknown is on
KINDS: tuple[OneSide, ...] = ("left", "right", "unknown", "some")
APART = re.compile(r"[^\w'.]+|\.(?!\d)")
NUMBER = re.compile(r"\d+(?:\.\d+)?")


class SideSaid(NamedTuple):
    """The side that was said, and the number that was to stay as it is, if one was named."""

    side: OneSide
    stays: Fraction | None = None


def one_side(text: str, letter: str) -> SideSaid | None:
    """The one side that was said, if one was; None where the other is spoken of as well."""
    said = f" {' '.join(APART.split(in_lower_case(text)))} "
    if _phrases("both", letter).search(said):
        return None
    for kind in KINDS:
        found = _phrases(kind, letter).search(said)
        if found is not None:
            number = NUMBER.search(found.group())
            return SideSaid(kind, Fraction(number.group()) if number else None)
    return None


@lru_cache(maxsize=256)
def _phrases(kind: str, letter: str) -> re.Pattern[str]:
    words = cast("list[str]", read_data("one_side")[kind])
    made = (re.escape(one).replace(r"\{letter\}", letter).replace(r"\{n\}", NUMBER.pattern) for one in words)
    return re.compile(rf"(?<=\s)(?:{'|'.join(made)})(?=\s)")
