"""Errors the research describes and the common list has no id for; each is cited in the table."""

from collections.abc import Iterator

from dialogue.algebra.board import Board, Piece, Side, holds_unknown, on_either_side, replaced, without
from dialogue.algebra.exact import Exact, size


def subtraction_turned_round(board: Board) -> Iterator[Board]:
    """13n + 196 = 391 -> 13n = 196 - 391: the subtraction is done the wrong way round."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        if len(side) < 2 or not holds_unknown(side) or holds_unknown(other):
            continue
        for place, piece in enumerate(side):
            if piece.is_number:
                facing = tuple(number.times(-1) for number in other)
                yield board.with_sides(index, without(side, place), (piece, *facing))


def difference_turned_round(board: Board) -> Iterator[Board]:
    """30 - n -> n - 30: a subtraction read from right to left."""
    return on_either_side(board, _turned)


def _turned(side: Side) -> Iterator[Side]:
    if len(side) == 2 and side[0].coefficient > 0 > side[1].coefficient:
        yield (side[1].times(-1), side[0].times(-1))


def minus_detached(board: Board) -> Iterator[Board]:
    """115 - n + 9 -> 115 - (n + 9): the minus sign is taken to reach what follows its term."""
    return on_either_side(board, _detached)


def _detached(side: Side) -> Iterator[Side]:
    for place, piece in enumerate(side[:-1]):
        following = side[place + 1]
        if place and piece.coefficient < 0 < following.coefficient:
            yield replaced(side, place + 1, (following.times(-1),))


def coefficient_as_digit(board: Board) -> Iterator[Board]:
    """2x + x = 24 with x = 2: 2x is read as twenty-something, 22 + 2."""
    for index in (0, 1):
        side = board.side(index)
        if not any(_may_be_digit(piece) for piece in side):
            continue
        read = tuple(part for piece in side for part in _as_digit(piece))
        yield board.with_sides(index, read, board.side(1 - index))


def _may_be_digit(piece: Piece) -> bool:
    return piece.body == "unknown" and piece.coefficient in range(2, 10)


def _as_digit(piece: Piece) -> tuple[Piece, ...]:
    if not _may_be_digit(piece):
        return (piece,)
    return Piece(10 * piece.coefficient, "number"), Piece(1, "unknown")


def coefficients_collected_as_numbers(board: Board) -> Iterator[Board]:
    """5x = 12 + 3x -> 5x = 15: an unknown term is collected as if it were a number."""
    both = holds_unknown(board.left) and holds_unknown(board.right)
    for index in (0, 1):
        side = board.side(index)
        for place, piece in enumerate(side):
            if piece.body == "unknown" and (both or sum(not other.is_number for other in side) > 1):
                read = replaced(side, place, (Piece(piece.coefficient, "number"),))
                yield board.with_sides(index, read, board.side(1 - index))


def directed_numbers(before: Board, after: Board) -> Iterator[Board]:
    """x + 8 = -3 -> x = 5 or 11: two numbers of which one is negative are put together wrongly."""
    for index in (0, 1):
        facing = [piece.coefficient for piece in before.side(index) if piece.is_number]
        for piece in before.side(1 - index):
            if not piece.is_number or len(facing) != 1:
                continue
            one, two = facing[0], -piece.coefficient
            if one > 0 and one + two >= 0:
                continue  # a plain subtraction
            kept = tuple(other for other in after.side(index) if not other.is_number)
            wrong: set[Exact] = {one - two, two - one, size(one) + size(two)}
            for value in sorted(wrong - {one + two}):
                yield after.with_sides(index, (*kept, Piece(value, "number")) if value else kept, after.side(1 - index))
