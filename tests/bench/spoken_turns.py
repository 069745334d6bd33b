"""Make sound of whole lessons' turns, from the blind lessons (tests/training/blind): how far from sound to acts.

    python tests/bench/spoken_turns.py FOLDER [--half dev|held] [--most 180]

The halves are lessons of different learners, said by the voices of spoken_set.py's halves, six of them each. A quarter
of the turns is in white noise 20 or 10 dB below the speech, and two of the voices are raised by 1.2 as a child's.
Writes WAV files and a manifest.jsonl with what the two labellers heard ("labels") beside what was asked.
"""

import argparse
import random
import re
import sys
from pathlib import Path
from typing import Any

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS.parent), str(TESTS), str(TESTS / "bench")]

import numpy as np  # noqa: E402 - only after the path is set
import spoken_set  # noqa: E402
from training.reading import LabelledTurn, blind  # noqa: E402

FIFTH = ("adults_5", "chatty_5", "recogniser_5", "regional_5", "second_language_5", "upset_5")
LESSONS = {"dev": FIFTH, "held": ("chatty_3", "second_language_3", "upset_3")}  # in no training of the tagger
SPEAKS = ("spoken", "speak", "mumbles", "slow speech", "restarts sentences")  # whoever types is left out
VOICES = {
    "dev": ("awb", "joe", "nano us", "formant gb", "formant us m1", "formant gb f2"),
    "held": ("heart", "nano gb", "kal", "ked", "formant scotland", "formant caribbean"),
}
RAISED = {"dev": ("awb", "formant gb"), "held": ("nano gb", "kal")}
CENTS = "316"  # up by 1.2
NOISES: tuple[str | None, ...] = ("white 20", None, None, None, "white 10", None, None, None)
MOST_WORDS = 25
WRITTEN = re.compile(r"[+*/=^<>÷×()\[\]_#]|\d-|\b[a-z]{1,2}\d|\d[a-z]")  # what nobody says


def sayable(turn: LabelledTurn) -> bool:
    """Whether it can be read aloud as it stands."""
    if not any(word in turn.who for word in SPEAKS) or WRITTEN.search(turn.text):
        return False
    return 0 < len(turn.text.split()) <= MOST_WORDS and bool(turn.acts)


def make(folder: Path, half: str, most: int, seed: int = 1) -> int:
    """Write the set; how many sounds it has."""
    here, _ = spoken_set.opened(half)
    voices = [(name, here[name][1]) for name in VOICES[half] if name in here]
    turns = [turn for name in LESSONS[half] for turn in blind(name) if sayable(turn)]
    random.Random(f"{half} {seed}").shuffle(turns)
    draw, made = np.random.default_rng(seed), list[dict[str, Any]]()
    folder.mkdir(parents=True, exist_ok=True)
    for place, turn in enumerate(turns[:most]):
        name, say = voices[place % len(voices)]
        sound = spoken_set.framed(say(turn.text.replace("’", "'")), draw)
        if name in RAISED[half]:
            sound = spoken_set.by_sox(sound, "pitch", CENTS)
        noise = NOISES[place // len(voices) % len(NOISES)]
        path = folder / f"{place:04}.wav"
        spoken_set.write_wav(path, sound if noise is None else spoken_set.spoilt(sound, noise, [], draw))
        made.append({"file": path.name, "text": turn.text, "expecting": turn.expecting, "letter": turn.letter,
                     "tutor": turn.tutor, "labels": [turn.acts, turn.others], "speaker": name,
                     "raised": name in RAISED[half], "noise": noise})  # fmt: skip
    spoken_set.write_manifest(folder, made)
    return len(made)


def main() -> None:
    """Read the arguments and make the set."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--half", choices=sorted(VOICES), default="dev")
    parser.add_argument("--most", type=int, default=180, help="turns (default: 180)")
    given = parser.parse_args()
    print(f"{make(given.folder, given.half, given.most)} turns")


if __name__ == "__main__":
    main()
