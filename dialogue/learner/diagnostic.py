"""Whether an equation's numbers reveal thinking: every wrong rule gives a wrong answer of its own.

An equation whose right answer also comes out of a wrong rule hides that error; one where two rules give the same
wrong answer cannot tell them apart by the answer. Some forms leave no choice (in ``x + b = c`` a number moved with
its sign and an operation done again both give ``c + b``): ``stages.toml`` lists those, family by family.

Only the most direct way of each documented rule is compared: with every way of every rule, hardly an equation
would be left.
"""

from collections.abc import Collection, Iterator, Mapping
from fractions import Fraction
from functools import cache
from itertools import combinations, islice
from typing import TypeAlias

from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.errors import error_table
from dialogue.algebra.errors.answers import answer
from dialogue.algebra.errors.board import Board, board_of
from dialogue.algebra.errors.right_steps import right_lines
from dialogue.algebra.errors.rules import LINE_RULES

Way: TypeAlias = tuple[int, int, int]  # which rule, tried on which line, and which of what it makes of that


@cache
def compared() -> frozenset[str]:
    """The errors whose answers are compared: the documented ones that follow a rule, not slips of calculation."""
    rules = {error for errors, _ in LINE_RULES for error in errors}
    return frozenset(error for error, entry in error_table().items() if entry.listed and error in rules)


def first_answers(equation: Equation) -> Mapping[str, Fraction]:
    """Each compared error with the answer of its most direct way, where it leads to one answer at all."""
    return {error: value for error, (value, _) in _first_ways(equation).items()}


def _first_ways(equation: Equation) -> dict[str, tuple[Fraction, Way]]:
    lines = list(_lines(equation))
    found: dict[str, tuple[Fraction, Way]] = {}
    for number, (errors, rule) in enumerate(LINE_RULES):
        missing = [error for error in errors if error not in found and error in compared()]
        if not missing:
            continue
        ways = ((at, out, board) for at, line in enumerate(lines) for out, board in enumerate(rule(line)))
        first = next(
            ((value, (number, at, out)) for at, out, board in ways if (value := answer(board)) is not None), None
        )
        if first is not None:
            found.update(dict.fromkeys(missing, first))
    return found


def _lines(equation: Equation) -> Iterator[Board]:
    """The lines on which the rules are tried, fewest right steps first."""
    start = board_of(equation)
    most = _most_below(start)
    return (reached.board for reached in right_lines(start) if _most_below(reached.board) <= most)


class UsualWays:
    """The ways on which errors lead to their answers in equations of one family, learnt from some of them.

    A family has one form, so an error nearly always takes the same way there; trying only those is several times as
    fast as trying every rule on every line. ``tests/bench/bench_families.py`` says how often it misses anything.
    """

    def __init__(self) -> None:
        self._ways: dict[str, list[Way]] = {}

    def learn(self, equation: Equation) -> Mapping[str, Fraction]:
        """The equation's answers found in full (see ``first_answers``); their ways are remembered."""
        found = _first_ways(equation)
        for error, (_, way) in found.items():
            known = self._ways.setdefault(error, [])
            if way not in known:
                known.append(way)
                known.sort(key=lambda each: each[1:])
        return {error: value for error, (value, _) in found.items()}

    def answers(self, equation: Equation, lines_on: int | None = None) -> Mapping[str, Fraction]:
        """The answers that the ways remembered lead to; of those that begin within so many lines, if a number is given
        (the lines far down the search take most of the time)."""
        coming, lines = _lines(equation), list[Board]()
        led: dict[Way, Fraction | None] = {}
        found: dict[str, Fraction] = {}
        for error, ways in self._ways.items():
            for way in ways:
                number, at, out = way
                if lines_on is not None and at > lines_on:
                    continue
                if way not in led:
                    lines += islice(coming, max(0, at + 1 - len(lines)))
                    made = LINE_RULES[number][1](lines[at]) if at < len(lines) else iter(())
                    board = next(islice(made, out, None), None)
                    led[way] = None if board is None else answer(board)
                value = led[way]
                if value is not None:
                    found[error] = value
                    break
        return found


def _most_below(board: Board) -> int:
    """The largest denominator: lines that bring in fractions are left aside, as in ``wrong_answers``."""
    return max((piece.coefficient.denominator for piece in (*board.left, *board.right)), default=1)


def clashes(
    equation: Equation,
    right: Solution,
    hidden: Collection[str] = (),
    coincide: Collection[frozenset[str]] = (),
    answers: Mapping[str, Fraction] | None = None,
) -> tuple[tuple[str, ...], ...]:
    """What the answer would not show: ``(error,)`` for one that gives the right answer, ``(one, other)`` for two
    that give the same. Those the form forces, ``hidden`` and within a group of ``coincide``, are left out.
    ``answers`` are the equation's first answers, where they are known already."""
    known = first_answers(equation) if answers is None else answers
    found = {error: value for error, value in known.items() if error not in hidden}
    alone = [(error,) for error, value in found.items() if value == right.value]
    alike: dict[tuple[int, int], list[str]] = {}
    for error in sorted(found):
        alike.setdefault(found[error].as_integer_ratio(), []).append(error)
    pairs = [
        (one, other)
        for errors in alike.values()
        for one, other in combinations(errors, 2)
        if not any({one, other} <= group for group in coincide)
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
