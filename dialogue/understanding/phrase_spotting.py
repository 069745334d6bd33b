"""What single phrases tell of a text, by the tables in ``en``: distress, which only a person can answer; a denial; what
undoes; and what stands before a correction.
"""

import re
from collections.abc import Iterator
from functools import lru_cache

from dialogue.understanding import normalise
from dialogue.understanding.certain import markers
from dialogue.understanding.grammar import read_data

NOT_WORDS = re.compile(r"[^\w']+")
NOT_A_LETTER = re.compile(r"[^a-z']+")


def tells_of_distress(text: str) -> bool:
    """Whether a phrase in it is taken for a disclosure."""
    return _phrases().search(NOT_A_LETTER.sub(" ", normalise.cleaned(text))) is not None


@lru_cache(maxsize=1)
def _phrases() -> re.Pattern[str]:
    phrases = (phrase.replace("'", "'?") for phrase in read_data("distress")["phrases"])
    return re.compile(rf"\b(?:{'|'.join(phrases)})\b")


def denies(text: str) -> bool:
    """Whether a word in it denies or refuses something."""
    said = f" {' '.join(NOT_WORDS.split(normalise.in_lower_case(text)))} "
    words, none = _denials()
    for phrase in none:
        said = said.replace(f" {phrase} ", " ")
    return any(f" {word} " in said for word in words)


@lru_cache(maxsize=1)
def _denials() -> tuple[tuple[str, ...], tuple[str, ...]]:
    data = read_data("denials")
    return tuple(data["words"]), tuple(data["no_denials"])


def operation_that_undoes(text: str) -> str | None:
    """The operation named apart from what is undone: "undo it, divide by 3" is divide; None where there is none."""
    found = _undoing().search(text.lower())
    return None if found is None else found.lastgroup


def undoes_or_is_undone(text: str) -> bool:
    """Whether the operation beside "undo" may be the one meant as well as its opposite ("undo divide by 3")."""
    return _either().search(text.lower()) is not None


@lru_cache(maxsize=1)
def _either() -> re.Pattern[str]:
    data = read_data("undone")
    undo, either = ("|".join(data[name]) for name in ("undo", "either"))
    return re.compile(rf"\b(?:{undo})\s+(?:{either})\s+-?[\d(]")


@lru_cache(maxsize=1)
def _undoing() -> re.Pattern[str]:
    data = read_data("undone")
    undo, apart, between = ("|".join(data[name]) for name in ("undo", "apart", "between"))
    named = "|".join(f"(?P<{name}>{'|'.join(words)})" for name, words in data["operation"].items())
    return re.compile(rf"\b(?:{undo})(?:{apart})(?:(?:{between})\W+)*(?:{named})(?![a-z])")


def before_a_correction(text: str) -> Iterator[int]:
    """Where each word stands that marks a self-correction ("take four no take three")."""
    words = [(match.group().lower(), match.start()) for match in re.finditer(r"[\w']+|[-+*/=().]", text)]
    for at in range(1, len(words) - 1):
        if any(tuple(word for word, _ in words[at : at + len(one)]) == one for one in markers()):
            yield words[at][1]
