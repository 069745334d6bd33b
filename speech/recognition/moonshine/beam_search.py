"""The likeliest texts for a sound: beam search over pieces, the network's log-probability and a share of the guide's.

Shallow fusion (Gülçehre and others 2015, arXiv 1503.03535) at the level of words, with look-ahead: from the first piece
of a word on, the best word it may become counts. Pure: it knows the network as something that gives probabilities.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from speech.recognition.moonshine.guide import Guide
from speech.recognition.moonshine.network import Floats, Writing
from speech.recognition.moonshine.piece_tree import Node
from speech.recognition.moonshine.pieces import BEGIN, END
from speech.recognition.moonshine.word_counts import START
from speech.recognition.moonshine.word_model import WordPair


@dataclass(frozen=True, slots=True)
class SearchSettings:
    """Chosen on the dev half of tests/bench/spoken_set.py (29 November 2026): of 233 sounds, in 0.86 to 0.89 the first
    text meant the right thing with a share from 0.3 to 0.7."""

    width: int = 12  # texts followed at a time
    share: float = 0.45  # of the guide's log-probability
    each_word: float = 1.0  # added for each word, against cutting short
    longest: int = 60  # pieces
    pieces: float = 6.5  # a second of voice, and `more`, are the most (the network's authors' bound, from memory)
    more: int = 6
    results: int = 10
    margin: float = 12.0  # texts this much worse than the best finished one are given up ...
    behind: float = 10.0  # ... and those this much worse than the best that is being written
    letters: float = 9.0  # a second of voice beyond the first moment; a text of fewer is cut short
    moment: float = 0.4  # seconds; a word of one syllable is never cut short, so that no number is likelier for it
    each_letter: float = 0.5  # taken off for each that is missing, since the network ends too willingly


class BeamResult(NamedTuple):
    """A text, its total score, what of it came from the sound and from the guide (natural logarithms), and how it was
    written: the likeliest way."""

    text: str
    score: float
    sound: float
    guide: float
    pieces: tuple[int, ...]


class Dictation:
    """The text that the network writes by itself, always the likeliest piece next, and its log-probability."""

    def __init__(self, longest: int = 60) -> None:
        self.pieces: list[int] = [BEGIN]
        self.sound = 0.0
        self._longest = longest

    def ended(self) -> bool:
        """Whether it is whole, or as long as it may get."""
        return self.pieces[-1] == END or len(self.pieces) > self._longest

    def take(self, likely: Floats) -> None:
        """Go on by one piece."""
        self.pieces.append(int(likely.argmax()))
        self.sound += float(likely[self.pieces[-1]])

    def written(self) -> tuple[int, ...]:
        """The pieces between the marks."""
        return tuple(piece for piece in self.pieces if piece not in (BEGIN, END))


class _Row(NamedTuple):
    """A text being written. `node` is None after a mark; `words` are those that are complete."""

    parent: int
    piece: int
    sound: float
    guide: float
    node: Node | None
    history: WordPair
    words: tuple[str, ...]
    written: tuple[int, ...]  # with `piece`


class _Ways(NamedTuple):
    """The best ways on from a row into a node: scores with look-ahead, and which of the node's pieces those are."""

    scores: Floats
    which: NDArray[np.int64]
    row: int
    node: Node
    guide: float
    history: WordPair
    words: tuple[str, ...]


def search(
    writing: Writing,
    guide: Guide,
    settings: SearchSettings | None = None,
    voiced: float | None = None,
    dictation: Dictation | None = None,
) -> list[BeamResult]:
    """The best texts, best first, each once; none where nothing fits. `voiced`: seconds in which there is a voice, if
    known. A `dictation` is written to its end beside them, since a row more costs little where a run costs much."""
    using = settings or SearchSettings()
    rows = [_Row(0, BEGIN, 0.0, 0.0, guide.words, (START, START), (), (BEGIN,))]
    done: list[BeamResult] = []
    most = using.longest if voiced is None else min(using.longest, round(using.pieces * voiced) + using.more)
    alone = 0  # the row of the dictation
    for _ in range(most):
        parents, pieces = [row.parent for row in rows], [row.piece for row in rows]
        dictating = dictation is not None and not dictation.ended()
        if dictation is not None and dictating and dictation.pieces != [BEGIN]:  # else it is the first row
            parents, pieces = [*parents, alone], [*pieces, dictation.pieces[-1]]
            alone = len(rows)
        likely = writing.advance(parents, pieces)
        if dictation is not None and dictating:
            dictation.take(likely[-1])
        ways: list[_Ways] = []
        marked: list[tuple[float, _Row]] = []
        for place, row in enumerate(rows):
            _extend(place, row, likely[place], guide, using, voiced, ways, marked, done)
        done.sort(key=lambda one: -one.score)
        least = done[0].score - using.margin if done else -np.inf
        best, rows = _kept(ways, marked, rows, likely, using, least)
        enough = len(done) >= using.results and (not rows or best < done[using.results - 1].score)
        if not rows or enough:
            break
    while dictation is not None and not dictation.ended():
        dictation.take(writing.advance([alone], dictation.pieces[-1:])[0])
        alone = 0
    best_of: dict[str, BeamResult] = {}
    for one in done:
        best_of.setdefault(one.text, one)
    return list(best_of.values())[: using.results]


