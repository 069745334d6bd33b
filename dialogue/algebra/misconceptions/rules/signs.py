"""A sign lost."""

from collections.abc import Iterator

from dialogue.algebra.board import Board, Piece, Side, on_either_side, replaced, without
from dialogue.algebra.exact import Exact, size


def like_terms(board: Board) -> Iterator[Board]:
    """5x - 7x -> 2x; -3n - 5n -> 8n; 5 - 12 -> 7: a sign is lost when like terms are collected."""
    return on_either_side(board, _collected_wrongly)


def negative_lost(board: Board) -> Iterator[Board]:
    """-x - 9 = 4 -> x - 9 = 4: a minus sign that is written on the line is left out."""
    return on_either_side(board, _dropped)


def _collected_wrongly(side: Side) -> Iterator[Side]:
    for second, later in enumerate(side):
        for first, earlier in enumerate(side[:second]):
            if earlier.body != later.body or (earlier.coefficient > 0 and later.coefficient > 0):
                continue
            one, two = earlier.coefficient, later.coefficient
            wrong: set[Exact] = {-(one + two), one - two, two - one, size(one) + size(two)}
            rest = without(side, second)
            for coefficient in sorted(wrong - {one + two}):
                yield replaced(rest, first, (Piece(coefficient, earlier.body),))


def _dropped(side: Side) -> Iterator[Side]:
    for place, piece in enumerate(side):
        if piece.coefficient < 0:
            yield replaced(side, place, (piece.times(-1),))
