"""Fit how the evidence about hypotheses is weighed (speech/recognition/hypothesis_belief.py), and print the weights.

    python tests/bench/spoken_set.py FOLDER --half dev --takes 3
    python tests/bench/fit_hypothesis_belief.py FOLDER... [--most N]

Every sound is heard after what was asked, and the best hypothesis that is understood is right or not; speech about
other things is never right. A logistic regression as in fit_acceptance.py. Then what a threshold would accept, each
voice judged by weights from the other voices.
"""

import argparse
import json
import sys
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench"), str(ROOT / "tests" / "speech")]

import numpy as np  # noqa: E402 - only after the path is set
from bench_speech import asked_before  # noqa: E402
from fit_acceptance import fitted  # noqa: E402

from chattutor.lesson.voice.hearing import Attention, meaning_of  # noqa: E402
from speech.audio.loading import read_audio  # noqa: E402
from speech.hearings import Heard  # noqa: E402
from speech.recognition.hypothesis_belief import READ_BACK, WEIGHTS, understood  # noqa: E402
from speech.recognition.moonshine.moonshine import MoonshineRecogniser  # noqa: E402

THRESHOLDS = (0.8, 0.85, 0.9, 0.93, 0.95)


class Case(NamedTuple):
    """One hearing; `known` is None where nothing was understood."""

    known: tuple[float, ...] | None
    right: bool
    meant: bool  # for the tutor
    voice: str


def cases(folders: list[Path], most: int | None) -> list[Case]:
    """What the recogniser makes of the sounds, every so many of them where there are more than `most`."""
    lines = [
        (asked_before(line, place), folder / line["file"], line)
        for folder in folders
        for place, line in enumerate(map(json.loads, (folder / "manifest.jsonl").open(encoding="utf-8")))
    ]
    lines = lines[:: max(1, len(lines) // most)] if most else lines
    recogniser, attention, found = MoonshineRecogniser(), Attention(), []
    for asked, path, line in sorted(lines, key=lambda one: (one[0], one[2].get("letter", "x"))):
        letter = line.get("letter", "x")
        if (attention.expecting, attention.letter) != (asked, letter) or not found:
            attention.expecting, attention.letter = asked, letter
            recogniser.listen_for(attention.language())
        aside = not line.get("expecting") and (line.get("meaning") or {"act": "unclear"})["act"] == "unclear"
        wanted = None if aside else meaning_of(line["text"], asked, letter)
        heard = recogniser.hear(read_audio(path))
        best = understood(heard, attention.meaning) if isinstance(heard, Heard) else None
        right = best is not None and wanted is not None and attention.meaning(best.hypothesis.text) == wanted
        found.append(Case(best and best.evidence.known(), right, not aside, str(line.get("speaker"))))
    return found


def main() -> None:
    """Print the weights, and what thresholds come to."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", metavar="FOLDER", nargs="+", type=Path)
    parser.add_argument("--most", type=int, help="sounds, of all (default: all)")
    given = parser.parse_args()
    found = cases(given.folders, given.most)
    known = [each for each in found if each.known is not None]
    rows, right = np.array([each.known for each in known]), np.array([each.right for each in known])
    voices, ones = np.array([each.voice for each in known]), np.ones(len(known))
    weights: Any = fitted(rows, right, ones)
    print(", ".join(f'"{name}": {weight:.2f}' for name, weight in zip(WEIGHTS, weights, strict=True)))
    odds = np.zeros(len(known))
    for voice in sorted(set(voices)):
        other = voices != voice
        odds[~other] = rows[~other] @ fitted(rows[other], right[other], ones[other])
    belief, meant = 1 / (1 + np.exp(-odds)), np.array([each.meant for each in known])
    said = sum(each.meant for each in found)
    for threshold in THRESHOLDS:
        taken, shown = belief >= threshold, belief >= READ_BACK
        print(
            f"from {threshold}: at once {(taken & right).sum() / said:.3f}, with a read-back"
            f" {(shown & right).sum() / said:.3f}, wrong {(taken & ~right & meant).sum() / said:.3f} of {said};"
            f" of {len(found) - said} asides {(taken & ~meant).sum()}"
        )


if __name__ == "__main__":
    main()
