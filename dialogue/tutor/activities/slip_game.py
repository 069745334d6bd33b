"""A game: an equation that the tutor works with one slip made on purpose, to be caught."""

from collections.abc import Iterator

from dialogue.algebra.board import board_of, equation_from
from dialogue.algebra.cost import untidy
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.rules import LINE_RULES
from dialogue.algebra.parallel import parallel
from dialogue.algebra.solver import solve_by_steps
from dialogue.algebra.tree import has_unknown
from dialogue.tutor.core.state import Game, Phase

MOST_LINES = 5
PLANTED = frozenset(  # slips that show on one line and are worth catching
    {"opposite-on-other-side", "one-side-only", "subtract-coefficient", "partial-distribution", "distribution-sign",
     "like-terms-sign", "combine-unlike-terms", "multiply-one-term-only", "divide-one-term-only"}
)  # fmt: skip


def catch_a_slip(equation: Equation, seed: int, back: Phase) -> Game | None:
    """The game beside this equation; None where no slip can be planted."""
    found = planted(equation, seed)
    return None if found is None else Game(*found, back)


def planted(equation: Equation, seed: int) -> tuple[tuple[Equation, ...], int, str] | None:
    """A parallel equation worked with one slip, which line that is, and the error; None where none can be made."""
    found = list(_workings(parallel(equation)))
    return found[seed % len(found)] if found else None


def _workings(other: Equation) -> Iterator[tuple[tuple[Equation, ...], int, str]]:
    right = (other, *(worked.equation for worked in solve_by_steps(other)))
    for place, line in enumerate(right[:-1]):
        for errors, rule in LINE_RULES:
            if errors[0] not in PLANTED:
                continue
            for board in rule(board_of(line)):
                wrong = equation_from(board, other.letter)
                solution = wrong.solution()
                whole = solution.value is not None and solution.value.denominator == 1
                tidy = not any(untidy(side) for side in wrong.sides()) or errors[0] == "partial-distribution"
                if not whole or not tidy or solution == other.solution() or not _shows(wrong):
                    continue
                lines = (*right[: place + 1], wrong, *(worked.equation for worked in solve_by_steps(wrong)))
                if len(lines) <= MOST_LINES and len(set(lines)) == len(lines):
                    yield lines, place + 1, errors[0]


def _shows(line: Equation) -> bool:
    return any(has_unknown(side) for side in line.sides())
