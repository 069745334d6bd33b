"""What learners ask: sentences each with its topic (``topics/asked_*.txt``, ``topic | sentence``); and whole turns with
what is asked in them (``topics/blind_*.txt``, ``equation | tutor's sentence | turn``), by authors who saw neither code
nor data nor the topics, with two labels each (``12 | both sides {why both}``)."""

import re
from collections import Counter
from pathlib import Path
from typing import NamedTuple

from training.reading import FOLDER

TOPICS = sorted((FOLDER / "topics").glob("asked_*.txt"))
LETTER = re.compile(r"(?<![A-Za-z'])\d*([b-hj-z])(?![A-Za-z'])")
ASKING = frozenset({"ask", "object", "goal", "aside", "feel", "unclear", "disclosure", "control"})  # may ask
WORDS = re.compile(r"\{.*?\}")
LABEL = re.compile(r"(\d+)\s*\|\s*(.*)")


class Sentence(NamedTuple):
    """A sentence with its topic, and whose it is."""

    author: str
    topic: str
    text: str
    letter: str


def sentences(path: Path) -> list[Sentence]:
    """The sentences of one author."""
    rows = [line.split("|", 1) for line in path.read_text("utf-8").splitlines() if "|" in line]
    return [Sentence(path.stem, topic.strip(), text.strip(), letter_of(text)) for topic, text in rows]


def letter_of(text: str) -> str:
    """The unknown of a sentence without an equation: the letter that stands alone or behind a number most often."""
    found = Counter(LETTER.findall(text.lower()))
    return found.most_common(1)[0][0] if found else "n"


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
