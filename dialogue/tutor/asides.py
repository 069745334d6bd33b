"""Words that ask for something beside the lesson, or point at a line, where nothing else was understood."""

import re
import tomllib
from functools import cache
from importlib.resources import files

from dialogue.algebra.tree import whole
from dialogue.meaning import Ask, Meaning, Value
from dialogue.tutor.state import Phase

POLITE = re.compile(r"\b(please|can we|could we|i want to|i want|i'd like to|i'd like|ok|okay)\b")
ORDINALS = ("first", "second", "third", "fourth", "fifth")
NUMBERS = ("one", "two", "three", "four", "five")


@cache
def _games() -> frozenset[str]:
    text = files("dialogue.tutor").joinpath("asides.toml").read_text(encoding="utf-8")
    return frozenset(tomllib.loads(text)["game"])


def aside(text: str, phase: Phase) -> Meaning | None:
    """What was meant beside the lesson; None for anything else."""
    said = " ".join(re.sub(r"[^a-z0-9' ]", " ", text.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")).split())
    if phase == "spot":
        for word in said.split():
            if word.isdigit() and len(word) == 1:
                return Value(whole(int(word)))
            for names in (ORDINALS, NUMBERS):
                if word in names:
                    return Value(whole(names.index(word) + 1))
    shorter = " ".join(POLITE.sub(" ", said).split())
    return Ask("game") if said in _games() or shorter in _games() else None
