"""What single phrases tell of a text, by the tables in ``en``: distress, which only a person can answer; a denial; and
what stands before a correction.
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
    said = f" {' '.join(NOT_WORDS.split(text.lower().replace(chr(0x2019), chr(39))))} "
    return any(f" {word} " in said for word in _denials())


@lru_cache(maxsize=1)
def _denials() -> tuple[str, ...]:
    return tuple(read_data("denials")["words"])


def before_a_correction(text: str) -> Iterator[str]:
    """What was said before each word that marks a self-correction ("take four no take three")."""
    words = [(match.group().lower(), match.start()) for match in re.finditer(r"[\w']+|[-+*/=().]", text)]
    for at in range(1, len(words) - 1):
        if any(tuple(word for word, _ in words[at : at + len(one)]) == one for one in markers()):
            yield text[: words[at][1]]
