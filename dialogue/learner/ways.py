"""The ways on which wrong rules lead to their answers: on which line of the right work a rule is first of use.

Equations of one family have one form, so an error nearly always takes the same way in them. A way is a rule and the
right steps that come before it, by their places, not the line's number in the search: so a way can be gone again in
another equation without searching, and every way of one rule shares the lines it has in common with others.
"""

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from itertools import islice
from typing import NamedTuple, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.errors import error_table
from dialogue.algebra.errors.answers import answer
from dialogue.algebra.errors.board import Board, board_of
from dialogue.algebra.errors.right_steps import Reached, right_lines, tidied, undone
from dialogue.algebra.errors.rules import LINE_RULES

Step: TypeAlias = tuple[bool, int]  # tidied, or an operation undone, and which of what that makes of the line
Path: TypeAlias = tuple[Step, ...]  # from the equation to a line


class Way(NamedTuple):
    """Which rule, tried on the line at the end of which path."""

    rule: int
    path: Path


@cache
def compared() -> frozenset[str]:
    """The errors whose answers are compared: the documented ones that follow a rule, not slips of calculation."""
    rules = {error for errors, _ in LINE_RULES for error in errors}
    return frozenset(error for error, entry in error_table().items() if entry.listed and error in rules)


@cache
def _leading_to() -> Mapping[str, tuple[int, ...]]:
    """The rules behind each compared error, in the order in which they are tried."""
    return {
        error: tuple(number for number, (errors, _) in enumerate(LINE_RULES) if error in errors)
        for error in dict.fromkeys(error for errors, _ in LINE_RULES for error in errors)
        if error in compared()
    }


def first_answers(equation: Equation) -> Mapping[str, Fraction]:
    """Each compared error with the answer of its most direct way, where it leads to one answer at all."""
    return {error: value for error, (value, _) in first_ways(equation).items()}


def first_ways(equation: Equation) -> Mapping[str, tuple[Fraction, Way]]:
    """The same, with the way. Every rule is tried on every line that right steps reach, fewest steps first."""
    start = board_of(equation)
    most = most_below(start)
    lines = [reached for reached in right_lines(start) if most_below(reached.board) <= most]
    led: dict[int, tuple[Fraction, Way] | None] = {}
    found: dict[str, tuple[Fraction, Way]] = {}
    for error, rules in _leading_to().items():
        for rule in rules:
            if rule not in led:
                led[rule] = _first_way(rule, lines)
            first = led[rule]
            if first is not None:
                found[error] = first
                break
    return found


def _first_way(rule: int, lines: list[Reached]) -> tuple[Fraction, Way] | None:
    for reached in lines:
        value = _first_answer(rule, reached.board)
        if value is not None:
            return value, Way(rule, path_to(reached))
    return None


def _first_answer(rule: int, board: Board) -> Fraction | None:
    for made in LINE_RULES[rule][1](board):
        value = answer(made)
        if value is not None:
            return value
    return None


def most_below(board: Board) -> int:
    """The largest denominator: lines that bring in fractions are left aside, as in ``wrong_answers``."""
    return max([piece.coefficient.denominator for piece in (*board.left, *board.right)], default=1)


def path_to(reached: Reached) -> Path:
    """The right steps that lead to a line."""
    source = reached.source
    return () if source is None else (*path_to(source), (reached.depth == source.depth, reached.place))


def order(path: Path) -> tuple[object, ...]:
    """Sorts paths as the search comes upon their lines: fewest lines written first; of those what an operation gave,
    then what tidying once gave, and so on; then as their sources are sorted."""
    if not path:
        return 0, 0
    tidy = next((back for back, (is_tidied, _) in enumerate(reversed(path)) if not is_tidied), len(path))
    return sum(not is_tidied for is_tidied, _ in path), tidy, order(path[:-1]), path[-1][1]


class UsualWays:
    """The ways on which errors lead to their answers in equations of one family, learnt from some of them.

    Going those is many times as fast as trying every rule on every line, and gives the same unless an equation's
    numbers open or close a way that they never did before. ``tests/bench/bench_families.py`` says how often.
    """

    def __init__(self) -> None:
        self._ways: dict[str, tuple[Way, ...]] = {}

    def learn(self, equation: Equation) -> Mapping[str, Fraction]:
        """The equation's answers found in full (see ``first_answers``); their ways are remembered."""
        found = first_ways(equation)
        for error, (_, way) in found.items():
            known = self._ways.get(error, ())
            if way not in known:
                self._ways[error] = tuple(sorted((*known, way), key=lambda each: (each.rule, order(each.path))))
        return {error: value for error, (value, _) in found.items()}

    def answers(self, equation: Equation) -> Mapping[str, Fraction]:
        """Each error's answer on the first of the ways remembered that leads to one."""
        lines = _Lines(board_of(equation))
        led: dict[tuple[Way, ...], Fraction | None] = {}  # errors that nobody can tell apart have the same ways
        found: dict[str, Fraction] = {}
        for error, ways in self._ways.items():
            if ways not in led:
                led[ways] = lines.first_answer(ways)
            value = led[ways]
            if value is not None:
                found[error] = value
        return found


class _Lines:
    """The lines of one equation at the ends of paths, each worked out once."""

    def __init__(self, start: Board) -> None:
        self._known: dict[Path, Board | None] = {(): start}
        self._most = most_below(start)

    def first_answer(self, ways: tuple[Way, ...]) -> Fraction | None:
        """The answer of the first of the ways that leads to one, over lines that bring in no fractions."""
        for rule, path in ways:
            line = self._at(path)
            if line is None or (path and most_below(line) > self._most):
                continue
            value = _first_answer(rule, line)
            if value is not None:
                return value
        return None

    def _at(self, path: Path) -> Board | None:
        if path not in self._known:
            before, (is_tidied, place) = self._at(path[:-1]), path[-1]
            further = iter(()) if before is None else tidied(before) if is_tidied else undone(before)
            self._known[path] = next(islice(further, place, None), None)
        return self._known[path]
