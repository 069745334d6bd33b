"""Fits the layer that tells whether something grave is let out (``en/learned_disclosures.npz``) on the lessons.

    PYTHONPATH=.:tests python -m training.fit_disclosures

Told: the turns with a disclosure, whole, and the words that carry it. Not told: other turns, whole and sentence by
sentence; all of those by authors who wrote what only sounds alike, half of those with talk, one in twelve of the rest.
"""

from collections.abc import Iterator
from pathlib import Path
from random import Random

import numpy as np

from dialogue.understanding import surface
from dialogue.understanding.learned_disclosures import FILE, TOLD
from dialogue.understanding.learned_topics import NONE, sentences_of
from training.asked import Sentence
from training.fit_topics import OUT, rows, save
from training.reading import LESSONS, LabelledTurn, lessons

STRENGTH = 1.0  # a choice, by an author's sentences that are in no training
ALIKE = ("t2", "t3", "t4", "t5", "u4")  # by authors who wrote disclosures and what is alike
TALK = frozenset({"feel", "aside", "object", "goal", "unclear"})
OF_TALK, OF_OTHERS = 0.5, 0.08


def examples() -> list[Sentence]:
    """What is told and what is not."""
    chance = Random(1)
    return [one for path in LESSONS for turn in lessons(path) for one in _of(turn, path.stem, chance)]


def _of(turn: LabelledTurn, author: str, chance: Random) -> Iterator[Sentence]:
    acts = {act["act"] for act in turn.acts}
    if "disclosure" in acts:
        for text in (turn.text, *(act["span"] for act in turn.acts if act["act"] == "disclosure" and act.get("span"))):
            yield Sentence(author, TOLD, text, turn.letter)
    elif author.startswith(ALIKE) or chance.random() < (OF_TALK if TALK & acts else OF_OTHERS):
        words = surface.words(turn.text, turn.letter)
        for begin, end in sorted({(0, len(words)), *sentences_of(words)}):
            if end > begin:
                yield Sentence(author, NONE, turn.text[words[begin].start : words[end - 1].end], turn.letter)


def main() -> None:
    """Fits and writes the layer."""
    said = [one for one in examples() if surface.words(one.text, one.letter)]
    states, grams = rows(said)
    path = Path(OUT).with_name(f"{FILE}.npz")
    save(path, states, grams, np.array([one.topic for one in said]), STRENGTH)


if __name__ == "__main__":
    main()
