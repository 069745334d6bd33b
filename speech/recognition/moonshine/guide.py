"""What can be written next and how likely it is said: every written form of every word as a tree of pieces, and the
probabilities of the words on top. It is asked about any text and rules none out that is made of its words."""

from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from speech.language.language import Sayings
from speech.recognition.moonshine.pieces import Pieces
from speech.recognition.moonshine.word_model import STOP, FloatArray, WordModel, WordPair
from speech.recognition.moonshine.written_forms import SPOKEN_NUMBERS, WrittenForm, written_forms

MARKS = (".", ",", "?", "!", "...", "-", ";")  # may stand after any word and say nothing


class Node:
    """A place in the tree: the pieces that lead on, and the forms that end here."""

    __slots__ = ("below", "cuts", "ends", "following", "next", "pieces")

    def __init__(self) -> None:
        self.next: dict[int, Node] = {}
        self.ends: list[int] = []  # numbers of forms
        self.pieces: NDArray[np.int64] = np.zeros(0, np.int64)
        self.following: list[Node] = []
        self.below: NDArray[np.int64] = np.zeros(0, np.int64)  # the forms in the subtree of each that follows, joined
        self.cuts: NDArray[np.int64] = np.zeros(0, np.int64)  # where each of those begins

    def close(self) -> list[int]:
        """Make the arrays, from the ends up; the forms in the whole subtree."""
        self.pieces, self.following = np.array(list(self.next), np.int64), list(self.next.values())
        parts = [node.close() for node in self.following]
        self.below = np.array([form for part in parts for form in part], np.int64)
        self.cuts = np.cumsum([0, *(len(part) for part in parts)])[:-1]
        return [*self.ends, *self.below.tolist()]

    def best(self, of: FloatArray) -> FloatArray:
        """For each piece that leads on, the best of these values among the forms beyond it."""
        result: FloatArray = np.maximum.reduceat(of[self.below], self.cuts)
        return result


class Guide:
    """The tree and the word model of some sayings."""

    def __init__(self, sayings: Sayings, pieces: Pieces) -> None:
        self.model = WordModel(sayings, SPOKEN_NUMBERS)
        self.marks = tuple(one for mark in MARKS if (one := pieces.number(mark)) is not None)
        self.words, self.hanging, self.forms = _trees(self.model.words, pieces)
        self._first = np.array([self.model.place(form.words[0]) for form in self.forms], np.int64)
        self._rest = np.array([self._inner(form.words) for form in self.forms])
        self.likely = lru_cache(maxsize=60)(self._likely)

    def _inner(self, words: tuple[str, ...]) -> float:
        two = pairwise(words)
        return float(sum(self.model.after_one(first)[self.model.place(second)] for first, second in two))

    def _likely(self, history: WordPair) -> FloatArray:
        """The log-probability of each form after this history."""
        result: FloatArray = (self.model.after(history)[self._first] + self._rest).astype(np.float32)
        return result

    def stop(self, history: WordPair) -> float:
        """The log-probability that nothing more is said."""
        return float(self.model.after(history)[self.model.place(STOP)])


@lru_cache(maxsize=2)
def _trees(words: frozenset[str], pieces: Pieces) -> tuple[Node, Node, list[WrittenForm]]:
    """The roots, of forms after a space and of those that hang on, and the forms; questions differ in how likely the
    words are, hardly ever in the words."""
    after, hanging, forms = Node(), Node(), list[WrittenForm]()
    for form in dict.fromkeys(written_forms(sorted(words))):
        if not words.issuperset(form.words):
            continue
        try:
            spelt = pieces.numbers(form.written)
        except KeyError:  # a character the network cannot write
            continue
        node = hanging if form.hanging else after
        for piece in spelt:
            node = node.next.setdefault(piece, Node())
        node.ends.append(len(forms))
        forms.append(form)
    after.close()
    hanging.close()
    return after, hanging, forms
