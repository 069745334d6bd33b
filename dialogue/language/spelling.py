"""Slips of the keyboard: an unknown word one slip away from exactly one word of mathematics is that word.

A slip is a letter left out, doubled or put in, changed, or two neighbours exchanged (Damerau 1964, "A technique for
computer detection and correction of spelling errors": more than 80% of errors are one of these). Short words are only
mended by exchange: one changed letter makes too many of them other words. A word typed without its vowels ("mltply") is
the one word that has these consonants.
"""

from collections.abc import Iterator
from functools import lru_cache

SURE_LENGTH = 6  # from here on any single slip is mended
VOWELS = frozenset("aeiou")
LEAST_LENGTH = 4  # from here on an exchange of neighbours is


class Speller:
    """Mends words that are not ``known`` towards ``targets``."""

    def __init__(self, known: frozenset[str], targets: frozenset[str]) -> None:
        self.known = known
        self._slips: dict[str, set[str]] = {}
        for target in targets:
            for slip in _slips(target):
                if slip not in known:
                    self._slips.setdefault(slip, set()).add(target)
        self._bare: dict[str, set[str]] = {}
        for target in targets:
            self._bare.setdefault(_consonants(target), set()).add(target)
        self.mended = lru_cache(maxsize=4096)(self._mended)

    def _mended(self, word: str) -> str:
        if word in self.known:
            return word
        near = self._slips.get(word, set())
        if not near and len(word) >= LEAST_LENGTH and VOWELS.isdisjoint(word[1:]):
            near = self._bare.get(word, set())
        return next(iter(near)) if len(near) == 1 else word


def _consonants(word: str) -> str:
    return word[:1] + "".join(letter for letter in word[1:] if letter not in VOWELS)


def _slips(word: str) -> Iterator[str]:
    letters = "abcdefghijklmnopqrstuvwxyz"
    if len(word) >= LEAST_LENGTH:
        for at in range(len(word) - 1):
            if word[at] != word[at + 1]:
                yield word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    if len(word) >= SURE_LENGTH:
        for at in range(len(word) + 1):
            yield word[:at] + word[at + 1 :]
            for letter in letters:
                yield word[:at] + letter + word[at:]
                yield word[:at] + letter + word[at + 1 :]
