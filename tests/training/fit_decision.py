"""Fits the decision (``en/decision.json``) on turns that the tagger never saw, and writes the tagger's card.

    PYTHONPATH=.:tests python -m training.fit_decision ACT_ON    # or: keep

The turns are the blind ones of the third, fifth, sixth and seventh set and those in ``calibration/``, by four authors
more; while it fits it prints each class by a fit on everything else. The card's table is what the packaged interpreter
makes of the eighth set, of which neither the tagger nor the decision saw a turn.
Costs: believed and wrong 20, asked again 3, asked back 1 (choices); ACT_ON is the certainty from which a reading is
believed.
"""

import hashlib
import json
import sys
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize

from dialogue.acts import Unclear
from dialogue.understanding import interpret as interpreter
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.decision import NAMES, evidence, is_talk
from dialogue.understanding.readings import Reading
from dialogue.understanding.seen_turn import see
from training.reading import CALIBRATION, LESSONS, LabelledTurn, blind, blind_names, decided_names, lessons
from training.scoring import agree, is_right

ASK_BACK = 0.3
ACT_ON_TALK = 0.86  # what changes neither the line nor the lesson costs little when it is wrong
RIDGE = 0.5
FOLDER = Path(str(files("dialogue.understanding").joinpath("en")))
Rows = npt.NDArray[np.float64]


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


def fitted(found: list[Judged]) -> Rows:
    """The weights, by ridge logistic regression on standardised evidence."""
    in_doubt = [one for one in found if not one.certain]
    rows, right = np.array([one.row for one in in_doubt]), np.array([one.right for one in in_doubt], float)
    middle, spread = rows.mean(0), rows.std(0)
    spread[spread == 0] = 1
    middle[0] = 0
    standard = (rows - middle) / spread

    def loss(weights: Rows) -> float:
        fit = np.logaddexp(0, -(2 * right - 1) * (standard @ weights)).mean()
        return float(fit + RIDGE / len(right) * (weights[1:] ** 2).sum())

    weights = minimize(loss, np.zeros(rows.shape[1])).x / spread
    weights[0] -= float((weights[1:] * middle[1:]).sum())
    return np.asarray(weights)


def outcome(found: list[Judged], weights: Rows, act_on: float) -> tuple[float, float, float]:
    """Shares: right at once, right after at most one question, wrong and believed."""
    rows = np.array([one.row for one in found])
    certainty = 1 / (1 + np.exp(-(rows @ weights)))
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
    _write_card([_row(name.removesuffix("_8"), turns) for name, turns in {**classes, "all": everybody}.items()])


def _row(name: str, turns: list[LabelledTurn]) -> str:
    """Of the card's table: what the packaged interpreter makes of these turns."""
    read = [interpreter.interpret(turn.text, turn.expecting, turn.letter, turn.tutor) for turn in turns]  # type: ignore[arg-type]
    right = np.array([is_right(turn, found.acts) for turn, found in zip(turns, read, strict=True)])
    sure = np.array([found.sure for found in read])
    asked = sure | np.array([found.certainty >= ASK_BACK for found in read])
    figures = (right & sure).mean(), (right & asked).mean(), (~right & sure).mean()
    agreed = sum(map(agree, turns)) / len(turns)
    return f"| {name.replace('_', ' ')} | {len(turns)} | {agreed:.3f} | {right.mean():.3f} | {_three(figures)} |"


def _write_decision(weights: Rows, act_on: float) -> None:
    found = {
        "weights": {name: round(float(weight), 4) for name, weight in zip(NAMES, weights, strict=True)},
        "act_on": act_on,
        "act_on_talk": ACT_ON_TALK,
        "ask_back": ASK_BACK,
    }
    (FOLDER / "decision.json").write_text(json.dumps(found, indent=1) + "\n", "utf-8")


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
