"""Training rows to batches of arrays, made by several processes beside the training."""

import random
from collections import defaultdict
from collections.abc import Iterator, Sequence
from multiprocessing import get_context
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from dialogue.understanding.surface import MOST_WORDS
from dialogue.understanding.tagger import encoded
from dialogue.understanding.wordpiece import WordPiece
from training.variation import OPEN, Row, act_places, joined, mixed, varied

SIZE = 96  # rows a batch
MIXED = 0.15  # the share of the turns one of whose acts is another learner's, said after the same question

Whole = npt.NDArray[np.int64]


class Batch(NamedTuple):
    """Arrays of a batch: rows by pieces (ids, types, mask) or by words (first, the tags of each head); a topic and a
    weight a row."""

    ids: Whole
    types: Whole
    mask: Whole
    first: Whole
    tags: dict[str, Whole]
    topic: Whole
    weight: npt.NDArray[np.float32]


def batch(rows: Sequence[Row], cut: WordPiece, heads: Sequence[str]) -> Batch:
    """Rows of like length, padded."""
    found = [encoded(row["words"][:MOST_WORDS], row["expecting"], row["context"], cut) for row in rows]
    pieces, words = (max(len(one[part]) for one in found) for part in (0, 2))
    size = len(rows)
    ids, types, mask = (np.zeros((size, pieces), np.int64) for _ in range(3))
    first = np.zeros((size, max(words, 1)), np.int64)
    tags = {head: np.full_like(first, OPEN) for head in heads}
    for at, (row, (its, kinds, firsts)) in enumerate(zip(rows, found, strict=True)):
        ids[at, : len(its)], types[at, : len(its)], mask[at, : len(its)] = its, kinds, 1
        first[at, : len(firsts)] = firsts
        for head in heads:
            tags[head][at, : len(firsts)] = row[head][: len(firsts)]
    topics, weights = (np.array([row[name] for row in rows]) for name in ("topic", "weight"))
    return Batch(ids, types, mask, first, tags, topics, weights.astype(np.float32))


_shared: dict[str, Any] = {}


def _begin(rows: list[Row], vocabulary: list[str], heads: list[str], acts: int, moved: float, size: int) -> None:
    said: dict[tuple[str, int], list[tuple[Row, tuple[int, int]]]] = defaultdict(list)
    for row in rows:
        for start, end, act in act_places(row, acts):
            said[row["expecting"], act].append((row, (start, end)))
    _shared.update(rows=rows, cut=WordPiece(vocabulary), heads=heads, acts=acts, moved=moved, size=size, said=said)


def _perhaps_mixed(row: Row, chance: random.Random) -> Row:
    places = act_places(row, _shared["acts"]) if chance.random() < MIXED else []
    if not places:
        return row
    start, end, act = chance.choice(places)
    other, its = chance.choice(_shared["said"][row["expecting"], act])
    return mixed(row, (start, end), other, its, _shared["heads"])


def _epoch(seed: int) -> list[Batch]:
    chance = random.Random(seed)
    heads = _shared["heads"]
    rows = [varied(_perhaps_mixed(row, chance), chance, heads, _shared["acts"]) for row in _shared["rows"]]
    for at, row in enumerate(rows):
        if chance.random() < _shared["moved"]:  # said after another question: its labels need not hold there
            asked = chance.choice(_shared["rows"])
            rows[at] = {**row, "context": asked["context"], "expecting": asked["expecting"], "weight": 0.0}
    for _ in range(len(rows) // 10):
        one, other = chance.choice(rows), chance.choice(rows)
        if len(one["words"]) + len(other["words"]) < 40:
            rows.append(joined(one, other, heads))
    rows.sort(key=lambda row: len(row["words"]) + len(row["context"]) + chance.random() * 8)
    size = _shared["size"]
    found = [batch(rows[at : at + size], _shared["cut"], heads) for at in range(0, len(rows), size)]
    chance.shuffle(found)
    return found


def epochs(
    rows: list[Row],
    vocabulary: list[str],
    heads: list[str],
    acts: int,
    seed: int,
    count: int,
    workers: int,
    moved: float = 0.0,
    size: int = SIZE,
) -> Iterator[list[Batch]]:
    """The batches of ``size`` rows of each epoch in turn: the same for the same seed. ``moved`` is the share of the
    turns that are put after another turn's question, with no label: for a student, whose teachers tell what they mean
    there."""
    with get_context("fork").Pool(workers, _begin, (rows, vocabulary, heads, acts, moved, size)) as pool:
        yield from pool.imap(_epoch, [seed * 1000 + epoch for epoch in range(count)])
