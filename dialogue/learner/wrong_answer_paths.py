"""The ways on which wrong rules lead to their answers: on which line of the right work a rule is first of use.

Equations of one family have one form, so an error nearly always takes the same way in them. A way is a rule and the
right steps that come before it, by their places, not the line's number in the search: so a way can be tried in another
equation without searching, and every way of one rule shares the lines it has in common with others.
"""

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from itertools import islice
from typing import NamedTuple, TypeAlias

from dialogue.algebra.board import Board, board_of
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.misconceptions.answers import answer
from dialogue.algebra.misconceptions.right_steps import Reached, right_lines, tidied, undone
from dialogue.algebra.misconceptions.rules import LINE_RULES

PathStep: TypeAlias = tuple[bool, int]  # tidied, or an operation undone, and which of what that makes of the line
Path: TypeAlias = tuple[PathStep, ...]  # from the equation to a line


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

    Trying those is many times as fast as trying every rule on every line, and gives the same unless an equation's
    numbers open or close a way that they never did before. ``tests/bench/bench_families.py`` says how often.
    """

    def __init__(self) -> None:
        self._ways: dict[str, tuple[Way, ...]] = {}
        self._plan = _Plan(self._ways)

    def learn(self, equation: Equation) -> Mapping[str, Fraction]:
        """The equation's answers found in full (see ``first_answers``); their ways are remembered."""
        found = first_ways(equation)
        new = {error: way for error, (_, way) in found.items() if way not in self._ways.get(error, ())}
        for error, way in new.items():
            known = (*self._ways.get(error, ()), way)
            self._ways[error] = tuple(sorted(known, key=lambda each: (each.rule, order(each.path))))
        if new:
            self._plan = _Plan(self._ways)
        return {error: value for error, (value, _) in found.items()}

    def answers(self, equation: Equation) -> Mapping[str, Fraction]:
        """Each error's answer on the first of the ways remembered that leads to one."""
        return self._plan.answers(board_of(equation))


class _Plan:
    """Ways put in order of work: each line worked out once, from the line before it, and each way tried once, for all
    the errors that take it. Lines are numbered, 0 the equation itself; nothing is worked out before it is needed."""

    def __init__(self, ways: Mapping[str, tuple[Way, ...]]) -> None:
        number: dict[Path, int] = {(): 0}
        self._steps: list[tuple[int, PathStep]] = [(0, (True, 0))]  # of each line: the line it comes from, and how
        for path in [way.path for each in ways.values() for way in each]:
            for end in range(1, len(path) + 1):
                if path[:end] not in number:
                    number[path[:end]] = len(self._steps)
                    self._steps.append((number[path[: end - 1]], path[end - 1]))
        alike: dict[tuple[Way, ...], list[str]] = {}
        for error, each in ways.items():
            alike.setdefault(each, []).append(error)
        self._goes = [
            (errors, [(way.rule, number[way.path]) for way in each]) for each, errors in alike.items()
        ]  # fmt: skip

    def answers(self, start: Board) -> Mapping[str, Fraction]:
        most = most_below(start)
        lines: dict[int, Board | None] = {0: start}
        found: dict[str, Fraction] = {}
        for errors, ways in self._goes:
            for rule, number in ways:
                line = lines[number] if number in lines else self._line(number, lines)
                if line is None or (number and most_below(line) > most):  # none, or one that brings in fractions
                    continue
                value = _first_answer(rule, line)
                if value is not None:
                    found.update(dict.fromkeys(errors, value))
                    break
        return found

    def _line(self, number: int, lines: dict[int, Board | None]) -> Board | None:
        source, (is_tidied, place) = self._steps[number]
        before = lines[source] if source in lines else self._line(source, lines)
        further = iter(()) if before is None else tidied(before) if is_tidied else undone(before)
        lines[number] = next(islice(further, place, None), None)
        return lines[number]
