"""Fit how the evidence about hypotheses is weighed (speech/recognition/hypothesis_belief.py), and print the weights.

    python tests/bench/spoken_set.py FOLDER --half dev --takes 3
    python tests/bench/spoken_turns.py FOLDER --half dev
    python tests/bench/fit_hypothesis_belief.py FOLDER... [--kept FOLDER] [--held FOLDER...]

Every sound is heard after what was asked, and the best hypothesis that is understood is right or not: by what the text
means, and in lessons by what the labellers heard; speech about other things is right only as talk. A logistic
regression as in fit_acceptance.py. Then what a threshold would accept, each voice judged by weights from the other
voices, and the same for each folder by itself. With --kept, hearings are remembered, so that a change of the
understanding is fitted within a minute.
"""

import argparse
import json
import sys
from pathlib import Path
from typing import Any, NamedTuple

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS), str(TESTS / "bench"), str(TESTS / "speech")]

import numpy as np  # noqa: E402 - only after the path is set
from bench_speech import asked_before, is_aside, is_rightly_heard  # noqa: E402
from fit_acceptance import fitted  # noqa: E402
from kept_hearings import Remembering  # noqa: E402

from chattutor.lesson.voice.hearing import Attention  # noqa: E402
from speech.audio.sound import read_audio  # noqa: E402
from speech.hearings import Heard  # noqa: E402
from speech.recognition.hypothesis_belief import READ_BACK, WEIGHTS, understood  # noqa: E402
from speech.recognition.moonshine.moonshine import MoonshineRecogniser  # noqa: E402
from speech.recognition.recogniser import Recogniser  # noqa: E402

THRESHOLDS = (0.7, 0.75, 0.8, 0.85, 0.9, 0.93)


class Case(NamedTuple):
    """One hearing; `known` is None where nothing was understood."""

    known: tuple[float, ...] | None
    right: bool
    meant: bool  # for the tutor
    voice: str
    folder: str
    told: str


def cases(folders: list[Path], kept: Path | None) -> list[Case]:
    """What the recogniser makes of the sounds."""
    lines = [
        (asked_before(line, place), folder, line)
        for folder in folders
        for place, line in enumerate(map(json.loads, (folder / "manifest.jsonl").open(encoding="utf-8")))
    ]
    recogniser: Recogniser = MoonshineRecogniser()
    if kept is not None:
        recogniser = Remembering(recogniser, kept)
    attention, found = Attention(), list[Case]()
    for asked, folder, line in sorted(lines, key=lambda one: (one[0], one[2].get("letter", "x"))):
        letter = line.get("letter", "x")
        if (attention.expecting, attention.letter) != (asked, letter) or not found:
            attention.expecting, attention.letter = asked, letter
            recogniser.listen_for(attention.language())
        attention.tutor = line.get("tutor", "")
        heard = recogniser.hear(read_audio(folder / line["file"]))
        usual, certainty = attention.usual, attention.certainty
        best = understood(heard, attention.meaning, usual, certainty) if isinstance(heard, Heard) else None
        text = best.hypothesis.text if best else ""
        right = best is not None and is_rightly_heard(text, line, asked)
        told = f"{line['text']!r} after {asked}: {text!r}, {best and best.evidence}"
        known = best and best.evidence.known()
        found.append(Case(known, right, not is_aside(line), str(line.get("speaker")), folder.name, told))
    return found


def report(found: list[Case], belief: Any) -> None:
    """What each threshold comes to; `belief` is 0 where nothing was understood."""
    right, meant = np.array([each.right for each in found]), np.array([each.meant for each in found])
    said = max(1, meant.sum())
    for threshold in THRESHOLDS:
        taken, shown = belief >= threshold, belief >= READ_BACK
        print(
            f"  from {threshold}: at once {(taken & right & meant).sum() / said:.3f}, with a read-back"
            f" {(shown & right & meant).sum() / said:.3f}, wrong {(taken & ~right & meant).sum() / said:.3f} of {said};"
            f" of {len(found) - said} asides {(taken & ~right & ~meant).sum()}"
        )


def main() -> None:
    """Print the weights, and what thresholds come to."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", metavar="FOLDER", nargs="+", type=Path)
    parser.add_argument("--held", metavar="FOLDER", nargs="+", type=Path, default=[], help="judged, never fitted")
    parser.add_argument("--kept", metavar="FOLDER", type=Path, help="remember hearings here")
    parser.add_argument("--list", type=float, help="print what is wrong and believed from this on")
    given = parser.parse_args()
    found = cases(given.folders, given.kept)
    known = [each for each in found if each.known is not None]
    rows, right = np.array([each.known for each in known]), np.array([each.right for each in known])
    voices, ones = np.array([each.voice for each in known]), np.ones(len(known))
    weights: Any = fitted(rows, right, ones)
    print(", ".join(f'"{name}": {weight:.2f}' for name, weight in zip(WEIGHTS, weights, strict=True)))
    odds = np.zeros(len(known))
    for voice in sorted(set(voices)):
        other = voices != voice
        odds[~other] = rows[~other] @ fitted(rows[other], right[other], ones[other])
    believed = iter(1 / (1 + np.exp(-odds)))
    belief = np.array([0.0 if each.known is None else next(believed) for each in found])
    for name in ("", *sorted({each.folder for each in found})):
        chosen = np.array([name in ("", each.folder) for each in found])
        print(name or "all, each voice by the others")
        report([each for each, one in zip(found, chosen, strict=True) if one], belief[chosen])
    for each, one in zip(found, belief, strict=True):
        if given.list is not None and one >= given.list and not each.right:
            print(f"  {one:.2f} {each.folder} {each.voice} {each.told}")
    for folder in given.held:
        held = cases([folder], given.kept)
        print(f"{folder.name}, held")
        report(held, np.array([0.0 if e.known is None else 1 / (1 + np.exp(-np.dot(e.known, weights))) for e in held]))


if __name__ == "__main__":
    main()
