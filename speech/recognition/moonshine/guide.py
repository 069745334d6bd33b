"""What can be written next and how likely it is said: every written form of every word as a tree of pieces, and the
probabilities of the words on top. It is asked about any text and rules none out that is made of its words."""

from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from speech.language.language import Corpus, Sayings
from speech.recognition.moonshine.piece_tree import EMPTY, Node, Spelt, grown
from speech.recognition.moonshine.pieces import Pieces
from speech.recognition.moonshine.word_counts import STOP, FloatArray, counts_of
from speech.recognition.moonshine.word_model import WordModel, WordPair
from speech.recognition.moonshine.written_forms import SPOKEN_NUMBERS, WrittenForm, forms_of_words, written_forms

MARKS = (".", ",", "?", "!", "...", "-", ";")  # may stand after any word and say nothing
AHEAD = 40  # histories remembered, 70 kB each: more than a beam has at a time


class Ahead(NamedTuple):
    """The log-probabilities after a history: of each form, that nothing more is said, and the best that each piece may
    come to that begins a word, after a space and hanging on."""

    forms: FloatArray
    stop: float
    words: FloatArray
    hanging: FloatArray


class Trees(NamedTuple):
    """The roots, of forms after a space and of those that hang on, and the forms."""

    words: Node
    hanging: Node
    forms: tuple[WrittenForm, ...]


class Guide:
    """The trees and the word model of some sayings. What does not depend on the question is shared by all guides of a
    corpus, so that one more is made in milliseconds."""

    def __init__(self, sayings: Sayings, pieces: Pieces) -> None:
        self.model = WordModel(sayings, SPOKEN_NUMBERS)
        self.marks = tuple(one for mark in MARKS if (one := pieces.number(mark)) is not None)
        self.words, self.hanging, self.forms = _in_words(sayings.corpus, sayings.said_for, pieces)
        self._first = np.array([self.model.place(form.words[0]) for form in self.forms], np.int64)
        self._rest = self._inner()
        self._known: dict[WordPair, Ahead] = {}  # no cache around a method of its own: that would be freed late

    def _inner(self) -> FloatArray:
        """The log-probability of each form's further words after its first."""
        two = [(row, pair) for row, form in enumerate(self.forms) for pair in pairwise(form.words)]
        after = {first: self.model.after_one(first) for first in {first for _, (first, _) in two}}
        rest = np.zeros(len(self.forms))
        for row, (first, second) in two:
            rest[row] += after[first][self.model.place(second)]
        return rest

    def after(self, history: WordPair) -> Ahead:
        """What may come after this history."""
        if (known := self._known.get(history)) is not None:
            return known
        while len(self._known) >= AHEAD:
            self._known.pop(next(iter(self._known)))
        return self._known.setdefault(history, self._after(history))

    def _after(self, history: WordPair) -> Ahead:
        words = self.model.after(history)
        forms: FloatArray = (words[self._first] + self._rest).astype(np.float32)
        hanging = self.hanging.best(forms) if self.hanging.following else forms[:0]
        return Ahead(forms, float(words[self.model.place(STOP)]), self.words.best(forms), hanging)

    def ahead(self, node: Node, history: WordPair) -> FloatArray:
        """For each piece that leads on from this node, the best that it may come to."""
        after = self.after(history)
        if node is self.words:
            return after.words
        return after.hanging if node is self.hanging else node.best(after.forms)


@lru_cache(maxsize=3)
def _in_words(corpus: Corpus, said_for: tuple[str, str] | None, pieces: Pieces) -> Trees:
    """The trees of a corpus in which one word is said otherwise: those without it, and its own forms."""
    word, said = said_for or ("", "")
    trees = _without(corpus, word, pieces)
    if not word or (said in counts_of(corpus, SPOKEN_NUMBERS).words and said != word):
        return trees
    return _with(trees, forms_of_words([said]), pieces)


@lru_cache(maxsize=3)
def _without(corpus: Corpus, word: str, pieces: Pieces) -> Trees:
    """The trees of all words of a corpus but this one, and of numbers."""
    words = counts_of(corpus, SPOKEN_NUMBERS).words - {word}
    forms = dict.fromkeys(written_forms(sorted(words)))
    return _with(Trees(EMPTY, EMPTY, ()), (form for form in forms if words.issuperset(form.words)), pieces)


def _with(trees: Trees, forms: Iterable[WrittenForm], pieces: Pieces) -> Trees:
    """The trees with these forms too, but for those with a character that the network cannot write."""
    spelt: tuple[list[Spelt], list[Spelt]] = [], []
    every = list(trees.forms)
    for form in forms:
        try:
            spelt[form.hanging].append((pieces.numbers(form.written), len(every)))
        except KeyError:
            continue
        every.append(form)
    return Trees(grown(trees.words, spelt[False]), grown(trees.hanging, spelt[True]), tuple(every))
