"""The inverse operation chosen wrongly, or undone in an order that breaks the balance."""

from collections.abc import Iterator

from dialogue.algebra.board import Board, Piece, Side, body_side, holds_unknown, scaled_side, without
from dialogue.algebra.exact import Exact, over, size


def crossed_keeping_sign(board: Board) -> Iterator[Board]:
    """x + 9 = 14 -> x = 23: a term crosses the equals sign with its sign unchanged."""
    for index, place in sorted(_crossing(board), key=lambda at: _unlikely(board, *at)):
        side, other = board.side(index), board.side(1 - index)
        yield board.with_sides(index, without(side, place), (*other, side[place]))


def _crossing(board: Board) -> Iterator[tuple[int, int]]:
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        for place, piece in enumerate(side):
            if piece.is_number:
                if len(side) > 1:
                    yield index, place
            elif holds_unknown(other) or (piece.coefficient < 0 and len(side) > 1):
                yield index, place


def _unlikely(board: Board, index: int, place: int) -> tuple[bool, Exact]:
    """Sorts the terms a learner moves first to the front: the smaller unknown term, the number facing it."""
    piece, facing = board.side(index)[place], board.side(1 - index)
    if piece.is_number:
        most = max((other.coefficient for other in board.side(index) if not other.is_number), default=0)
        return holds_unknown(facing), -most
    return False, piece.coefficient


def multiplied_again(board: Board) -> Iterator[Board]:
    """4x = 36 -> x = 144; 2x/3 = 6 -> x = 4 (the fraction used as it stands)."""
    for index, piece, other in _single(board):
        coefficient = piece.coefficient
        if board.is_divided(coefficient):
            continue
        yield board.with_sides(index, body_side(piece), scaled_side(other, coefficient))
        top, bottom = coefficient.numerator, coefficient.denominator
        if bottom != 1 and not board.typed_as_decimal(coefficient):
            yield board.with_sides(index, body_side(piece), scaled_side(other, top * bottom))
            yield board.with_sides(index, (Piece(over(1, bottom), piece.body),), scaled_side(other, top))


def divided_again(board: Board) -> Iterator[Board]:
    """x/8 = 2 -> x = 1/4; 2x/3 = 6 -> 2x = 2."""
    for index, piece, other in _single(board):
        coefficient = piece.coefficient
        top, bottom = coefficient.numerator, coefficient.denominator
        if board.is_divided(coefficient):
            yield board.with_sides(index, body_side(piece), scaled_side(other, coefficient))
        elif bottom != 1 and not board.typed_as_decimal(coefficient):
            yield board.with_sides(index, body_side(piece), scaled_side(other, over(1, (top * bottom))))
            yield board.with_sides(index, (Piece(top, piece.body),), scaled_side(other, over(1, bottom)))


def coefficient_subtracted(board: Board) -> Iterator[Board]:
    """3x = 12 -> x = 9; 4x + 9 = 37 -> x + 9 = 33."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        for place, piece in enumerate(side):
            coefficient = piece.coefficient
            typed = board.typed_as_decimal(coefficient)
            if piece.is_number or (abs(coefficient.numerator) == 1 and not typed):
                continue
            sizes: set[Exact] = {coefficient, size(coefficient)}
            for taken_away in sizes:
                kept = (*side[:place], *body_side(piece), *side[place + 1 :])
                yield board.with_sides(index, kept, (*other, Piece(-taken_away, "number")))
            if coefficient.denominator != 1 and not typed:
                kept = (*side[:place], Piece(over(1, coefficient.denominator), piece.body), *side[place + 1 :])
                taken = Piece(-coefficient.numerator, "number")
                yield board.with_sides(index, kept, (*other, taken))


def divided_the_wrong_way_round(board: Board) -> Iterator[Board]:
    """4x = 2 -> x = 2: the coefficient is divided by the number."""
    for index, piece, other in _single(board):
        number = _number(other)
        if number and (abs(piece.coefficient.numerator) != 1 or board.typed_as_decimal(piece.coefficient)):
            yield board.with_sides(index, body_side(piece), (Piece(over(piece.coefficient, number), "number"),))


def inner_number_first(board: Board) -> Iterator[Board]:
    """4(x + 7) = 52 -> 4x = 45; (k + 8)/3 = 6 -> k/3 = -2: a number in the bracket is undone before its factor."""
    for index, piece, other in _single(board):
        if not isinstance(piece.body, tuple):
            continue
        for place, inner in enumerate(piece.body):
            if inner.is_number and len(piece.body) > 1:
                kept = Piece(piece.coefficient, without(piece.body, place))
                yield board.with_sides(index, (kept,), (*other, inner.times(-1)))


def _single(board: Board) -> Iterator[tuple[int, Piece, Side]]:
    """Sides that are one multiplied or divided thing facing numbers: which side, the piece, and the facing side."""
    for index in (0, 1):
        side, other = board.side(index), board.side(1 - index)
        if len(side) != 1 or side[0].is_number or abs(side[0].coefficient) == 1:
            continue
        if not holds_unknown(other) or side[0].is_bracket:
            yield index, side[0], other


def _number(side: Side) -> Exact:
    """The value of a side of numbers only; zero where it holds the unknown."""
    if holds_unknown(side):
        return 0
    return sum((piece.coefficient for piece in side), 0)
