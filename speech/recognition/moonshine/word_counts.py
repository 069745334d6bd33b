"""How often each word stands after one and after two others, in each group of a corpus.

Counted once: a question only changes how much each group counts, and what follows a history is added up when somebody
asks about it.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from speech.language.language import Corpus

START, STOP = "<s>", "</s>"
FloatArray = NDArray[np.floating]
Numbers = NDArray[np.int64]


class Followers:
    """What follows each history, and how often in each group, in one array for all of them."""

    def __init__(self, history: Numbers, place: Numbers, group: Numbers, often: FloatArray, size: int) -> None:
        """An entry for each word of the texts; `size` is the number of places."""
        groups = int(group.max(initial=0)) + 1
        cells, which = np.unique((history * size + place) * groups + group, return_inverse=True)
        self._often = np.bincount(which, often)
        self._group = (cells % groups).astype(np.int8)
        self._place = (cells // groups % size).astype(np.int32)
        self._histories, starts = np.unique(cells // (groups * size), return_index=True)
        self._ends = np.append(starts, len(cells))

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
        size, start, stop = len(self.places), len(self.places), self.places[STOP]
        of = {word: self.places[self.kinds.get(word, word)] for word in self.words}
        texts = ((start, start, *map(of.__getitem__, text.split()), stop) for group in groups for text, _ in group)
        stream = np.fromiter(chain.from_iterable(texts), np.int64)
        at = np.flatnonzero(stream != start)
        place, last, before = stream[at], stream[at - 1], stream[at - 2]
        lengths = np.diff(np.flatnonzero(place == stop), prepend=-1)
        often = np.repeat(np.array([weight for group in groups for _, weight in group], np.float64), lengths)
        group = np.repeat(np.array([number for number, group in enumerate(groups) for _ in group], np.int64), lengths)
        self.one = np.zeros((len(groups), size))
        np.add.at(self.one, (group, place), often)
        self.two = Followers(last, place, group, often, size)
        self.three = Followers(before * (size + 1) + last, place, group, often, size)

    def place(self, kind: str) -> int | None:
        """Of a kind of word, as a part of a history; None for one that stands nowhere."""
        return len(self.places) if kind == START else self.places.get(kind)


@lru_cache(maxsize=3)  # a lesson has two: its answers, and the words that stop the tutor
def counts_of(corpus: Corpus, known: frozenset[str]) -> WordCounts:
    """The counts of a corpus, made once (0.3 s for 40,000 texts)."""
    return WordCounts(corpus, known)
