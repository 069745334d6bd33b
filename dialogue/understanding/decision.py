"""Whether a reading is sure enough to be acted on: one row of evidence, one score, two thresholds.

The score is a sum of small trees (gradient boosting: Friedman 2001, "Greedy function approximation", Annals of
Statistics 29:1189; cited from memory). They (``en/decision.json``) are fitted on turns whose authors knew neither code
nor data, by what a mistake costs: believed and wrong 20, asked again 3, asked back 1 (choices).
tests/training/fit_decision.py fits them.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, NamedTuple, TypeAlias

from dialogue.acts import EXPECTING, Act, Control, Expecting, PartMove, Refused, Unclear, Value
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.understanding.readings import Reading, WordDoubts

KINDS = ("Move", "PartMove", "Line", "Value", "Work", "Describe", "Comment", "Say", "Control", "Ask", "Refused",
         "Rewrite", "Term", "Try")  # fmt: skip
NAMES = ("logit", "lead", "unread", "acts", "words", "exact", "answers", "part", "unclear", "share", "readings",
         "length", *(f"word_{name}" for name in WordDoubts._fields), *KINDS, *EXPECTING)  # fmt: skip
MOST_SURE = 6.0  # logits beyond this say nothing more


class Split(NamedTuple):
    """A tree that parts the rows by one piece of evidence: up to ``limit``, or beyond it."""

    name: str
    limit: float
    up_to: "ScoreTree"
    beyond: "ScoreTree"


ScoreTree: TypeAlias = Split | float
"""A split, or what a row that comes so far adds to the score."""


@dataclass(frozen=True, slots=True)
class DecisionModel:
    """The score that all rows begin with and the trees that add to it; and the certainty from which a reading is acted
    on, from which talk is, which changes neither the line nor the lesson, and from which a reading is asked back."""

    begin: float
    trees: tuple[ScoreTree, ...]
    act_on: float
    act_on_talk: float
    ask_back: float

    def believes(self, acts: Sequence[Act], certainty: float) -> bool:
        """Whether acts so certain are acted on."""
        return certainty >= (self.act_on_talk if is_talk(acts) else self.act_on)

    def certainty(self, row: Sequence[float]) -> float:
        """How likely the reading is right, by its evidence, in the order of NAMES."""
        found = dict(zip(NAMES, row, strict=True))
        total = self.begin + sum(_added(tree, found) for tree in self.trees)
        return 1 / (1 + math.exp(-max(-30.0, min(30.0, total))))


def _added(tree: ScoreTree, found: Mapping[str, float]) -> float:
    while isinstance(tree, Split):
        tree = tree.up_to if found[tree.name] <= tree.limit else tree.beyond
    return tree


def evidence(
    readings: Sequence[Reading], words: int, doubts: WordDoubts, expecting: Expecting, exact: bool
) -> tuple[float, ...]:
    """The row of evidence for the best of the readings, in the order of NAMES."""
    best = readings[0].probability
    second = readings[1].probability if len(readings) > 1 else 0.0
    acts = readings[0].acts
    kinds = [type(act).__name__ for act in acts]
    return (
        _logit(best),
        min(MOST_SURE, math.log(max(best, 1e-6) / max(second, 1e-4))),
        max(0.0, 1.0 - sum(reading.probability for reading in readings)),
        float(len(acts)),
        math.log1p(words),
        float(exact),
        float(any(_answers(act, expecting) for act in acts)),
        float(any(isinstance(act, PartMove) for act in acts)),
        float(any(isinstance(act, Unclear) for act in acts) or not acts),
        _logit(best / max(sum(reading.probability for reading in readings), 1e-6)),
        math.log1p(len(readings)),
        float(words),
        *doubts,
        *(float(kinds.count(kind)) for kind in KINDS),
        *(float(expecting == asked) for asked in EXPECTING),
    )


def _logit(probability: float) -> float:
    clipped = min(max(probability, 1e-6), 1 - 1e-6)
    return max(-MOST_SURE, min(MOST_SURE, math.log(clipped / (1 - clipped))))


CHANGING = (Move, PartMove, Line, Verdict, Value, Control, Refused, Rewrite)


def is_talk(acts: Sequence[Act]) -> bool:
    """Whether nothing of it changes the line or the lesson: descriptions, questions, a yes or no, talk."""
    return not any(isinstance(act, CHANGING) for act in acts)


ANSWERS: dict[str, frozenset[str]] = {
    "move": frozenset({"Move", "PartMove", "Rewrite"}),
    "value": frozenset({"Value"}),
    "equation": frozenset({"Line", "Verdict"}),
    "operations": frozenset({"Describe"}),
    "term": frozenset({"Term"}),
    "yesno": frozenset({"Say"}),
}


def _answers(act: Act, expecting: Expecting) -> bool:
    return type(act).__name__ in ANSWERS.get(expecting, frozenset())


@lru_cache(maxsize=1)
def packaged() -> DecisionModel:
    """The fitted trees of the package."""
    data = json.loads(resources.files("dialogue.understanding").joinpath("en/decision.json").read_text("utf-8"))
    trees = tuple(map(as_tree, data["trees"]))
    return DecisionModel(data["begin"], trees, data["act_on"], data["act_on_talk"], data["ask_back"])


def as_tree(data: Any) -> ScoreTree:
    """A tree as the file has it: a number, or a name, a limit and two trees."""
    if isinstance(data, float):
        return data
    name, limit, up_to, beyond = data
    return Split(name, limit, as_tree(up_to), as_tree(beyond))
