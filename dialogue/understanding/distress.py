"""Distress in a learner's words, by the phrases of ``en/distress.toml``: which only a person can answer."""

import re
from functools import lru_cache

from dialogue.understanding import normalise
from dialogue.understanding.grammar import read_data

NOT_A_LETTER = re.compile(r"[^a-z']+")


def tells_of_distress(text: str) -> bool:
    """Whether a phrase in it is taken for a disclosure."""
    return _phrases().search(NOT_A_LETTER.sub(" ", normalise.cleaned(text))) is not None


@lru_cache(maxsize=1)
def _phrases() -> re.Pattern[str]:
    phrases = (phrase.replace("'", "'?") for phrase in read_data("distress")["phrases"])
    return re.compile(rf"\b(?:{'|'.join(phrases)})\b")
