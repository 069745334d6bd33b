"""Zero and the unknown itself misused: divided by, or taken for nothing; and equations with no single solution."""

from collections.abc import Iterator

from dialogue.algebra.board import Board, Piece, Side, collected_side
from dialogue.algebra.equation import Solution


def divided_by_unknown(board: Board) -> Iterator[Board]:
    """7n = 4n -> 7 = 4; 9a = 0 -> 9 = 0."""
    left, right = collected_side(board.left), collected_side(board.right)
    if all(piece.body == "unknown" for piece in (*left, *right)) and (left or right):
        yield Board(_unlettered(left), _unlettered(right), board.decimals)


def _unlettered(side: Side) -> Side:
    return tuple(Piece(piece.coefficient, "number") for piece in side)


def zero_misread(board: Board, solution: Solution) -> Iterator[Board]:
    """0 = 0 or 0 = 5 -> x = 0 or x = 5; 9k = 0 -> k = 9."""
    unknown: Side = (Piece(1, "unknown"),)
    left, right = collected_side(board.left), collected_side(board.right)
    if solution.kind == "one" and solution.value == 0:
        for side, other in ((left, right), (right, left)):
            if len(side) == 1 and side[0].body == "unknown" and not other and side[0].coefficient != 1:
                yield Board(unknown, (Piece(side[0].coefficient, "number"),), board.decimals)
    if solution.kind != "one":
        yield Board(unknown, (), board.decimals)
        pieces = (*left, *(piece.times(-1) for piece in right))
        number = sum((piece.coefficient for piece in pieces if piece.is_number), 0)
        if number:
            yield Board(unknown, (Piece(number, "number"),), board.decimals)
            yield Board(unknown, (Piece(-number, "number"),), board.decimals)
