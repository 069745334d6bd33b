"""What a learner may have thought: every wrong rule, after right steps, that gives the line they stated.

The search goes outward from the line before, fewest written lines first, and stops a line after its first find.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.errors.board import Board, Form, board_of, equation_from, form, is_unworked
from dialogue.algebra.errors.right_steps import Reached, right_lines
from dialogue.algebra.errors.rules import LINE_RULES, RESULT_RULES, SLIPS, LineRule
from dialogue.algebra.errors.rules.unknowns import zero_misread
from dialogue.algebra.errors.table import Shape, error_table
from dialogue.algebra.linear import Linear
from dialogue.algebra.tree import Unknown

SLACK = 1  # explanations a line longer than the shortest are listed too, after it: see errors.toml on weights


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


@dataclass(frozen=True, slots=True)
class Target:
    """The stated line, in the two ways a wrong line can meet it: side by side, or by what solves it."""

    left: Form
    right: Form
    operations: int

    @classmethod
    def of(cls, equation: Equation) -> "Target":
        left, right = (_form(side) for side in equation.linear())
        return cls(left, right, operations_left(left, right))

    def lines_after(self, board: Board) -> int | None:
        """Right steps from a wrong line to the stated one: 0 for the same line; None where it is not reached."""
        left, right = form(board.left), form(board.right)
        if (left == self.left and right == self.right) or (left == self.right and right == self.left):
            return 0
        unknowns, numbers = left[0] - right[0], left[1] - right[1]
        wanted, number = self.left[0] - self.right[0], self.left[1] - self.right[1]
        if not unknowns or not wanted or unknowns * number != wanted * numbers:
            return None
        return max(1, operations_left(left, right) - self.operations)


def _form(value: Linear) -> Form:
    return value.coefficient, value.constant


def operations_left(left: Form, right: Form) -> int:
    """Inverse operations still needed on the collected line."""
    both = left[0] != 0 and right[0] != 0
    side = left if left[0] else right
    return both + (side[1] != 0) + (side[0] != 1)


def explain_line(before: Equation, stated: Equation) -> tuple[Explanation, ...]:
    """The errors behind a stated line, most likely first; none for a right line, or where nothing explains it."""
    solution = before.solution()
    if solution == stated.solution():
        return ()
    target, shape = Target.of(stated), shape_of(stated)
    start = board_of(before)
    found = list(_misread(start, solution, target))
    found += _one_error(start, target)
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


def _one_error(start: Board, target: Target) -> Iterator[Found]:
    """Right steps, one wrong rule, right steps."""
    fewest = None
    for reached in right_lines(start):
        if fewest is not None and reached.depth >= fewest + SLACK:
            return
        for found in _wrong_from(reached, target):
            fewest = min(found.lines, fewest or found.lines)
            yield found


def _wrong_from(reached: Reached, target: Target) -> Iterator[Found]:
    for errors, rule in LINE_RULES:
        for board in rule(reached.board):
            after = target.lines_after(board)
            if after is not None:
                yield Found(errors, reached.depth + 1 + after, (*reached.path(), board))
    if reached.source is None:
        return
    for errors, spoil in RESULT_RULES:
        for board in spoil(reached.source.board, reached.board):
            after = target.lines_after(board)
            if after is not None:
                path = (*reached.source.path(), board)
                yield Found(errors, max(reached.depth, 1) + after, path)


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
    most = min(one.lines for one in best.values()) + SLACK
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
    return tuple(sorted(explanations, key=lambda one: (one.error in SLIPS, -one.weight)))
