"""How often each word stands after one and after two others, in each group of a corpus.

Counted once: a question only changes how much each group counts, and what follows a history is added up when somebody
asks about it.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import chain
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from speech.language.language import Corpus

START, STOP = "<s>", "</s>"
FloatArray = NDArray[np.floating]
Numbers = NDArray[np.int64]


class Tally(NamedTuple):
    """Of one group: numbers of a history and a word after it, each once, and how often that stands there."""

    pairs: Numbers
    often: FloatArray


def _tally(pairs: Numbers, often: FloatArray) -> Tally:
    found, which = np.unique(pairs, return_inverse=True)
    return Tally(found, np.bincount(which, often).astype(np.float64))


class Followers:
    """What follows each history, and how often in each group, in one array for all of them."""

    def __init__(self, tallies: Sequence[Tally], size: int) -> None:
        """A tally for each group; `size` is the number of places, and a pair is a history times it and a place."""
        pairs = np.concatenate([tally.pairs for tally in tallies])
        order = np.argsort(pairs, kind="stable")
        pairs = pairs[order]
        self._often = np.concatenate([tally.often for tally in tallies])[order]
        self._group = np.repeat(np.arange(len(tallies), dtype=np.int8), [len(tally.pairs) for tally in tallies])[order]
        self._place = (pairs % size).astype(np.int32)
        self._histories, starts = np.unique(pairs // size, return_index=True)
        self._ends = np.append(starts, len(pairs))

    def over(self, history: int, shares: FloatArray, shorter: FloatArray) -> FloatArray:
        """The probabilities after this history, each group counted by its share, from those after a shorter one."""
        at = int(np.searchsorted(self._histories, history))
        if at == len(self._histories) or self._histories[at] != history:
            return shorter
        part = slice(self._ends[at], self._ends[at + 1])
        places, often = self._place[part], self._often[part] * shares[self._group[part]]
        different = 1 + np.count_nonzero(np.diff(places))
        whole = float(often.sum()) + different
        mixed: FloatArray = shorter * (different / whole) + np.bincount(places, often, len(shorter)) / whole
        return mixed


class WordCounts:
    """The counts of a corpus. `words` are its words and those that are known in any case; `places` has each kind of
    word, which is the word itself or the set of `alike` that it is in."""

    def __init__(self, corpus: Corpus, known: frozenset[str]) -> None:
        self.kinds = {word: f"<{number}>" for number, alike in enumerate(corpus.alike) for word in alike}
        groups = corpus.groups()
        said = {word for group in groups for text, _ in group for word in text.split()}
        self.words = known | frozenset(self.kinds) | said
        names = sorted({self.kinds.get(word, word) for word in self.words} | {STOP})
        self.places = {name: place for place, name in enumerate(names)}
        size = {f"<{number}>": len(alike) for number, alike in enumerate(corpus.alike)}
        self.shared = np.log([size.get(name, 1) for name in names])
        self.always = np.zeros(len(names))
        for word in sorted(known | frozenset(self.kinds)):
            self.always[self.places[self.kinds.get(word, word)]] += 1
        self._count(groups)

    def _count(self, groups: Sequence[Sequence[tuple[str, float]]]) -> None:
        """Group by group, since what is counted at once takes megabytes."""
        size, start, stop = len(self.places), len(self.places), self.places[STOP]
        of = {word: self.places[self.kinds.get(word, word)] for word in self.words}
        two, three = list[Tally](), list[Tally]()
        self.one = np.zeros((len(groups), size))
        for number, group in enumerate(groups):
            texts = ((start, start, *map(of.__getitem__, text.split()), stop) for text, _ in group)
            stream = np.fromiter(chain.from_iterable(texts), np.int64)
            at = np.flatnonzero(stream != start)
            place, last, before = stream[at], stream[at - 1], stream[at - 2]
            lengths = np.diff(np.flatnonzero(place == stop), prepend=-1)
            often = np.repeat(np.array([weight for _, weight in group], np.float64), lengths)
            self.one[number] = np.bincount(place, often, size)
            two.append(_tally(last * size + place, often))
            three.append(_tally((before * (size + 1) + last) * size + place, often))
        self.two, self.three = Followers(two, size), Followers(three, size)

    def place(self, kind: str) -> int | None:
        """Of a kind of word, as a part of a history; None for one that stands nowhere."""
        return len(self.places) if kind == START else self.places.get(kind)


@lru_cache(maxsize=3)  # a lesson has two: its answers, and the words that stop the tutor
def counts_of(corpus: Corpus, known: frozenset[str]) -> WordCounts:
    """The counts of a corpus, made once (0.3 s for 40,000 texts)."""
    return WordCounts(corpus, known)
