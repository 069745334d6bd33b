"""Whole turns with what is asked in them (``topics/blind_*.txt``), by authors who saw neither code nor data nor the
topics, with two labels each: ``equation | tutor's sentence | turn``, and ``12 | both sides {why both}``."""

import re
from typing import NamedTuple

from training.reading import FOLDER

WORDS = re.compile(r"\{.*?\}")
LABEL = re.compile(r"(\d+)\s*\|\s*(.*)")


class AskingTurn(NamedTuple):
    """A turn, and the topics that each of two labellers found asked."""

    equation: str
    tutor: str
    text: str
    topics: tuple[frozenset[str], frozenset[str]]


def asking_turns(name: str) -> list[AskingTurn]:
    """The turns of one set."""
    one, two = (_labels(f"{name}_labels_{place}") for place in (1, 2))
    lines = (FOLDER / "topics" / f"{name}.txt").read_text("utf-8").splitlines()
    return [
        AskingTurn(*line.split(" | ", 2), (one[number], two[number]))  # type: ignore[arg-type]  # three parts
        for number, line in enumerate(lines, 1)
    ]


def _labels(name: str) -> dict[int, frozenset[str]]:
    found = map(LABEL.match, (FOLDER / "topics" / f"{name}.txt").read_text("utf-8").splitlines())
    return {int(one[1]): frozenset(map(str.strip, WORDS.sub("", one[2]).split(";"))) for one in found if one}
