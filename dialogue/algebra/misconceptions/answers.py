"""The wrong answers an equation draws: what each error, made once and followed by right steps, ends in.

For choosing equations whose wrong answers tell the errors apart, and for a teacher's key.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from dialogue.algebra.board import Board, board_of, side_form
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.right_steps import Reached, right_lines
from dialogue.algebra.misconceptions.rules import LINE_RULES, RESULT_RULES
from dialogue.algebra.misconceptions.rules.unknowns import zero_misread

NOT_PREDICTABLE = frozenset({"arithmetic-slip"})  # a slip can land anywhere near

DIGITS = frozenset(map(Fraction, range(10)))

Answers = dict[str, tuple[Fraction, ...]]


def wrong_answers(equation: Equation) -> Answers:
    """Error id to the wrong values of the unknown it leads to, the most direct way first.

    A rule is tried where it first applies on the way to the solution. Errors that end in no single value, that
    cannot be made here, or that give the right value only (2x = 4 and taking 2 away) are left out. Raises
    OutOfScope where the equation is not linear.
    """
    right = equation.solution().value
    found = {
        error: tuple(dict.fromkeys(value for value in values if value != right))
        for error, values in _all_answers(equation).items()
    }
    return {error: values for error, values in found.items() if values}


def _all_answers(equation: Equation) -> dict[str, list[Fraction]]:
    found: dict[str, list[Fraction]] = {}
    start = board_of(equation)
    lines = [reached for reached in right_lines(start) if _most_below(reached.board) <= _most_below(start)]
    for errors, ways in _ways(lines):
        for value in ways:
            for error in errors:
                found.setdefault(error, []).append(value)
    zero = _solved(zero_misread(start, equation.solution()))
    if zero:
        found["zero-solution-confusion"] = zero
    digits = [value for value in found.pop("coefficient-as-digit", []) if value in DIGITS]
    return found | ({"coefficient-as-digit": digits} if digits else {})


def _ways(lines: list[Reached]) -> Iterator[tuple[tuple[str, ...], list[Fraction]]]:
    """Each rule with the values it leads to at the fewest right steps where it leads anywhere."""
    for errors, rule in LINE_RULES:
        depth = None
        values: list[Fraction] = []
        for reached in lines:
            if depth is not None and reached.depth > depth:
                break
            values += _solved(rule(reached.board))
            depth = reached.depth if values else None
        yield errors, values
    for errors, spoil in RESULT_RULES:
        if NOT_PREDICTABLE.intersection(errors):
            continue
        depth = None
        values = []
        for reached in lines:
            if depth is not None and reached.depth > depth:
                break
            if reached.source is not None:
                values += _solved(spoil(reached.source.board, reached.board))
                depth = reached.depth if values else None
        yield errors, values


def _most_below(board: Board) -> int:
    """The largest denominator: lines that bring in fractions are left aside, as few learners take that way."""
    return max((piece.coefficient.denominator for piece in (*board.left, *board.right)), default=1)


def _solved(boards: Iterable[Board]) -> list[Fraction]:
    return [value for value in map(answer, boards) if value is not None]


def answer(board: Board) -> Fraction | None:
    """The one number that solves a line; None where none or every number does."""
    left, right = side_form(board.left), side_form(board.right)
    unknowns = left[0] * right[2] - right[0] * left[2]
    numbers = left[1] * right[2] - right[1] * left[2]
    return Fraction(-numbers, unknowns) if unknowns else None
