"""What a learner may have thought: every wrong rule, after right steps, that gives the line they stated.

The search goes outward from the line before, fewest written lines first, and stops when no explanation as short is
left. One wrong rule at a time, or the same one twice: two different ones together explain nearly any line by chance.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from dialogue.algebra.board import (
    Board,
    Side,
    SideForm,
    board_of,
    collected_side,
    equation_from,
    is_unworked,
    same_value,
    side_form,
)
from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.linear import Linear
from dialogue.algebra.misconceptions.catalogue import ErrorEntry, Shape, error_table
from dialogue.algebra.misconceptions.right_steps import MOST_BOARDS_AFTER, MOST_LINES_BEFORE, Reached, right_lines
from dialogue.algebra.misconceptions.rules import LINE_RULES, RARE, RESULT_RULES, TIDYING, TWICE, UNUSUAL, LineRule
from dialogue.algebra.misconceptions.rules.unknowns import zero_misread
from dialogue.algebra.solver import is_settled
from dialogue.algebra.tree import Unknown

MOST_LINES = MOST_LINES_BEFORE + 1
MOST_WORK = 1500  # lines looked at before giving up, counted and not timed so that a search is the same anywhere
NEVER = 99
WORKED_OUT = frozenset({"arithmetic-slip", "decimal-point-slip", "number-line"})  # need a number worked out


@dataclass(frozen=True, slots=True)
class Explanation:
    """One error that explains a step.

    ``lines`` counts the lines a learner would have written, the wrong one included; ``how`` holds those up to the
    wrong one (empty for moves and verdicts); ``weight`` is how likely it is against the others (not normalised).
    """

    error: str
    lines: int
    how: tuple[Equation, ...] = ()
    weight: float = 1.0


class Target:
    """The stated line, in the two ways a wrong line can meet it: side by side, or by right steps from there."""

    def __init__(self, stated: Equation) -> None:
        self.left, self.right = (_form(side) for side in stated.linear())
        self.unknowns, self.numbers = _difference(self.left, self.right)
        alone = any(side[0] == side[2] and not side[1] for side in (self.left, self.right))
        self.is_answer = alone and not (self.left[0] and self.right[0])
        self.work = 0
        self.known: dict[tuple[Side, Side], int] = {}

    def lines_after(self, board: Board, most: int) -> int | None:
        """Right steps from a wrong line to the stated one: 0 for the same line; None where more than ``most``."""
        self.work += 1
        if self.is_spent:
            return None
        left, right = side_form(board.left), side_form(board.right)
        if self._is(left, right):
            return 0
        if most < 1:
            return None
        unknowns, numbers = _difference(left, right)
        if not unknowns or not self.unknowns or unknowns * self.numbers != self.unknowns * numbers:
            return None
        if self.is_answer:
            steps = operations_left(left, right)
            return steps if steps <= most else None
        key = collected_side(board.left), collected_side(board.right)
        if key not in self.known:
            self.known[key] = self._steps(Board(*key, board.decimals), most)
        return self.known[key] if self.known[key] <= most else None

    def shares_a_side(self, board: Board) -> bool:
        """Whether a side of the line is a side of the stated one."""
        sides = side_form(board.left), side_form(board.right)
        return any(same_value(side, wanted) for side in sides for wanted in (self.left, self.right))

    def _steps(self, board: Board, most: int) -> int:
        for reached in right_lines(board, most, MOST_BOARDS_AFTER):
            self.work += 1
            if self._is(side_form(reached.board.left), side_form(reached.board.right)):
                return max(reached.depth, 1)
        return NEVER

    @property
    def is_spent(self) -> bool:
        """Whether enough has been looked at: what is found by then is what there is."""
        return self.work > MOST_WORK

    def _is(self, left: SideForm, right: SideForm) -> bool:
        if same_value(left, self.left):
            return same_value(right, self.right)
        return same_value(left, self.right) and same_value(right, self.left)


def _difference(left: SideForm, right: SideForm) -> tuple[int, int]:
    """Left take away right, times both denominators: lots of the unknown, and the constant."""
    return left[0] * right[2] - right[0] * left[2], left[1] * right[2] - right[1] * left[2]


def _form(value: Linear) -> SideForm:
    unknowns, numbers = value.coefficient, value.constant
    below = unknowns.denominator * numbers.denominator
    return int(unknowns * below), int(numbers * below), below


def operations_left(left: SideForm, right: SideForm) -> int:
    """Inverse operations to the unknown alone, at the least: gather, take the constant away, undo the coefficient.

    The unknown has to be left when like terms are collected.
    """
    gathered = _difference(left, right)[0]
    below = left[2] * right[2]
    both = left[0] != 0 and right[0] != 0
    choices = []
    if left[0]:
        choices.append((left[1] != 0) + (gathered != below))
    if right[0]:
        choices.append((right[1] != 0) + (gathered != -below))
    return both + min(choices)


def explain_line(before: Equation, stated: Equation) -> tuple[Explanation, ...]:
    """The errors behind a stated line, most likely first; none for a right line, or where nothing explains it."""
    return _explained(before, stated)


@lru_cache(maxsize=512)  # a turn asks of the same line more than once, and a learner states it again
def _explained(before: Equation, stated: Equation) -> tuple[Explanation, ...]:
    solution = before.solution()
    if solution == stated.solution():
        return ()
    target, shape = Target(stated), shape_of(stated)
    start = board_of(before)
    found = list(_misread(start, solution, target))
    found += _one_error(start, target, 1 if found else MOST_LINES)
    if not found:
        found += _one_error_twice(start, target)
    return ranked(found, shape, before.letter)


def shape_of(stated: Equation) -> Shape:
    """How the line is written: the unknown alone, numbers not worked out, or any other."""
    if any(is_unworked(side) and not is_settled(side) for side in stated.sides()):
        return "unworked"
    left, right = stated.sides()
    if isinstance(left, Unknown) or isinstance(right, Unknown):
        return "answer"
    return "line"


@dataclass(frozen=True, slots=True)
class WrongLine:
    """A wrong line that leads to the stated one."""

    errors: tuple[str, ...]
    lines: int
    path: tuple[Board, ...]
    usual: float = 1.0


def _misread(start: Board, solution: Solution, target: Target) -> Iterator[WrongLine]:
    for board in zero_misread(start, solution):
        if target.lines_after(board, 0) == 0:
            yield WrongLine(("zero-solution-confusion",), 1, (board,))


def _one_error(start: Board, target: Target, most: int) -> Iterator[WrongLine]:
    """Right steps, one wrong rule, right steps."""
    for reached in right_lines(start):
        if reached.depth > most or target.is_spent:
            return
        for found in _wrong_from(reached, target, most):
            most = min(most, longest_listed(found.lines))
            yield found


def _wrong_from(reached: Reached, target: Target, most: int) -> Iterator[WrongLine]:
    for errors, rule in LINE_RULES if reached.depth < most else ():
        usual = RARE if rule in UNUSUAL else 1.0
        own = not (target.is_answer and rule in TIDYING)
        for board in rule(reached.board):
            after = target.lines_after(board, most - reached.depth - own)
            if after is not None:
                lines = reached.depth + (own + after if after else 1)
                most = min(most, longest_listed(lines))
                yield WrongLine(errors, lines, (*reached.path(), board), usual)
    if reached.source is None:
        return
    here = max(reached.depth, 1)  # the wrong number is written at once
    if most == here and not target.shares_a_side(reached.board):
        return  # it spoils one side, so the other would have to be there already
    for errors, spoil in RESULT_RULES:
        for board in spoil(reached.source.board, reached.board):
            after = target.lines_after(board, most - here)
            if after is not None:
                yield WrongLine(errors, here + after, (*reached.source.path(), board))


def _one_error_twice(start: Board, target: Target) -> Iterator[WrongLine]:
    """The same wrong rule on two places of the line, or on two lines: one belief, used twice."""
    for reached in right_lines(start):
        if reached.depth > 1 or target.is_spent:
            return
        for errors, rule in TWICE:
            for first, second in _twice(rule, reached.board):
                after = target.lines_after(second, MOST_LINES - reached.depth - 2)
                if after is not None:
                    yield WrongLine(errors, reached.depth + 2 + after, (*reached.path(), first, second))


def _twice(rule: LineRule, board: Board) -> Iterator[tuple[Board, Board]]:
    for first in rule(board):
        for second in rule(first):
            yield first, second


def longest_listed(fewest: int) -> int:
    """The most lines an explanation may need to be listed.

    A line explained directly is explained. Where the learner jumped, the lines between were not seen and the
    count is a guess, so a line more is allowed.
    """
    return fewest if fewest == 1 else fewest + 1


def ranked(found: list[WrongLine], shape: Shape, letter: str) -> tuple[Explanation, ...]:
    """Each error once, by its shortest way; likeliest first, slips last, ids of our own after those."""
    table = error_table()
    best: dict[str, WrongLine] = {}
    for one in found:
        for error in one.errors:
            if error not in best or (one.lines, -one.usual) < (best[error].lines, -best[error].usual):
                best[error] = one
    if shape == "unworked" and not WORKED_OUT.issuperset(best):
        best = {error: one for error, one in best.items() if error not in WORKED_OUT}
    if not best:
        return ()
    common = [one.lines for error, one in best.items() if table[error].listed]
    fewest = min(common) if common else min(one.lines for one in best.values())
    most = {True: longest_listed(fewest), False: fewest}
    explanations = [
        Explanation(
            error,
            one.lines,
            tuple(equation_from(board, letter) for board in one.path),
            table[error].weight(shape, one.lines) * one.usual,
        )
        for error, one in best.items()
        if one.lines <= most[table[error].listed]
    ]
    return tuple(sorted(explanations, key=lambda one: _place(table[one.error], one)))


def _place(entry: ErrorEntry, one: Explanation) -> tuple[bool, bool, float]:
    return not entry.listed, entry.id == "arithmetic-slip", -one.weight
