"""What a learner asks beside the work, learned: which of the prepared topics the words of a clause ask about, if any.

One linear layer on the mean of what two layers of the tagger's network make of the clause's words, and on its words and
pieces of words; trained by ``tests/training/fit_topics.py`` on the sentences beside it, which also writes the file.
Nothing of a step or an answer is read here.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from importlib import resources
from typing import NamedTuple
from zlib import crc32

import numpy as np
import numpy.typing as npt

from dialogue.understanding import surface, tagger
from dialogue.understanding.grammar import read_data
from dialogue.understanding.seen_turn import SeenTurn

NONE, OTHER = "none", "other"  # no question; a question that is no prepared topic
ASKED = 0.55  # the probability from which a clause is taken to ask (a choice: a wrong answer is worse than none)
NEARLY = 0.7  # of the probability of the best start, from which an earlier one is taken
NEARLY_ASKED = 0.4  # from which a topic is too likely for it to be said that there is no answer
SURELY = 0.1  # the most that a question of no known topic may look like none, or like one that has an act of its own
ACTS = ("why", "right", "wrong", "wording", "repeat", "hint", "answer", "example", "word", "harder", "easier", "stop")
SENTENCE_ENDS = frozenset(".?!;")
NUMBERS = frozenset({surface.NUMBER, surface.LETTER, surface.NUMBER + surface.LETTER})
PIECES = (3, 4)  # letters of the pieces of words

Weights = npt.NDArray[np.float32]


class Asked(NamedTuple):
    """A question: its topic, where its words begin and end in the text, and how probable it is."""

    topic: str
    start: int
    end: int
    probability: float


class Topics(NamedTuple):
    """The layer: a column a topic."""

    names: tuple[str, ...]
    bias: Weights
    of_states: Weights
    of_grams: Weights

    def probabilities(self, words: Sequence[str], states: tagger.States) -> Weights:
        """Of each topic, for one clause: its words as the tagger sees them, and a row of states a word."""
        places, shares = grams_of(words, len(self.of_grams))
        scores = self.bias + states.mean(0) @ self.of_states + shares @ self.of_grams[places]
        found: Weights = np.exp(scores - scores.max())
        share: Weights = found / found.sum()
        return share

    def best(self, words: Sequence[str], states: tagger.States) -> tuple[str, float]:
        """The most probable topic of one clause, and how probable it is."""
        found = self.probabilities(words, states)
        return self.names[int(found.argmax())], float(found.max())


def grams_of(words: Sequence[str], rows: int) -> tuple[list[int], Weights]:
    """The rows of the layer that are met, by the words, pairs of them, and pieces of each (hashed by CRC-32), and the
    share of each: the root of how often, all of them of length 1 together."""
    grams = [f"w {word}" for word in words]
    grams += [f"b {one} {two}" for one, two in zip(("^", *words), (*words, "$"), strict=True)]
    for word in words:
        grams += [f"<{word}>"[at : at + size] for size in PIECES for at in range(max(1, len(word) + 3 - size))]
    found: dict[int, int] = {}
    for gram in grams:
        place = crc32(gram.encode(errors="replace")) % rows
        found[place] = found.get(place, 0) + 1
    often = np.sqrt(np.array(list(found.values()), np.float32))
    return list(found), (often / np.linalg.norm(often)).astype(np.float32)


@lru_cache(maxsize=2)
def packaged(name: str = "learned_topics") -> Topics:
    """A layer of the package."""
    with resources.files("dialogue.understanding").joinpath(f"en/{name}.npz").open("rb") as file:
        layer = np.load(file, allow_pickle=False)
        return Topics(
            tuple(map(str, layer["names"])),
            layer["bias"],
            layer["states"].astype(np.float32) * layer["states_scale"],
            layer["grams"].astype(np.float32) * layer["grams_scale"],
        )


def asked_in(turn: SeenTurn) -> tuple[Asked, ...]:
    """The questions of an utterance, or of a part of one, in the order asked, at most one a sentence."""
    words, states = turn.words, turn.view.states
    found = (_asked(words[begin:end], states[begin:end]) for begin, end in sentences_of(words))
    return tuple(one for one in found if one is not None)


def _asked(words: Sequence[surface.ShownWord], states: tagger.States) -> Asked | None:
    """The question that a sentence is, or ends with behind a step."""
    topics = packaged()
    shown = [word.shown for word in words]
    found = {start: topics.best(shown[start:], states[start:]) for start in _starts(shown) if _may_ask(shown[start:])}
    most = max((probability for topic, probability in found.values() if topic != NONE), default=0.0)
    if most < ASKED:
        return None
    near = [start for start, (topic, probability) in found.items() if topic != NONE and probability >= NEARLY * most]
    behind = (start for start in reversed(near) if _is_step(shown[:start], states[:start]))
    start = next(behind, near[0])
    topic, probability = max((found[one] for one in near if one >= start), key=lambda one: one[1])
    return Asked(topic, words[start].start, words[-1].end, probability)


def unknown_questions(turn: SeenTurn) -> Iterator[Asked]:
    """Sentences that surely ask, of no topic that is known and of nothing that has an act of its own."""
    words, states, topics = turn.words, turn.view.states, packaged()
    for begin, end in sentences_of(words):
        shown = [word.shown for word in words[begin:end]]
        known = _asked(words[begin:end], states[begin:end])
        if known is not None and known.topic == OTHER:
            yield known
        if known is not None or not _may_ask(shown):
            continue
        found = dict(zip(topics.names, topics.probabilities(shown, states[begin:end]), strict=True))
        if (
            max(found.values()) < NEARLY_ASKED
            and found[NONE] <= SURELY
            and sum(found[one] for one in ACTS if one in found) <= SURELY
        ):
            yield Asked(OTHER, words[begin].start, words[end - 1].end, 1.0 - float(found[NONE]))


def _is_step(shown: Sequence[str], states: tagger.States) -> bool:
    """Whether something with a number in it is said that asks nothing."""
    return bool(NUMBERS & set(shown)) and packaged().best(shown, states)[0] == NONE


def _may_ask(shown: Sequence[str]) -> bool:
    """Whether it is more than a word, and has a question's mark or one of the words with which one asks."""
    asks = "?" in shown or not clause_words("asks").isdisjoint(shown)
    return asks and sum(word.isalpha() for word in shown) > 1


def _starts(shown: Sequence[str]) -> Iterator[int]:
    """Where a question may begin: with the sentence, after a comma, at the first of words that clauses begin with."""
    begins = clause_words("begins")
    for at, word in enumerate(shown):
        before = shown[at - 1] if at else ","
        if before in ",:" or (word in begins and before not in begins):
            yield at


@lru_cache(maxsize=2)
def clause_words(kind: str) -> frozenset[str]:
    """The words that clauses begin with, or with which one asks."""
    return frozenset(read_data("topics")["clause"][kind].split())


def sentences_of(words: Sequence[surface.ShownWord]) -> Iterator[tuple[int, int]]:
    """Where each sentence begins and ends."""
    begin = 0
    for at, word in enumerate(words):
        if word.shown in SENTENCE_ENDS or at == len(words) - 1:
            if any(one.shown.isalnum() for one in words[begin : at + 1]):
                yield begin, at + 1
            begin = at + 1