def cut_short(text: str, voiced: float | None, using: SearchSettings) -> float:
    """What a text loses that has too few letters for so many seconds of voice."""
    if voiced is None:
        return 0.0
    return using.each_letter * max(0.0, using.letters * (voiced - using.moment) - sum(map(str.isalpha, text)))


def _extend(
    place: int,
    row: _Row,
    likely: Floats,
    guide: Guide,
    using: SearchSettings,
    voiced: float | None,
    ways: list[_Ways],
    marked: list[tuple[float, _Row]],
    done: list[BeamResult],
) -> None:
    """Every way on from a row: inside its word, or past its end into the next, a mark, or the end."""

    def into(node: Node, guided: float, history: WordPair, words: tuple[str, ...]) -> None:
        scores = likely[node.pieces] + using.share * guide.ahead(node, history)
        count = min(len(scores), using.width)
        which = np.argpartition(-scores, count - 1)[:count] if count < len(scores) else np.arange(count)
        before = row.sound + using.share * guided + using.each_word * len(words)
        ways.append(_Ways((scores[which] + before).astype(np.float32), which, place, node, guided, history, words))

    if row.node is not None and row.node.following:
        into(row.node, row.guide, row.history, row.words)
    for guided, history, words in _ended(row, guide):
        into(guide.words, guided, history, words)
        if row.node is not None:
            if guide.hanging.following:
                into(guide.hanging, guided, history, words)
            for mark in guide.marks:
                sound = row.sound + float(likely[mark])
                score = sound + using.share * guided + using.each_word * len(words)
                marked.append((score, _Row(place, mark, sound, guided, None, history, words, (*row.written, mark))))
        sound, total = row.sound + float(likely[END]), guided + guide.after(history).stop
        text = " ".join(words)
        score = sound + using.share * total + using.each_word * len(words) - cut_short(text, voiced, using)
        done.append(BeamResult(text, score, sound, total, (*row.written, END)))


def _ended(row: _Row, guide: Guide) -> list[tuple[float, WordPair, tuple[str, ...]]]:
    """What the row has said where a word ends here: the guide's share, the history, the words."""
    if row.node is None:
        return [(row.guide, row.history, row.words)]
    result = []
    for number in row.node.ends:
        words = guide.forms[number].words
        history = guide.model.then(row.history, words)
        result.append((row.guide + float(guide.after(row.history).forms[number]), history, row.words + words))
    return result


def _kept(
    ways: Sequence[_Ways],
    marked: Sequence[tuple[float, _Row]],
    rows: Sequence[_Row],
    likely: Floats,
    using: SearchSettings,
    least: float,
) -> tuple[float, list[_Row]]:
    """The best rows, the same words at the same place once, and the best score. Only what is kept is made a row."""
    scores = np.concatenate([*(way.scores for way in ways), [score for score, _ in marked]])
    begins = np.cumsum([0, *(len(way.scores) for way in ways)])
    kept: list[_Row] = []
    seen: set[tuple[tuple[str, ...], int]] = set()
    best = float(scores.max(initial=-np.inf))
    for at in np.argsort(-scores, kind="stable").tolist():
        if len(kept) == using.width or scores[at] < max(least, best - using.behind):
            break
        row = marked[at - begins[-1]][1] if at >= begins[-1] else _taken(ways, begins, at, rows, likely)
        key = (row.words, id(row.node))
        if key not in seen:
            seen.add(key)
            kept.append(row)
    return best, kept


def _taken(ways: Sequence[_Ways], begins: NDArray[np.int64], at: int, rows: Sequence[_Row], likely: Floats) -> _Row:
    """The row that the candidate at this place among all ways is."""
    number = int(np.searchsorted(begins, at, side="right")) - 1
    way = ways[number]
    one = int(way.which[at - begins[number]])
    piece, before = int(way.node.pieces[one]), rows[way.row]
    sound = before.sound + float(likely[way.row, piece])
    node = way.node.following[one]
    return _Row(way.row, piece, sound, way.guide, node, way.history, way.words, (*before.written, piece))


def dictated(writing: Writing, longest: int = 60) -> tuple[tuple[int, ...], float]:
    """The pieces that the network writes by itself, and their log-probability."""
    dictation = Dictation(longest)
    while not dictation.ended():
        dictation.take(writing.advance([0], dictation.pieces[-1:])[0])
    return dictation.written(), dictation.sound
