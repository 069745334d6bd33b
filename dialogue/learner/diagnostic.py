"""Whether an equation's numbers reveal thinking: every wrong rule gives a wrong answer of its own.

An equation whose right answer also comes out of a wrong rule hides that error; one where two rules give the same
wrong answer cannot tell them apart by the answer. Some forms leave no choice (in ``x + b = c`` a number moved with
its sign and an operation done again both give ``c + b``): ``stages.toml`` lists those, family by family.

Only the most direct way of each documented rule is compared: with every way of every rule, hardly an equation
would be left.
"""

from collections.abc import Collection, Mapping
from fractions import Fraction
from functools import cache
from itertools import combinations

from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.errors import error_table
from dialogue.algebra.errors.answers import answer
from dialogue.algebra.errors.board import Board, board_of
from dialogue.algebra.errors.right_steps import right_lines
from dialogue.algebra.errors.rules import LINE_RULES


@cache
def compared() -> frozenset[str]:
    """The errors whose answers are compared: the documented ones that follow a rule, not slips of calculation."""
    rules = {error for errors, _ in LINE_RULES for error in errors}
    return frozenset(error for error, entry in error_table().items() if entry.listed and error in rules)


def first_answers(equation: Equation) -> Mapping[str, Fraction]:
    """Each compared error with the answer of its most direct way, where it leads to one answer at all."""
    start = board_of(equation)
    lines = [reached for reached in right_lines(start) if _most_below(reached.board) <= _most_below(start)]
    found: dict[str, Fraction] = {}
    for errors, rule in LINE_RULES:
        missing = [error for error in errors if error not in found and error in compared()]
        if not missing:
            continue
        boards = (board for reached in lines for board in rule(reached.board))
        value = next((value for value in map(answer, boards) if value is not None), None)
        if value is not None:
            found.update(dict.fromkeys(missing, value))
    return found


def _most_below(board: Board) -> int:
    """The largest denominator: lines that bring in fractions are left aside, as in ``wrong_answers``."""
    return max((piece.coefficient.denominator for piece in (*board.left, *board.right)), default=1)


def clashes(
    equation: Equation, right: Solution, hidden: Collection[str] = (), coincide: Collection[frozenset[str]] = ()
) -> tuple[tuple[str, ...], ...]:
    """What the answer would not show: ``(error,)`` for one that gives the right answer, ``(one, other)`` for two
    that give the same. Those the form forces, ``hidden`` and within a group of ``coincide``, are left out."""
    found = {error: value for error, value in first_answers(equation).items() if error not in hidden}
    alone = [(error,) for error, value in found.items() if value == right.value]
    pairs = [
        (one, other)
        for one, other in combinations(sorted(found), 2)
        if found[one] == found[other] and not any({one, other} <= group for group in coincide)
    ]
    return (*alone, *pairs)


def surely_hides(equation: Equation, right: Solution) -> bool:
    """A quick check, of the collected form only: whether a common wrong use of the coefficient gives the right
    answer, or two of them the same wrong one."""
    left, other = equation.linear()
    coefficient, number = left.coefficient - other.coefficient, other.constant - left.constant
    if abs(coefficient) in {0, 1} or not number:
        return False
    answers = {number - coefficient, number * coefficient, coefficient / number}
    return len(answers) < 3 or right.value in answers
