"""How words may be written down: "Three" and "three", "21" and "twenty-one", "3x", "1.5", "3/4", "=".

A dictating network writes numbers in digits as readily as in words. Each form stands for the words that were said.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

UNITS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TEENS = ("ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen")
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
PARTS = ("third", "quarter", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
SPOKEN_NUMBERS = frozenset({*UNITS, *TEENS, *TENS, *PARTS, *(f"{part}s" for part in PARTS)}) | {
    "zero", "half", "hundred", "thousand", "point", "minus", "a", "an",
}  # fmt: skip
HIGHEST = 1000
SOUNDS_LIKE: dict[str, tuple[str, ...]] = {  # how the network writes a word that it does not expect
    "two": ("to", "too"), "three": ("free", "tree"), "four": ("for", "fore"), "eight": ("ate",), "one": ("won",),
    "nought": ("not", "nor"), "halve": ("have",), "undo": ("and do", "a new", "i knew"), "add": ("at", "ad"),
    "by": ("buy", "bye"),
    "sum": ("some",), "minus": ("minors",), "third": ("thud",), "equals": ("equal",), "x": ("ex", "eggs", "axe"),
    "n": ("en", "an", "end", "and", "in"), "b": ("be", "bee"), "c": ("see", "sea"), "d": ("dee",), "g": ("gee",),
    "h": ("age",), "j": ("jay",), "k": ("kay", "okay"), "l": ("el", "elle"), "m": ("em", "am", "him"), "p": ("pee",),
    "q": ("queue",), "r": ("are", "our"), "s": ("ess",), "t": ("tea", "tee"), "u": ("you",), "v": ("vee",),
    "w": ("double you",), "y": ("why",), "z": ("zed", "zee", "said"),
}  # fmt: skip
SIGNS = {"=": "equals", "+": "plus", "-": "minus"}


class WrittenForm(NamedTuple):
    """Words, how they are written, and whether they hang on what stands before ("x" in "3x")."""

    words: tuple[str, ...]
    written: str
    hanging: bool = False


def spoken(number: int) -> tuple[str, ...]:
    """The words for 0 to 999: 120 as "one hundred twenty"."""
    if number == 0:
        return ("zero",)
    if number < 10:
        return (UNITS[number - 1],)
    if number < 20:
        return (TEENS[number - 10],)
    if number < 100:
        return (TENS[number // 10 - 2], *(spoken(number % 10) if number % 10 else ()))
    return (UNITS[number // 100 - 1], "hundred", *(spoken(number % 100) if number % 100 else ()))


def written_forms(words: Iterable[str]) -> Iterator[WrittenForm]:
    """Every form of these words, of numbers and of signs."""
    yield from forms_of_words(words)
    yield from _in_digits()
    yield from _hyphened()
    yield from (WrittenForm((word,), f" {sign}") for sign, word in SIGNS.items())


def forms_of_words(words: Iterable[str]) -> Iterator[WrittenForm]:
    """Every form of these words alone."""
    for word in words:
        yield WrittenForm((word,), f" {word}")
        yield WrittenForm((word,), f" {word.capitalize()}")
        for other in SOUNDS_LIKE.get(word, ()):
            yield WrittenForm((word,), f" {other}")
            yield WrittenForm((word,), f" {other.capitalize()}")
        if len(word) == 1 and word not in "ai":
            yield from (WrittenForm((word,), word, True), WrittenForm((word,), word.upper(), True))


def _in_digits() -> Iterator[WrittenForm]:
    for number in range(HIGHEST):
        yield WrittenForm(spoken(number), f" {number}")
        if number:
            yield WrittenForm(("minus", *spoken(number)), f" -{number}")
    for number in range(100):
        if number < 10:
            yield WrittenForm(("point", *spoken(number)), f".{number}", True)
        yield WrittenForm(("point", *spoken(number // 10), *spoken(number % 10)), f".{number:02}", True)
    yield WrittenForm(("one", "half"), " 1/2")
    for below, part in enumerate(PARTS, start=3):
        yield WrittenForm(("one", part), f" 1/{below}")
        yield from (WrittenForm((*spoken(above), f"{part}s"), f" {above}/{below}") for above in range(2, 10))


def _hyphened() -> Iterator[WrittenForm]:
    pairs = [(ten, unit) for ten in TENS for unit in UNITS]
    pairs += [(first, part) for first in (*UNITS, "a", "an") for part in (*PARTS, *(f"{part}s" for part in PARTS))]
    for first, second in pairs:
        yield WrittenForm((first, second), f" {first}-{second}")
        yield WrittenForm((first, second), f" {first.capitalize()}-{second}")
