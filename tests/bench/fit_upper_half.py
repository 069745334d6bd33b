"""Fit what speech/audio/upper_half.py takes the upper half of a telephone's sound from, and print its table.

    python tests/bench/spoken_set.py FOLDER --half dev --takes 6 && python tests/bench/fit_upper_half.py FOLDER

Only the recorded voices are looked at, without added noise; each frame counts three times, twice with the ends of the
lower half fainter by chance, as telephones differ. A faint noise keeps silence from being emptier than any room. Frames
that hiss, one in seven, count as much in all as the others, for it is they that are missed.
"""

import json
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT)]

import numpy as np  # noqa: E402 - only after the path is set

from speech.audio.shaping import trimmed  # noqa: E402
from speech.audio.sound import read_audio  # noqa: E402
from speech.audio.upper_half import ABOVE, BELOW, FREQUENCY, Levels, band_levels, clues, spectra  # noqa: E402

ROOM = 1e-4
RIDGE = 10.0
HISSING = -10.0  # decibels of the upper half over the lower
SPOKEN = -45.0  # decibels below the loudest: frames fainter than this are left out


def frames(folder: Path) -> tuple[Levels, Levels]:
    """Clues and what they should foretell, a row for each frame."""
    chance = np.random.default_rng(0)
    known, wanted = [], []
    for line in map(json.loads, (folder / "manifest.jsonl").open()):
        if line["kind"] != "recorded" or line["noise"]:
            continue
        samples = trimmed(read_audio(folder / line["file"])).samples
        whole = spectra(samples + ROOM * chance.standard_normal(len(samples)))
        for fainter in (0.0, 1.0, 1.0):
            upper, lower = chance.uniform(0, 20 * fainter), chance.uniform(0, 15 * fainter)
            cut = whole * 10 ** (-upper / 20 * np.clip((FREQUENCY - 3200) / 500, 0, 1) - lower / 20 * (FREQUENCY < 300))
            clue, level = clues(band_levels(cut, BELOW))
            known.append(clue)
            wanted.append(band_levels(whole, ABOVE) - level)
    return np.vstack(known), np.vstack(wanted)


def main() -> None:
    """Print the table, and how well it foretells."""
    known, wanted = frames(Path(sys.argv[1]))
    spoken = known[:, len(BELOW) - 1] > SPOKEN
    known, wanted = known[spoken], wanted[spoken]
    hisses = wanted.mean(1) > HISSING
    counts = np.where(hisses, 1 / np.mean(hisses), 1 / np.mean(~hisses))[:, None] / 2
    weights = np.linalg.solve((counts * known).T @ known + RIDGE * np.eye(known.shape[1]), (counts * known).T @ wanted)
    for row in weights:
        print("    [" + ", ".join(f"{weight:.3f}" for weight in row) + "],")
    off = np.std(known @ weights - wanted, axis=0)
    print(f"{len(known)} frames; off by {np.round(off, 1)} dB, which spread by {np.round(np.std(wanted, axis=0), 1)}")


if __name__ == "__main__":
    main()
