"""Numbers that are read back however well they were heard: what they are taken for sounds almost the same.

Measured on synthetic and recorded voices (November 2026): nearly every wrong hearing that seemed sure was one of these.
"""

from itertools import pairwise

from dialogue.understanding.numbers import TEENS, TENS, UNITS

ALWAYS = frozenset(TEENS) - {"ten", "eleven"} | {"one", "eighth", "eighths"}  # thirteen, thirty; twelve, one; an eighth
LETTER = "n"  # "seven n" and "seventy" are one sound


def is_easily_misheard(text: str) -> bool:
    """Whether the text holds such a number."""
    words = text.split()
    if words == ["oh"] or not ALWAYS.isdisjoint(words):
        return True
    return any(
        (word in TENS and after not in UNITS) or (word in UNITS and after == LETTER)
        for word, after in pairwise([*words, ""])
    )
