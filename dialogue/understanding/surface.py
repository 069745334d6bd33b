"""What was typed or heard, as the words the tagger sees: numbers and the unknown have no identity there."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from dialogue.understanding.numbers import mixed_at

WORD = re.compile(r"\d+\s?[¼-¾⅐-⅞]|\d+(?:\.\d+)?|\.\d+|[^\W\d_]+(?:['’][^\W\d_]+)*|\S")
NUMBER, LETTER = "7", "z"  # what every number in digits and the unknown are shown as
MOST_WORDS = 64  # of a turn; what is said after them is not looked at
MOST_CONTEXT = 24  # of the tutor's last words
NOT_A_LETTER = frozenset("ai")  # words of their own: an unknown only beside mathematics


@dataclass(frozen=True, slots=True)
class ShownWord:
    """A word of the text: how the tagger sees it, and where it stands."""

    shown: str
    start: int
    end: int


def words(text: str, letter: str) -> tuple[ShownWord, ...]:
    """The words of a text with numbers and the unknown's letter masked; at most ``MOST_WORDS``."""
    found: list[ShownWord] = []
    letter = letter.lower()
    for match in WORD.finditer(text):
        shown = match.group().lower().replace("’", "'")
        if shown[0].isdecimal() or (shown[0] == "." and len(shown) > 1):
            shown = NUMBER
        elif shown == letter or shown in {letter + "'s", letter + "s"}:
            before = found[-1] if found else ShownWord(" ", 0, 0)
            if before.shown == NUMBER and before.end == match.start():
                found[-1] = ShownWord(NUMBER + LETTER, before.start, match.end())  # "5n" is one word
                continue
            if letter not in NOT_A_LETTER or before.shown == NUMBER or before.shown in "+-*/=()÷×−":
                shown = LETTER
        found.append(ShownWord(shown, match.start(), match.end()))
        if len(found) == MOST_WORDS:
            break
    return tuple(_mixed_as_one(text, found))


def _mixed_as_one(text: str, found: list[ShownWord]) -> Iterator[ShownWord]:
    """A mixed number, typed or said, as one number: no part of it is a number of its own ("4 1/2" is never 4)."""
    said = [text[word.start : word.end].lower() for word in found]
    at = 0
    while at < len(found):
        end = mixed_at(said, at)
        yield ShownWord(NUMBER, found[at].start, found[end - 1].end) if end else found[at]
        at = end or at + 1


def context(tutor: str, letter: str) -> tuple[str, ...]:
    """The last words of the tutor's sentence, masked in the same way: no number of the equation can be seen."""
    return tuple(word.shown for word in words(tutor[-400:], letter))[-MOST_CONTEXT:]
