"""Fits the decision (``en/decision.json``) on turns that the tagger never saw, and writes the tagger's card.

    PYTHONPATH=.:tests python -m training.fit_decision ACT_ON    # or: keep

The turns are the blind ones of five sets and those in ``calibration/``, by four authors more; while it fits it prints
each class by a fit on everything else. The card's table is what the packaged interpreter makes of the last set, of
which neither the tagger nor the decision saw a turn.
Costs: believed and wrong 20, asked again 3, asked back 1 (choices); ACT_ON is the certainty from which a reading is
believed. Needs scikit-learn, for fitting alone; seconds, beside the minute of reading the turns.
"""

import hashlib
import json
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from sklearn.ensemble import GradientBoostingClassifier

from dialogue.acts import Unclear
from dialogue.understanding import interpret as interpreter
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.decision import NAMES, DecisionModel, ScoreTree, Split, evidence, is_talk
from dialogue.understanding.readings import Reading
from dialogue.understanding.seen_turn import see
from training.reading import CALIBRATION, LESSONS, LabelledTurn, blind, blind_names, decided_names, lessons
from training.scoring import agree, is_right

ASK_BACK = 0.3
ACT_ON_TALK = 0.86  # what changes neither the line nor the lesson costs little when it is wrong
TREES = {"n_estimators": 200, "learning_rate": 0.05, "max_depth": None, "max_leaf_nodes": 8, "min_samples_leaf": 40,
         "max_features": 0.3, "random_state": 0}  # fmt: skip
# a choice among seven, by leaving a set out: right at once where 2% are wrong 0.53 (one regression 0.48)
FOLDER = Path(str(files("dialogue.understanding").joinpath("en")))


class Judged(NamedTuple):
    """One turn: its row of evidence, whether its best reading is right, certain by itself, and talk alone."""

    row: tuple[float, ...]
    right: bool
    certain: bool
    talk: bool


def judged(turn: LabelledTurn) -> Judged:
    """What the interpreter has to decide on."""
    whole = see(turn.text, turn.expecting, turn.letter, turn.tutor)  # type: ignore[arg-type]
    certain = certain_acts(whole.text, turn.expecting, turn.letter)  # type: ignore[arg-type]
    found = interpreter.tagged(whole)
    if certain is not None and not isinstance(certain[0], Unclear):
        found = found._replace(readings=interpreter.with_certain(certain, found.readings))
    readings = found.readings or [Reading(0.01, ())]
    row = evidence(readings, found.words, found.doubts, turn.expecting, certain is not None)  # type: ignore[arg-type]
    alone = certain is not None and len(certain) == 1
    return Judged(row, is_right(turn, readings[0].acts), alone, is_talk(readings[0].acts))


def fitted(found: list[Judged]) -> DecisionModel:
    """The trees, by gradient boosting; the thresholds are the caller's."""
    in_doubt = [one for one in found if not one.certain]
    rows, right = np.array([one.row for one in in_doubt]), np.array([one.right for one in in_doubt])
    model = GradientBoostingClassifier(**TREES).fit(rows, right)
    begin = float(np.log(right.mean() / (1 - right.mean())))
    trees = tuple(_tree(one.tree_, 0) for one in model.estimators_[:, 0])
    return DecisionModel(begin, trees, 0.0, 0.0, ASK_BACK)


def _tree(grown: Any, node: int) -> ScoreTree:
    if grown.children_left[node] < 0:
        return round(float(grown.value[node, 0, 0]) * TREES["learning_rate"], 4)
    below = (_tree(grown, int(side[node])) for side in (grown.children_left, grown.children_right))
    return Split(NAMES[grown.feature[node]], round(float(grown.threshold[node]), 4), *below)


def outcome(found: list[Judged], model: DecisionModel, act_on: float) -> tuple[float, float, float]:
    """Shares: right at once, right after at most one question, wrong and believed."""
    certainty = np.array([model.certainty(one.row) for one in found])
    limit = np.where([one.talk for one in found], ACT_ON_TALK, act_on)
    sure = (certainty >= limit) | np.array([one.certain for one in found])
    right = np.array([one.right for one in found])
    asked = sure | (certainty >= ASK_BACK)
    return float((sure & right).mean()), float((asked & right).mean()), float((sure & ~right).mean())


def main(act_on: float | None) -> None:
    """Fits and writes the decision, or keeps it where ``act_on`` is None; writes and prints the card."""
    if act_on is not None:
        found = {name: [judged(turn) for turn in blind(name)] for name in decided_names()}
        calibration = [judged(turn) for path in CALIBRATION for turn in lessons(path)]
        for name, group in found.items():
            others = [one for other, others in found.items() if other != name for one in others]
            print(f"{name}, by a fit on the rest: {_three(outcome(group, fitted([*calibration, *others]), act_on))}")
        _write_decision(fitted([*calibration, *(one for group in found.values() for one in group)]), act_on)
    classes = {name: blind(name) for name in blind_names()}
    everybody = [turn for turns in classes.values() for turn in turns]
    _write_card([_row(name.removesuffix("_9"), turns) for name, turns in {**classes, "all": everybody}.items()])


def _row(name: str, turns: list[LabelledTurn]) -> str:
    """Of the card's table: what the packaged interpreter makes of these turns."""
    read = [interpreter.interpret(turn.text, turn.expecting, turn.letter, turn.tutor) for turn in turns]  # type: ignore[arg-type]
    right = np.array([is_right(turn, found.acts) for turn, found in zip(turns, read, strict=True)])
    sure = np.array([found.sure for found in read])
    asked = sure | np.array([found.certainty >= ASK_BACK for found in read])
    figures = (right & sure).mean(), (right & asked).mean(), (~right & sure).mean()
    agreed = sum(map(agree, turns)) / len(turns)
    return f"| {name.replace('_', ' ')} | {len(turns)} | {agreed:.3f} | {right.mean():.3f} | {_three(figures)} |"


def _write_decision(model: DecisionModel, act_on: float) -> None:
    found = {
        "begin": round(model.begin, 4),
        "trees": model.trees,
        "act_on": act_on,
        "act_on_talk": ACT_ON_TALK,
        "ask_back": ASK_BACK,
    }
    (FOLDER / "decision.json").write_text(json.dumps(found) + "\n", "utf-8")


def _write_card(rows: list[str]) -> None:
    written = json.loads((FOLDER / "decision.json").read_text("utf-8"))
    hashes = {
        name: _hash(name) for name in ("tagger.onnx", "tagger_vocabulary.txt", "decision.json", "learned_topics.npz")
    }
    card = Path(__file__).with_name("card.md").read_text("utf-8").format(
        table="\n".join(rows),
        hashes="\n".join(f"* `{name}` sha256 `{value}`" for name, value in hashes.items()),
        turns=sum(len(lessons(path)) for path in LESSONS),
        size=(FOLDER / "tagger.onnx").stat().st_size,
        act_on=written["act_on"],
        act_on_talk=written["act_on_talk"],
    )  # fmt: skip
    (FOLDER / "tagger_card.md").write_text(card, "utf-8")
    print(card)


def _three(figures: tuple[float, ...]) -> str:
    return " | ".join(f"{figure:.3f}" for figure in figures)


def _hash(name: str) -> str:
    return hashlib.sha256((FOLDER / name).read_bytes()).hexdigest()


if __name__ == "__main__":
    main(None if sys.argv[1] == "keep" else float(sys.argv[1]))
