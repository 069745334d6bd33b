"""What is said and not meant: a denial, and what stands before a correction."""

import re
from collections.abc import Iterator
from functools import lru_cache

from dialogue.understanding.certain import markers
from dialogue.understanding.grammar import read_data

NOT_WORDS = re.compile(r"[^\w']+")


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
