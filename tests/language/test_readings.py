"""Numbers and expressions as said, with every reading that begins at the first word.

A line of ``readings.txt`` is the letter (or ``number``), what is said, and the readings: where each ends, what it is
(``?`` where it could be grouped in two ways), and a ``~`` for each word that is only a homophone.
"""

from pathlib import Path

import pytest

from dialogue.algebra.tree import Expression, Number
from dialogue.algebra.writing import write
from dialogue.language.expressions import AMBIGUOUS, Expressions
from dialogue.language.numerals import Found, number_at

LINES = [line.split(" | ") for line in Path(__file__).with_name("readings.txt").read_text("utf-8").splitlines()]


def _written(tree: Expression) -> str:
    if tree is AMBIGUOUS:
        return "?"
    return tree.written or write(tree) if isinstance(tree, Number) else write(tree)


def _found(kind: str, said: str) -> list[Found]:
    tokens = said.split()
    return number_at(tokens, 0) if kind == "number" else Expressions(tokens, kind).at(0)


@pytest.mark.parametrize("kind", sorted({kind for kind, *_ in LINES}))
def test_every_reading(kind: str) -> None:
    for said, wanted in ((said, wanted) for one, said, wanted in LINES if one == kind):
        found = [f"{end} {_written(tree)}{' ~' * cost}" for end, tree, cost in _found(kind, said)]
        assert (said, sorted(found or ["nothing"])) == (said, sorted(wanted.split("; ")))
