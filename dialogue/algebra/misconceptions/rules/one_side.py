"""An operation done to one side only."""

from collections.abc import Iterator
from math import lcm

from dialogue.algebra.board import Board, Piece, body_side, holds_unknown, scaled_side, without
from dialogue.algebra.exact import over


def term_dropped(board: Board) -> Iterator[Board]:
    """x + 9 = 14 -> x = 14: a term is taken from its own side alone."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        for place, piece in enumerate(side):
            if len(side) > 1 or (not piece.is_number and holds_unknown(other)):
                yield board.with_sides(index, without(side, place), other)


def term_taken_from_other(board: Board) -> Iterator[Board]:
    """x + 9 = 14 -> x + 9 = 5: the term is taken from the facing side alone."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        if not holds_unknown(side):
            continue
        for piece in side:
            if piece.is_number or holds_unknown(other):
                yield board.with_sides(index, side, (*other, piece.times(-1)))


def coefficient_dropped(board: Board) -> Iterator[Board]:
    """x/5 = 11 -> x = 11; 2x/3 = 8 -> 2x = 8: a coefficient is undone on its own side alone."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        if len(side) != 1 or side[0].is_number or abs(side[0].coefficient) == 1:
            continue
        piece = side[0]
        yield board.with_sides(index, body_side(piece), other)
        top, bottom = piece.coefficient.numerator, piece.coefficient.denominator
        if bottom != 1 and abs(top) != 1:
            yield board.with_sides(index, (Piece(top, piece.body),), other)
            yield board.with_sides(index, (Piece(over(1, bottom), piece.body),), other)


def coefficient_undone_on_other(board: Board) -> Iterator[Board]:
    """3x = 12 -> 3x = 4: the facing side alone is divided."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        if len(side) == 1 and not side[0].is_number and abs(side[0].coefficient) != 1:
            yield board.with_sides(index, side, scaled_side(other, over(1, side[0].coefficient)))


def side_scaled(board: Board) -> Iterator[Board]:
    """x/2 + x/5 = 14 -> 5x + 2x = 14; 3x + 6 = 12 -> x + 2 = 12: a side of several terms is scaled alone."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        if len(side) < 2 or not holds_unknown(side):
            continue
        below = lcm(*(piece.coefficient.denominator for piece in side))
        if below > 1:
            yield board.with_sides(index, scaled_side(side, below), other)
        for piece in side:
            if not piece.is_number and abs(piece.coefficient) != 1:
                yield board.with_sides(index, scaled_side(side, over(1, piece.coefficient)), other)
