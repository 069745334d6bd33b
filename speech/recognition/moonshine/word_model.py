"""How likely a word is after two others: trigrams with interpolated back-off (Witten and Bell 1991, "The zero-frequency
problem", IEEE Transactions on Information Theory 37), over words of which some count as one another.

Every word can follow every other, at a price: what is said is weighed, never ruled out.
"""

from collections import defaultdict
from functools import lru_cache
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from speech.language.language import Sayings

START, STOP = "<s>", "</s>"
FloatArray = NDArray[np.floating]
WordPair = tuple[str, str]
Before = TypeVar("Before", str, WordPair)
SEEN_NOWHERE = 0.1  # as often as a word counts that stands in no text
ALWAYS = 0.2  # as often as each of the words counts that are known whatever the texts hold


class _Counts(Generic[Before]):
    """What follows each history: places and how often, in one array for all of them, since there are thousands."""

    def __init__(self, after: dict[Before, dict[str, float]], place: dict[str, int]) -> None:
        self._row: dict[Before, int] = {history: row for row, history in enumerate(after)}
        self._ends = np.cumsum([0, *(len(each) for each in after.values())])
        self._places = np.array([place[word] for each in after.values() for word in each], np.int64)
        self._often = np.array([often for each in after.values() for often in each.values()])

    def over(self, history: Before, shorter: FloatArray) -> FloatArray:
        """The probabilities after this history, from those after a shorter one."""
        row = self._row.get(history)
        if row is None:
            return shorter
        part = slice(self._ends[row], self._ends[row + 1])
        often = self._often[part]
        total, different = float(often.sum()), len(often)
        mixed = shorter * (different / (total + different))
        mixed[self._places[part]] += often / (total + different)
        return mixed


class WordModel:
    """Made from sayings. A weight of 1 counts as having been said once; `known` words are in it in any case."""

    def __init__(self, sayings: Sayings, known: frozenset[str] = frozenset()) -> None:
        self._kind = {word: f"<{number}>" for number, alike in enumerate(sayings.alike) for word in alike}
        size = {f"<{number}>": len(alike) for number, alike in enumerate(sayings.alike)}
        one: dict[str, float] = defaultdict(float)
        two: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
        three: dict[WordPair, dict[str, float]] = defaultdict(lambda: defaultdict(float))
        self.words = frozenset(known) | frozenset(self._kind) | {w for text, _ in sayings.texts for w in text.split()}
        for text, weight in sayings.texts:
            history = (START, START)
            for word in (*map(self.kind, text.split()), STOP):
                one[word] += weight
                two[history[1]][word] += weight
                three[history][word] += weight
                history = (history[1], word)
        for word in sorted(known | frozenset(self._kind)):
            one[self.kind(word)] += ALWAYS
        self._place = {word: place for place, word in enumerate(sorted(one))}
        total = sum(one.values()) + SEEN_NOWHERE * len(one)
        self._plain = np.array([(one[word] + SEEN_NOWHERE) / total for word in sorted(one)])
        self._shared = np.log([size.get(word, 1) for word in sorted(one)])
        self._two, self._three = _Counts(two, self._place), _Counts(three, self._place)
        self._after_one = lru_cache(maxsize=100)(self._pairs)
        self.after = lru_cache(maxsize=100)(self._triples)

    def kind(self, word: str) -> str:
        """The name under which a word is counted."""
        return self._kind.get(word, word)

    def place(self, word: str) -> int:
        """Where a word, or `STOP`, stands in what `after` gives."""
        return self._place[self.kind(word)]

    def _pairs(self, last: str) -> FloatArray:
        return self._two.over(last, self._plain)

    def after_one(self, word: str) -> FloatArray:
        """Log-probabilities of all words after this one, whatever came before it."""
        result: FloatArray = np.log(self._after_one(self.kind(word))) - self._shared
        return result

    def _triples(self, history: WordPair) -> FloatArray:
        """Log-probabilities of all words after this history (of kinds)."""
        result: FloatArray = np.log(self._three.over(history, self._after_one(history[1]))) - self._shared
        return result

    def then(self, history: WordPair, words: tuple[str, ...]) -> WordPair:
        """The history once these words were said too."""
        for word in words:
            history = (history[1], self.kind(word))
        return history

    def score(self, text: str) -> float:
        """The log-probability of a whole text of known words."""
        history, total = (START, START), 0.0
        for word in (*text.split(), STOP):
            total += float(self.after(history)[self.place(word)])
            history = self.then(history, (word,))
        return total
