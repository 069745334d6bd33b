"""A self-correction inside what was said ("add three, no, take three"): the last version counts, and it is a strength.

The understanding already takes the last version. Here only that there was an earlier one, for the session log: words
that mark a correction, and before them something that would have been an answer by itself and meant something else.
"""

from functools import cache

from dialogue.algebra.moves import Line, Move, Rewrite
from dialogue.language import words
from dialogue.language.grammar import read_data
from dialogue.language.understand import understand
from dialogue.meaning import Describe, Expecting, Meaning, Value

ANSWERS = (Move, Line, Rewrite, Value, Describe)


@cache
def markers() -> frozenset[tuple[str, ...]]:
    """The words that mark a correction; the file is read once, since every answer is looked at."""
    return frozenset(tuple(marker.split()) for marker in read_data("repairs")["markers"])


def taken_back(text: str, meaning: Meaning | None, expecting: Expecting, letter: str) -> Meaning | None:
    """What was said first and then corrected within the same words; None where nothing was."""
    if not isinstance(meaning, ANSWERS):
        return None
    tokens = words.tokens(words.cleaned(text), letter)
    longest = max(map(len, markers()), default=0)
    for start in range(1, len(tokens) - 1):
        if any(tuple(tokens[start : start + size]) in markers() for size in range(1, longest + 1)):
            first = understand(" ".join(tokens[:start]), expecting, letter)
            return first if isinstance(first, ANSWERS) and first != meaning else None
    return None
