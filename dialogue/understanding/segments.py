"""From tag scores to the likeliest ways of cutting a turn into acts, and to the stretches that hold their arguments."""

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from dialogue.understanding.tags import ACTS, ARGUMENTS

LogProbabilities: TypeAlias = npt.NDArray[np.float32]
Span: TypeAlias = tuple[int, int]
Follows: TypeAlias = Callable[[int, int], bool]  # (a tag, the one before it)

MOST_CUTS = 20  # ways of cutting a turn that are followed up
MOST_TAGS = 5  # of a word that are followed up
UNLIKELY = -6.0  # a tag less likely than this (natural logarithm) is not
MOST_ARGUMENTS = 3


class Segment(NamedTuple):
    """The words from ``start`` up to ``end`` carry one act."""

    act: str
    start: int
    end: int


class Cut(NamedTuple):
    """One way of cutting the turn, with the logarithm of its probability."""

    score: float
    segments: tuple[Segment, ...]


class Arguments(NamedTuple):
    """The stretches inside a segment by role (N, P, L, R), counted from the segment's start."""

    score: float
    spans: dict[str, Span]


def log_softmax(scores: npt.NDArray[np.float32]) -> LogProbabilities:
    """Along the last axis."""
    shifted = scores - scores.max(-1, keepdims=True)
    return np.asarray(shifted - np.log(np.exp(shifted).sum(-1, keepdims=True)), np.float32)


def cuts(boundaries: LogProbabilities) -> list[Cut]:
    """The likeliest ways of cutting, best first; ``boundaries`` has a row a word, a column a tag of BOUNDARIES."""
    half = len(ACTS)
    found: list[Cut] = []
    for score, path in _paths(boundaries, lambda tag, before: tag <= half or before in (tag, tag - half), MOST_CUTS):
        segments: list[Segment] = []
        for at, tag in enumerate(path):
            if 0 < tag <= half:
                segments.append(Segment(ACTS[tag - 1], at, at + 1))
            elif tag:
                segments[-1] = segments[-1]._replace(end=at + 1)
        found.append(Cut(score, tuple(segments)))
    return found


def arguments(scores: LogProbabilities) -> list[Arguments]:
    """The likeliest places of the arguments in one segment, best first; a column a tag of ARGUMENTS."""
    found: list[Arguments] = []
    for score, path in _paths(scores, lambda tag, before: tag % 2 == 1 or not tag or before in (tag, tag - 1), 8):
        spans: dict[str, Span] = {}
        for at, tag in enumerate(path):
            role = ARGUMENTS[tag][2:]
            if tag % 2 and role not in spans:
                spans[role] = (at, at + 1)
            elif tag and not tag % 2 and spans[role][1] == at:
                spans[role] = (spans[role][0], at + 1)
        if all(spans != other.spans for other in found):
            found.append(Arguments(score, spans))
    return found[:MOST_ARGUMENTS]


def _paths(scores: LogProbabilities, may_follow: Follows, most: int) -> list[tuple[float, tuple[int, ...]]]:
    """The best paths of tags under what may follow what, as a beam search."""
    beams: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
    for row in scores:
        order = np.argsort(-row)[:MOST_TAGS]
        likely = [(int(tag), float(row[tag])) for tag in order if row[tag] > UNLIKELY] or [(0, float(row[0]))]
        grown: list[tuple[float, tuple[int, ...]]] = []
        for score, path in beams:
            before = path[-1] if path else 0
            follows = [(tag, more) for tag, more in likely if may_follow(tag, before)] or [(0, float(row[0]))]
            grown += [(score + more, (*path, tag)) for tag, more in follows]
        grown.sort(key=lambda beam: -beam[0])
        beams = grown[:most]
    return beams


def likely(scores: LogProbabilities, names: Sequence[str], least: float = 0.06) -> list[tuple[float, str]]:
    """The one or two likeliest names with their log probabilities, leaving out the unlikely."""
    order = np.argsort(-scores)[:2]
    best, *others = [(float(scores[at]), names[at]) for at in order]
    return [best, *(other for other in others if other[0] > math.log(least))]
