"""How likely a word is after two others: trigrams with interpolated back-off (Witten and Bell 1991, "The zero-frequency
problem", IEEE Transactions on Information Theory 37), over words of which some count as one another.

Every word can follow every other, at a price: what is said is weighed, never ruled out.
"""

import numpy as np

from speech.language.language import Sayings
from speech.recognition.moonshine.word_counts import START, STOP, FloatArray, counts_of

WordPair = tuple[str, str]
SEEN_NOWHERE = 0.1  # as often as a word counts that stands in no text
ALWAYS = 0.2  # as often as each of the words counts that are known whatever the texts hold
KEPT = 40  # of what follows one word, 20 kB each


class WordModel:
    """Made from sayings. A weight of 1 counts as having been said once; `known` words are in it in any case."""

    def __init__(self, sayings: Sayings, known: frozenset[str] = frozenset()) -> None:
        self._counts = counts_of(sayings.corpus, known)
        word, said = sayings.said_for or ("", "")
        self._kinds = self._counts.kinds | ({said: word} if word != said else {})
        self.words = self._counts.words
        if word in self.words:
            self.words = self.words - {word} | {said}
        self._shares = np.array(sayings.shares)
        plain = self._shares @ self._counts.one + ALWAYS * self._counts.always + SEEN_NOWHERE
        self._plain: FloatArray = plain / plain.sum()
        self._known: dict[str, FloatArray] = {}

    def kind(self, word: str) -> str:
        """The name under which a word is counted."""
        return self._kinds.get(word, word)

    def place(self, word: str) -> int:
        """Where a word, or `STOP`, stands in what `after` gives."""
        return self._counts.places[self.kind(word)]

    def _pairs(self, last: str) -> FloatArray:
        """The probabilities of all words after one kind."""
        if (known := self._known.get(last)) is not None:
            return known
        while len(self._known) >= KEPT:
            self._known.pop(next(iter(self._known)))
        place = self._counts.place(last)
        found = self._plain if place is None else self._counts.two.over(place, self._shares, self._plain)
        return self._known.setdefault(last, found)

    def after_one(self, word: str) -> FloatArray:
        """Log-probabilities of all words after this one, whatever came before it."""
        result: FloatArray = np.log(self._pairs(self.kind(word))) - self._counts.shared
        return result

    def after(self, history: WordPair) -> FloatArray:
        """Log-probabilities of all words after this history (of kinds)."""
        before, last = (self._counts.place(kind) for kind in history)
        likely = self._pairs(history[1])
        if before is not None and last is not None:
            both = before * (len(self._plain) + 1) + last
            likely = self._counts.three.over(both, self._shares, likely)
        result: FloatArray = np.log(likely) - self._counts.shared
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
