"""A game: three equations, two of which have the same answer. A number that fits one is tried in the others, which is
how an answer is checked.
"""

from collections.abc import Iterator
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.parallel import parallel
from dialogue.algebra.tree import Product, SignedTerm, Sum, Unknown, constant
from dialogue.tutor.core.state import Game, Phase

MOST_MORE = 9  # added in the second equation, and the most lots of the unknown in the third


def odd_one_out(equation: Equation, seed: int, back: Phase) -> Game | None:
    """The game beside this equation, with one of its form; None where that has no small whole answer."""
    other = parallel(equation)
    answer = other.solution().value
    if answer is None or answer.denominator != 1 or answer < 1:
        return None
    lines = next((each for each in _lines(other, answer, seed) if equation not in each and len(set(each)) == 3), None)
    if lines is None:
        return None
    turn = seed % 3  # the odd one is made last
    return Game((*lines[turn:], *lines[:turn]), 2 - turn, "", back, name="odd")


def _lines(other: Equation, answer: Fraction, seed: int) -> Iterator[tuple[Equation, ...]]:
    """One of the form of the equation, ``k + 6 = 11`` with its answer, and ``4k = 24`` with one more."""
    unknown = Unknown(other.letter)
    for step in range(MOST_MORE):
        more = Fraction(2 + (seed + step) % (MOST_MORE - 1))
        added = Sum((SignedTerm(1, unknown), SignedTerm(1, constant(more))))
        lots = Product((constant(more), unknown))
        yield (
            other,
            Equation(added, constant(answer + more), other.letter),
            Equation(lots, constant(more * (answer + 1)), other.letter),
        )
