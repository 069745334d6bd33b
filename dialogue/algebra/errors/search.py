"""What a learner may have thought: every wrong rule, after right steps, that gives the line they stated.

The search goes outward from the line before, fewest written lines first, and stops a line after its first find.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.errors.board import Board, Form, Side, board_of, collected, equation_from, form, is_unworked
from dialogue.algebra.errors.right_steps import MOST_BOARDS_AFTER, MOST_LINES_BEFORE, Reached, right_lines
from dialogue.algebra.errors.rules import LINE_RULES, RESULT_RULES, LineRule
from dialogue.algebra.errors.rules.unknowns import zero_misread
from dialogue.algebra.errors.table import Shape, error_table
from dialogue.algebra.linear import Linear
from dialogue.algebra.tree import Unknown

MOST_LINES = MOST_LINES_BEFORE + 2
UNKNOWN_ALONE: Form = (Fraction(1), Fraction(0))


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
        self.wanted, self.number = self.left[0] - self.right[0], self.left[1] - self.right[1]
        self.is_answer = {self.left, self.right} >= {UNKNOWN_ALONE} and not (self.left[0] and self.right[0])
        self.known: dict[tuple[Side, Side], int] = {}

    def lines_after(self, board: Board, most: int = MOST_LINES_BEFORE) -> int | None:
        """Right steps from a wrong line to the stated one: 0 for the same line; None where more than ``most``."""
        left, right = form(board.left), form(board.right)
        if self._is(left, right):
            return 0
        if most < 1:
            return None
        unknowns, numbers = left[0] - right[0], left[1] - right[1]
        if not unknowns or not self.wanted or unknowns * self.number != self.wanted * numbers:
            return None
        if self.is_answer:
            steps = operations_left(left, right)
            return steps if steps <= most else None
        key = collected(board.left), collected(board.right)
        if key not in self.known:
            self.known[key] = self._steps(Board(*key, board.decimals), most)
        return self.known[key] if self.known[key] <= most else None

    def _steps(self, board: Board, most: int) -> int:
        for reached in right_lines(board, most, MOST_BOARDS_AFTER):
            if self._is(form(reached.board.left), form(reached.board.right)):
                return max(reached.depth, 1)
        return MOST_LINES_BEFORE + 1

    def _is(self, left: Form, right: Form) -> bool:
        return (left == self.left and right == self.right) or (left == self.right and right == self.left)


def operations_left(left: Form, right: Form) -> int:
    """Inverse operations to the unknown alone, at the least: gather, take the constant away, undo the coefficient."""
    if left[0] and right[0]:
        return 1 + min(
            (constant != 0) + (coefficient != 1)
            for constant, coefficient in ((left[1], left[0] - right[0]), (right[1], right[0] - left[0]))
        )
    coefficient, constant = left if left[0] else right
    return (constant != 0) + (coefficient != 1)


def _form(value: Linear) -> Form:
    return value.coefficient, value.constant


def explain_line(before: Equation, stated: Equation) -> tuple[Explanation, ...]:
    """The errors behind a stated line, most likely first; none for a right line, or where nothing explains it."""
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
    if any(is_unworked(side) for side in stated.sides()):
        return "unworked"
    left, right = stated.sides()
    if isinstance(left, Unknown) or isinstance(right, Unknown):
        return "answer"
    return "line"


@dataclass(frozen=True, slots=True)
class Found:
    """A wrong line that leads to the stated one."""

    errors: tuple[str, ...]
    lines: int
    path: tuple[Board, ...]


def _misread(start: Board, solution: Solution, target: Target) -> Iterator[Found]:
    for board in zero_misread(start, solution):
        if target.lines_after(board) == 0:
            yield Found(("zero-solution-confusion",), 1, (board,))


def _one_error(start: Board, target: Target, most: int) -> Iterator[Found]:
    """Right steps, one wrong rule, right steps."""
    for reached in right_lines(start):
        if reached.depth > most:
            return
        for found in _wrong_from(reached, target, most):
            most = min(most, longest_listed(found.lines))
            yield found


def _wrong_from(reached: Reached, target: Target, most: int) -> Iterator[Found]:
    here = reached.depth + 1
    for errors, rule in LINE_RULES:
        for board in rule(reached.board):
            after = target.lines_after(board, most - here)
            if after is not None:
                most = min(most, longest_listed(here + after))
                yield Found(errors, here + after, (*reached.path(), board))
    if reached.source is None:
        return
    here = max(reached.depth, 1)  # the wrong number is written at once
    for errors, spoil in RESULT_RULES:
        for board in spoil(reached.source.board, reached.board):
            after = target.lines_after(board, most - here)
            if after is not None:
                yield Found(errors, here + after, (*reached.source.path(), board))


def _one_error_twice(start: Board, target: Target) -> Iterator[Found]:
    """The same wrong rule on two places of the line, or on two lines: one belief, used twice."""
    for reached in right_lines(start):
        if reached.depth > 1:
            return
        for errors, rule in LINE_RULES:
            for first, second in _twice(rule, reached.board):
                after = target.lines_after(second)
                if after is not None:
                    yield Found(errors, reached.depth + 2 + after, (*reached.path(), first, second))


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


def ranked(found: list[Found], shape: Shape, letter: str) -> tuple[Explanation, ...]:
    """Each error once, by its shortest way; likeliest first; ids of our own only where no common one explains."""
    table = error_table()
    best: dict[str, Found] = {}
    for one in found:
        for error in one.errors:
            if error not in best or one.lines < best[error].lines:
                best[error] = one
    if any(table[error].listed for error in best):
        best = {error: one for error, one in best.items() if table[error].listed}
    if not best:
        return ()
    most = longest_listed(min(one.lines for one in best.values()))
    explanations = [
        Explanation(
            error,
            one.lines,
            tuple(equation_from(board, letter) for board in one.path),
            table[error].weight(shape, one.lines),
        )
        for error, one in best.items()
        if one.lines <= most
    ]
    return tuple(sorted(explanations, key=lambda one: (one.error == "arithmetic-slip", -one.weight)))
