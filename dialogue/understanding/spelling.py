"""Slips of the keyboard: an unknown word one slip away from exactly one word of mathematics is that word.

A slip is a letter left out, doubled or put in, changed, or two neighbours exchanged (Damerau 1964, "A technique for
computer detection and correction of spelling errors": more than 80% of errors are one of these). Short words are
corrected only by exchange: one changed letter makes too many of them other words. A word typed without its vowels
("mltply") is the one word that has these consonants.
"""

from functools import lru_cache

SURE_LENGTH = 6  # from here on any single slip is corrected
VOWELS = frozenset("aeiou")
LEAST_LENGTH = 4  # from here on an exchange of neighbours is


class Speller:
    """Corrects words that are not ``known`` to the nearest of ``targets``."""

    def __init__(self, known: frozenset[str], targets: frozenset[str]) -> None:
        self.known = known
        self._targets: dict[int, list[str]] = {}
        for target in targets:
            self._targets.setdefault(len(target), []).append(target)
        self._bare: dict[str, set[str]] = {}
        for target in targets:
            self._bare.setdefault(_consonants(target), set()).add(target)
        self.mended = lru_cache(maxsize=4096)(self._mended)

    def _mended(self, word: str) -> str:
        if word in self.known:
            return word
        lengths = (len(word) - 1, len(word), len(word) + 1)
        near = {target for length in lengths for target in self._targets.get(length, ()) if _one_slip(word, target)}
        if not near and len(word) >= LEAST_LENGTH and VOWELS.isdisjoint(word[1:]):
            near = self._bare.get(word, set())
        return next(iter(near)) if len(near) == 1 else word


def _consonants(word: str) -> str:
    return word[:1] + "".join(letter for letter in word[1:] if letter not in VOWELS)


def _one_slip(word: str, target: str) -> bool:
    """Whether the word is the target with one slip of a kind that is corrected at its length."""
    at = next((at for at, (a, b) in enumerate(zip(word, target, strict=False)) if a != b), min(len(word), len(target)))
    if len(word) == len(target):
        if len(target) >= LEAST_LENGTH and word[at : at + 2] == target[at : at + 2][::-1]:
            return word[at + 2 :] == target[at + 2 :]
        return len(target) >= SURE_LENGTH and word[at + 1 :] == target[at + 1 :]
    if len(target) < SURE_LENGTH:
        return False
    longer, shorter = (word, target) if len(word) > len(target) else (target, word)
    return longer[at + 1 :] == shorter[at:]
