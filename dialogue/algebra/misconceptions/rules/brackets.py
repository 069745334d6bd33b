"""A bracket multiplied out wrongly."""

from collections.abc import Iterator

from dialogue.algebra.board import Board, Side, on_either_side, replaced


def part_multiplied(board: Board) -> Iterator[Board]:
    """2(x + 3) -> 2x + 3, or x + 6: only the first or only the last term in the bracket is multiplied."""
    return on_either_side(board, _part)


def sign_lost(board: Board) -> Iterator[Board]:
    """-2(x - 3) -> -2x - 6: one sign, or the sign of the factor, is lost on the way out of the bracket."""
    return on_either_side(board, _flipped)


def _part(side: Side) -> Iterator[Side]:
    for place, piece in enumerate(side):
        inside = piece.body
        if not isinstance(inside, tuple) or len(inside) < 2 or piece.coefficient == 1:
            continue
        yield replaced(side, place, (inside[0].times(piece.coefficient), *inside[1:]))
        yield replaced(side, place, (*inside[:-1], inside[-1].times(piece.coefficient)))


def _flipped(side: Side) -> Iterator[Side]:
    for place, piece in enumerate(side):
        inside = piece.body
        if not isinstance(inside, tuple) or len(inside) < 2:
            continue
        out = [inner.times(piece.coefficient) for inner in inside]
        if piece.coefficient < 0 or any(inner.coefficient < 0 for inner in inside):
            for flipped in reversed(range(len(out))):
                new = [one.times(-1) if at == flipped else one for at, one in enumerate(out)]
                yield replaced(side, place, new)
        if piece.coefficient < 0:
            yield replaced(side, place, (one.times(-1) for one in out))
