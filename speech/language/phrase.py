"""What can be said, as a tree: words, sequences, choices. The caller writes its language with these.

A phrase is data: it is hashable, compares by value and has a digest that is the same on every machine,
so that an automaton compiled from it can be kept in a cache file. There is no unbounded repetition:
every phrase holds finitely many sentences, which keeps the automaton acyclic and its weights exact.
"""

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

from speech.errors import LanguageError

Phrase: TypeAlias = "Word | Sequence | Choice"
Part: TypeAlias = "Word | Sequence | Choice | str"


@dataclass(frozen=True, slots=True)
class Word:
    """One spoken word, lower case; no spaces."""

    text: str

    def __post_init__(self) -> None:
        if not self.text or self.text != self.text.lower() or any(c.isspace() for c in self.text):
            raise LanguageError(f"a word must be lower case, not empty and hold no space: {self.text!r}")


@dataclass(frozen=True, slots=True)
class Sequence:
    """Parts said one after the other; no part at all is silence."""

    parts: tuple[Phrase, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several phrases, each with a weight above 0 (weights are made to sum to 1)."""

    branches: tuple[tuple[Phrase, float], ...]

    def __post_init__(self) -> None:
        if not self.branches:
            raise LanguageError("a choice needs at least one branch")
        if not all(0 < weight < float("inf") for _, weight in self.branches):
            raise LanguageError("every weight of a choice must be above 0 and finite")


def phrase(part: Part) -> Phrase:
    """A phrase from a string of words: `"take away"` is two words in sequence."""
    if not isinstance(part, str):
        return part
    words = tuple(Word(text) for text in part.split())
    return words[0] if len(words) == 1 else Sequence(words)


def sequence(*parts: Part) -> Phrase:
    """The parts, one after the other."""
    return Sequence(tuple(phrase(part) for part in parts))


def choice(*parts: Part) -> Phrase:
    """One of the parts, each as likely as another."""
    return Choice(tuple((phrase(part), 1.0) for part in parts))


def weighted(*branches: tuple[Part, float]) -> Phrase:
    """One of the parts, as likely as its weight says."""
    return Choice(tuple((phrase(part), weight) for part, weight in branches))


def optional(part: Part, probability: float = 0.5) -> Phrase:
    """The part, or nothing; `probability` (above 0, below 1) is that of its being said."""
    if not 0 < probability < 1:
        raise LanguageError(f"the probability of an optional phrase lies between 0 and 1: {probability}")
    return Choice(((phrase(part), probability), (Sequence(()), 1 - probability)))


def repeated(part: Part, least: int, most: int) -> Phrase:
    """The part said `least` to `most` times, each count as likely as another."""
    if not 0 <= least <= most:
        raise LanguageError(f"cannot repeat a phrase {least} to {most} times")
    one = phrase(part)
    return Choice(tuple((Sequence((one,) * count), 1.0) for count in range(least, most + 1)))


@lru_cache(maxsize=64)
def phrase_hash(tree: Phrase) -> str:
    """SHA-256 of the phrase, in hexadecimal, the same on every machine and in every run."""
    seen: dict[int, bytes] = {}  # a part used in many places is the same object: hash it once

    def of(node: Phrase) -> bytes:
        if id(node) not in seen:
            match node:
                case Word(text):
                    body = b"w" + text.encode()
                case Sequence(parts):
                    body = b"s" + b"".join(of(part) for part in parts)
                case Choice(branches):
                    body = b"c" + b"".join(of(part) + repr(float(w)).encode() for part, w in branches)
            seen[id(node)] = hashlib.sha256(body).digest()
        return seen[id(node)]

    return of(tree).hex()
