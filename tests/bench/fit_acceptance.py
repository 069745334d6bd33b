"""Fit how the evidence about a hearing is weighed (speech/recognition/acceptance.py), and print the weights.

    python tests/bench/spoken_set.py FOLDER --half dev --takes 6 && python tests/bench/fit_acceptance.py FOLDER [most]

Every sound is heard by the first recogniser as a stranger's, and what most decodings mean is right or not; speech
about other things is never right. A logistic regression by Newton's method with an L2 penalty, hearings that could
not be accepted in any case counting less. Then what a threshold would accept, each voice judged by the other voices'
weights.
"""

import json
import math
import random
import sys
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench"), str(ROOT / "tests" / "speech")]

import numpy as np  # noqa: E402 - only after the path is set
from bench_speech import asked_before  # noqa: E402

from chattutor.lesson.voice.hearing import Attention, meaning_of  # noqa: E402
from dialogue.understanding.interpret import interpret  # noqa: E402
from speech.audio.sound import read_audio  # noqa: E402
from speech.hearings import Heard  # noqa: E402
from speech.recognition.acceptance import WEIGHTS, known, solid  # noqa: E402
from speech.recognition.ensemble import weighed  # noqa: E402
from speech.recognition.pocketsphinx import PocketsphinxRecogniser  # noqa: E402

PENALTY, OTHERS, ROUNDS = 1.0, 0.3, 60
THRESHOLDS = (0.85, 0.88, 0.90, 0.92, 0.95)
Floats = Any


class Case(NamedTuple):
    """One hearing."""

    known: tuple[float, ...]
    right: bool
    solid: bool
    voice: str
    recorded: bool  # clean, by a voice made from recordings, and meant for the tutor


def cases(folder: Path, most: int | None) -> list[Case]:
    """What the first recogniser makes of the sounds (a draw of `most`)."""
    lines = [
        (asked_before(line, place), line)
        for place, line in enumerate(map(json.loads, (folder / "manifest.jsonl").open()))
    ]
    random.Random(3).shuffle(lines)
    recogniser, attention, found = PocketsphinxRecogniser(), Attention(), []
    for asked, line in sorted(lines[:most], key=lambda pair: (pair[0], pair[1]["letter"])):
        attention.expecting, attention.letter = asked, line["letter"]
        recogniser.listen_for(attention.language())
        heard = recogniser.hear(read_audio(folder / line["file"]))
        if not isinstance(heard, Heard):
            continue
        evidence, meant, _ = weighed(heard, attention.meaning)
        wanted = meaning_of(interpret(line["text"], asked, line["letter"])) if line["expecting"] else None
        recorded = line["kind"] == "recorded" and not line["noise"] and wanted is not None
        right = meant is not None and meant == wanted
        found.append(Case(known(evidence), right, solid(evidence), line["speaker"], recorded))
    return found


def fitted(rows: Floats, right: Floats, counts: Floats) -> Floats:
    """Weights of a logistic regression."""
    scale = np.where(np.std(rows, axis=0) > 0, np.std(rows, axis=0), 1.0)  # the penalty is to bear on all alike
    rows, weights = rows / scale, np.zeros(rows.shape[1])
    penalty = np.where(np.arange(len(weights)) > 0, PENALTY, 1e-6)  # "always" is free
    for _ in range(ROUNDS):
        likely = 1 / (1 + np.exp(-rows @ weights))
        bend = (rows * (counts * likely * (1 - likely))[:, None]).T @ rows + np.diag(penalty)
        weights += np.linalg.solve(bend, rows.T @ (counts * (right - likely)) - penalty * weights)
    return weights / scale


def main() -> None:
    """Print the weights, and what thresholds come to."""
    found = cases(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else None)
    rows, right = np.array([each.known for each in found]), np.array([each.right for each in found])
    sound, voices = np.array([each.solid for each in found]), np.array([each.voice for each in found])
    recorded = np.array([each.recorded for each in found])
    counts = np.where(sound, 1.0, OTHERS)
    print(", ".join(f"{name} {weight:.4g}" for name, weight in zip(WEIGHTS, fitted(rows, right, counts), strict=True)))
    odds = np.zeros(len(found))
    for voice in sorted(set(voices)):
        other = voices != voice
        odds[~other] = rows[~other] @ fitted(rows[other], right[other], counts[other])
    for threshold in THRESHOLDS:
        taken = sound & (odds >= math.log(threshold / (1 - threshold)))
        share = (taken & right & recorded).sum() / max(1, recorded.sum())
        print(f"from {threshold}: {share:.3f} of clean recorded voices, {(taken & ~right).sum()} of {len(found)} wrong")


if __name__ == "__main__":
    main()
