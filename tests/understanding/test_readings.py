"""Numbers and expressions as said, with every reading that begins at the first word.

A line of ``readings.txt`` is the letter (or ``number``), what is said, and the readings: where each ends, what it is
(``?`` where it could be grouped in two ways), and a ``~`` for each word that is only a homophone.
"""

from fractions import Fraction
from pathlib import Path

import pytest

from dialogue.algebra.tree import Expression, Number
from dialogue.algebra.writing import write
from dialogue.understanding.expressions import AMBIGUOUS, Expressions
from dialogue.understanding.numbers import NumberFound, number_at

LINES = [line.split(" | ") for line in Path(__file__).with_name("readings.txt").read_text("utf-8").splitlines()]


def _written(tree: Expression) -> str:
    if tree is AMBIGUOUS:
        return "?"
    return tree.written or write(tree) if isinstance(tree, Number) else write(tree)


def _found(kind: str, said: str) -> list[NumberFound]:
    tokens = said.split()
    return number_at(tokens, 0) if kind == "number" else Expressions(tokens, kind).at(0)


@pytest.mark.parametrize("kind", sorted({kind for kind, *_ in LINES}))
def test_every_reading(kind: str) -> None:
    for said, wanted in ((said, wanted) for one, said, wanted in LINES if one == kind):
        found = [f"{end} {_written(tree)}{' ~' * cost}" for end, tree, cost in _found(kind, said)]
        assert (said, sorted(found or ["nothing"])) == (said, sorted(wanted.split("; ")))


def test_what_is_written_is_what_is_meant() -> None:
    """ "3 1/2", as it is shown, is 3 + 1/2: Python's own fractions say so."""
    numbers = [tree for kind, said, _ in LINES if kind == "number" for _, tree, _ in _found(kind, said)]
    written = [tree for tree in numbers if isinstance(tree, Number) and tree.written]
    assert len(written) > 20
    for tree in written:
        assert tree.value == sum(Fraction(part) for part in tree.written.split()), tree
