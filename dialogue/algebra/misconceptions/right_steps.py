"""The right steps a learner may write before (or skip over before) a wrong one.

Tidying a line (collecting, multiplying out) is not counted as a line of its own: learners run it together with
the step beside it. An inverse operation on both sides is one line.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from math import lcm

from dialogue.algebra.board import (
    Board,
    Piece,
    Side,
    body_side,
    collected_side,
    expanded_side,
    holds_unknown,
    scaled_side,
    without,
)
from dialogue.algebra.exact import over

MOST_LINES_BEFORE = 3
MOST_BOARDS, MOST_BOARDS_AFTER = 30, 20  # keep the longest search under a tenth of a second


@dataclass(frozen=True, slots=True)
class Reached:
    """A line reached by right steps: how many written lines on, the line it came from, and which of what that line
    is tidied or undone into it is."""

    board: Board
    depth: int
    source: "Reached | None" = None
    place: int = 0

    def path(self) -> Iterator[Board]:
        """The lines written on the way, the first equation left out."""
        if self.source is not None:
            yield from self.source.path()
            yield self.board


def right_lines(start: Board, lines: int = MOST_LINES_BEFORE, most: int = MOST_BOARDS) -> Iterator[Reached]:
    """Lines reachable by right steps, fewest written lines first, each once; none worked out before it is asked for."""
    return islice(_row_by_row(start, lines), most)


def _row_by_row(start: Board, lines: int) -> Iterator[Reached]:
    seen = {(start.left, start.right)}
    row: Iterable[Reached] = (Reached(start, 0),)
    for depth in range(lines + 1):
        written: list[Reached] = []
        for reached in row:
            written.append(reached)
            yield reached
        for reached in written:  # grows: a tidied line may be tidied further
            for further in _new(tidied(reached.board), depth, reached, seen):
                written.append(further)
                yield further
        row = _undone_from(written, depth + 1, seen)


def _undone_from(row: list[Reached], depth: int, seen: set[tuple[Side, Side]]) -> Iterator[Reached]:
    for reached in row:
        yield from _new(undone(reached.board), depth, reached, seen)


def _new(boards: Iterator[Board], depth: int, source: Reached, seen: set[tuple[Side, Side]]) -> Iterator[Reached]:
    """The lines not met before."""
    for place, board in enumerate(boards):
        if (board.left, board.right) not in seen:
            seen.add((board.left, board.right))
            yield Reached(board, depth, source, place)


def tidied(board: Board) -> Iterator[Board]:
    """The line with like terms collected, and with brackets multiplied out as well."""
    yield Board(collected_side(board.left), collected_side(board.right), board.decimals)
    yield Board(expanded_side(board.left), expanded_side(board.right), board.decimals)


def undone(board: Board) -> Iterator[Board]:
    """One inverse operation on both sides, worked out."""
    for index in (0, 1):
        side, other = collected_side(board.side(index)), collected_side(board.side(1 - index))
        yield from (board.with_sides(index, *pair) for pair in _taken_across(side, other))
        if len(side) == 1 and _may_be_divided_out(side[0], other):
            yield from (board.with_sides(index, *pair) for pair in _coefficient_undone(side[0], other))
        elif len(side) > 1 and not holds_unknown(other):
            for piece in side:
                if not piece.is_number and abs(piece.coefficient) != 1:
                    factor = over(1, piece.coefficient)
                    divided = collected_side(scaled_side(side, factor))
                    yield board.with_sides(index, divided, scaled_side(other, factor))
    below = lcm(*(piece.coefficient.denominator for piece in (*board.left, *board.right)))
    if below > 1:
        factor = below
        yield Board(
            collected_side(scaled_side(board.left, factor)),
            collected_side(scaled_side(board.right, factor)),
            board.decimals,
        )


def _taken_across(side: Side, other: Side) -> Iterator[tuple[Side, Side]]:
    """A term taken from both sides: a number beside the unknown, or an unknown term while both sides hold one."""
    if not holds_unknown(side):
        return
    both = holds_unknown(other)
    for index, piece in enumerate(side):
        if len(side) > 1 if piece.is_number else (both or (piece.coefficient < 0 and len(side) > 1)):
            yield without(side, index), collected_side((*other, piece.times(-1)))


def _may_be_divided_out(piece: Piece, other: Side) -> bool:
    """Whether a learner would undo the coefficient now: 4x = 12, x/4 = x - 3, 4(x + 1) = 8x, but not 4x = x - 3."""
    return not piece.is_number and (piece.is_bracket or piece.coefficient.denominator != 1 or not holds_unknown(other))


def _coefficient_undone(piece: Piece, other: Side) -> Iterator[tuple[Side, Side]]:
    coefficient = piece.coefficient
    if coefficient == 1:
        return
    yield collected_side(body_side(piece)), scaled_side(other, over(1, coefficient))
    top, bottom = coefficient.numerator, coefficient.denominator
    if abs(top) != 1 and bottom != 1:
        yield (Piece(top, piece.body),), scaled_side(other, bottom)
        yield (Piece(over(1, bottom), piece.body),), scaled_side(other, over(1, top))
