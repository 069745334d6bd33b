"""Make sound of answers with fillers before them and corrections in them, by the voices of spoken_set.py.

    python tests/bench/spoken_thinking.py FOLDER [--half dev|held] [--most 60]

Two thirds are sentences of spoken_sentences.toml behind a filler, the others put themselves right ("add two, no wait,
three"). A manifest's "text" is what was meant in the end, "said" what was said.
"""

import argparse
import random
import tomllib
from pathlib import Path

import numpy as np
import spoken_set

FILLERS = {
    "dev": ("um", "erm so", "so", "okay so", "well um", "uh", "hmm", "i think"),
    "held": ("erm", "so um", "um so", "okay so", "oh right", "let me see", "er", "well"),
}
NUMBERS = ["two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "fifteen"]
AGAIN = ("no wait", "no", "i mean", "wait no", "no sorry")
MOVES = (
    ("add", " to both sides"), ("subtract", " from both sides"), ("divide both sides by", ""),
    ("take", " off both sides"),
)  # fmt: skip


def make(folder: Path, half: str, most: int, seed: int = 1) -> int:
    """Write the set; how many sounds it has."""
    voices, _ = spoken_set.opened(half)
    chance, draw = random.Random(f"{half} {seed}"), np.random.default_rng(seed)
    held = tomllib.loads(spoken_set.SENTENCES.read_text(encoding="utf-8"))[half]
    plain = [(kind, text) for kind in ("move", "value", "equation") for text in held[kind]]
    lines = [
        (kind, text, f"{chance.choice(FILLERS[half])} {text}") for kind, text in chance.sample(plain, most * 2 // 3)
    ]
    while len(lines) < most:
        (before, after), (first, last) = chance.choice(MOVES), chance.sample(NUMBERS, 2)
        lines.append(("move", f"{before} {last}{after}", f"{before} {first}{after}, {chance.choice(AGAIN)}, {last}"))
    folder.mkdir(parents=True, exist_ok=True)
    names, made = sorted(voices), []
    for place, (kind, text, said) in enumerate(lines):
        name = names[place % len(names)]
        path = folder / f"{place:04}.wav"
        spoken_set.write_wav(path, spoken_set.framed(voices[name][1](said), draw))
        made.append({"file": path.name, "text": text, "said": said, "expecting": kind,
                     "letter": spoken_set.letter_of(text), "speaker": name})  # fmt: skip
    spoken_set.write_manifest(folder, made)
    return len(made)


def main() -> None:
    """Read the arguments and make the set."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--half", choices=sorted(FILLERS), default="dev")
    parser.add_argument("--most", type=int, default=60, help="sounds (default: 60)")
    given = parser.parse_args()
    print(f"{make(given.folder, given.half, given.most)} sounds")


if __name__ == "__main__":
    main()
