"""Gather what learners say in the training lessons, for the recogniser's guide: dialogue/understanding/en/sayings.txt.

    PYTHONPATH=.:tests python -m training.gather_sayings

A line is ``expecting | words``, the unknown as x; numbers in words. Kept are turns that could be spoken as they
stand, of words that several authors use: the rest would widen the guide for nothing. No blind turn is among them.
"""

import re
from collections import defaultdict
from pathlib import Path

from training.reading import LESSONS, lessons

FILE = Path(__file__).parents[2] / "dialogue" / "understanding" / "en" / "sayings.txt"
WORD = r"[a-z]+(?:'[a-z]+)?"
SPOKEN = re.compile(rf"{WORD}(?: {WORD})*")
MARKS = re.compile(r"[,.?!;:…\"()-]")
MOST_WORDS = 40
FEWEST_AUTHORS, FEWEST_TURNS = 3, 5  # that a word stands in
HEAD = "# What learners say in the training lessons (invented), by what was asked; tests/training/gather_sayings.py"


def main() -> None:
    """Write the file."""
    found: list[tuple[str, str]] = []
    authors: dict[str, set[str]] = defaultdict(set)
    counts: dict[str, int] = defaultdict(int)
    for path in LESSONS:
        for turn in lessons(path):
            text = " ".join(MARKS.sub(" ", turn.text.lower().replace("’", "'")).split())
            words = ["x" if word == turn.letter and word not in "ai" else word for word in text.split()]
            if not SPOKEN.fullmatch(text) or len(words) > MOST_WORDS:
                continue
            found.append((turn.expecting, " ".join(words)))
            for word in set(words):
                authors[word].add(path.stem.rstrip("0123456789"))
                counts[word] += 1
    known = {word for word in counts if len(authors[word]) >= FEWEST_AUTHORS and counts[word] >= FEWEST_TURNS}
    kept = sorted({one for one in found if known.issuperset(one[1].split())})
    FILE.write_text("\n".join([HEAD, *(f"{expecting} | {text}" for expecting, text in kept)]) + "\n", "utf-8")
    print(f"{len(kept)} of {len(found)} turns, {len(known)} words, {FILE.stat().st_size // 1000} kB")


if __name__ == "__main__":
    main()
