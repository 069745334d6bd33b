"""The likeliest texts for a sound: beam search over pieces, the network's log-probability and a share of the guide's.

Shallow fusion (Gülçehre and others 2015, arXiv 1503.03535) at the level of words, with look-ahead: from the first piece
of a word on, the best word it may become counts. Pure: it knows the network as something that gives probabilities.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from speech.recognition.moonshine.guide import Guide, Node
from speech.recognition.moonshine.network import Floats, Writing
from speech.recognition.moonshine.pieces import BEGIN, END
from speech.recognition.moonshine.word_model import START, WordPair


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
    margin: float = 12.0  # texts this much worse than the best finished one are given up
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


class _Row(NamedTuple):
    """A text being written. `node` is None after a mark; `words` are those that are complete."""

    score: float  # with look-ahead, for the choice among rows
    parent: int
    piece: int
    sound: float
    guide: float
    node: Node | None
    history: WordPair
    words: tuple[str, ...]
    written: tuple[int, ...]  # with `piece`


def search(
    writing: Writing, guide: Guide, settings: SearchSettings | None = None, voiced: float | None = None
) -> list[BeamResult]:
    """The best texts, best first, each once; none where nothing fits. `voiced`: seconds in which there is a voice, if
    known."""
    using = settings or SearchSettings()
    rows = [_Row(0.0, 0, BEGIN, 0.0, 0.0, guide.words, (START, START), (), (BEGIN,))]
    done: list[BeamResult] = []
    most = using.longest if voiced is None else min(using.longest, round(using.pieces * voiced) + using.more)
    for _ in range(most):
        likely = writing.advance([row.parent for row in rows], [row.piece for row in rows])
        candidates: list[_Row] = []
        for place, row in enumerate(rows):
            _extend(place, row, likely[place], guide, using, voiced, candidates, done)
        done.sort(key=lambda one: -one.score)
        least = done[0].score - using.margin if done else -np.inf
        rows = _kept(candidates, using.width, least)
        enough = len(done) >= using.results and (not rows or rows[0].score < done[using.results - 1].score)
        if not rows or enough:
            break
    best: dict[str, BeamResult] = {}
    for one in done:
        best.setdefault(one.text, one)
    return list(best.values())[: using.results]


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
    rows: list[_Row],
    done: list[BeamResult],
) -> None:
    """Every way on from a row: inside its word, or past its end into the next, a mark, or the end."""

    def into(node: Node, guided: float, history: WordPair, words: tuple[str, ...]) -> None:
        ahead = node.best(guide.likely(history))
        sound = likely[node.pieces]
        scores = row.sound + sound + using.share * (guided + ahead) + using.each_word * len(words)
        count = min(len(scores), using.width)
        for one in np.argpartition(-scores, count - 1)[:count]:
            piece, heard = int(node.pieces[one]), row.sound + float(sound[one])
            rows.append(
                _Row(
                    float(scores[one]),
                    place,
                    piece,
                    heard,
                    guided,
                    node.following[one],
                    history,
                    words,
                    (*row.written, piece),
                )
            )

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
                rows.append(_Row(score, place, mark, sound, guided, None, history, words, (*row.written, mark)))
        sound, total = row.sound + float(likely[END]), guided + guide.stop(history)
        text = " ".join(words)
        score = sound + using.share * total + using.each_word * len(words) - cut_short(text, voiced, using)
        done.append(BeamResult(text, score, sound, total, (*row.written, END)))


def _ended(row: _Row, guide: Guide) -> list[tuple[float, WordPair, tuple[str, ...]]]:
    """What the row has said where a word ends here: the guide's share, the history, the words."""
    if row.node is None:
        return [(row.guide, row.history, row.words)]
    likely, result = guide.likely(row.history), []
    for number in row.node.ends:
        words = guide.forms[number].words
        history = guide.model.then(row.history, words)
        result.append((row.guide + float(likely[number]), history, row.words + words))
    return result


def _kept(candidates: Sequence[_Row], width: int, least: float) -> list[_Row]:
    """The best rows, the same words at the same place once."""
    kept: list[_Row] = []
    seen: set[tuple[tuple[str, ...], int]] = set()
    for row in sorted(candidates, key=lambda one: -one.score):
        if len(kept) == width or row.score < least:
            break
        key = (row.words, id(row.node))
        if key not in seen:
            seen.add(key)
            kept.append(row)
    return kept


def dictated(writing: Writing, longest: int = 60) -> tuple[tuple[int, ...], float]:
    """The pieces that the network writes by itself, always the likeliest next, and their log-probability."""
    pieces, total = [BEGIN], 0.0
    while len(pieces) <= longest:
        likely = writing.advance([0], [pieces[-1]])[0]
        best = int(likely.argmax())
        total += float(likely[best])
        if best == END:
            break
        pieces.append(best)
    return tuple(pieces[1:]), total
