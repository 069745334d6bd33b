"""Some terms treated and others forgotten, or terms joined that are not alike."""

from collections.abc import Iterator
from functools import lru_cache
from itertools import count as counting
from itertools import islice
from math import gcd, lcm

from dialogue.algebra.board import Board, Piece, Side, holds_unknown, on_either_side, replaced, scaled_side, without
from dialogue.algebra.exact import Exact, over, size

MOST_FACTORS = 7
MOST_TERMS = 5


def divided_some(board: Board) -> Iterator[Board]:
    """2x + 6 = 10 -> x + 6 = 5: some terms are divided, others left."""
    for line, factor, left_out in _scaled_some(board):
        if _divides(board, factor) and left_out not in (board.left, board.right):
            yield line


def multiplied_some(board: Board) -> Iterator[Board]:
    """x/2 + 3 = 7 -> x + 3 = 14: some terms are multiplied, others left."""
    yield from (line for line, factor, _ in _scaled_some(board) if _multiplies(factor))


def undone_out_of_order(board: Board) -> Iterator[Board]:
    """2x + 5 = 17, halved: x + 5 = 8.5: the number beside the unknown is passed over."""
    if holds_unknown(board.left) and holds_unknown(board.right):
        return
    for line, _, left_alone in _scaled_some(board):
        index = 0 if holds_unknown(board.left) else 1
        facing = board.side(1 - index)
        if all(piece.is_number and piece not in facing for piece in left_alone):
            yield line


def _divides(board: Board, factor: Exact) -> bool:
    return factor.denominator != 1 or board.typed_as_decimal(over(1, factor))


def _multiplies(factor: Exact) -> bool:
    return factor.denominator == 1 or size(factor) > 1


class _Kept:
    """What an iterator gives, worked out as far as anybody asked and kept for whoever asks next."""

    def __init__(self, coming: Iterator[tuple[Board, Exact, Side]]) -> None:
        self._coming, self._so_far = coming, list[tuple[Board, Exact, Side]]()

    def __iter__(self) -> Iterator[tuple[Board, Exact, Side]]:
        for place in counting():
            if place == len(self._so_far):
                more = next(self._coming, None)
                if more is None:
                    return
                self._so_far.append(more)
            yield self._so_far[place]


@lru_cache(maxsize=32)
def _scaled_some(board: Board) -> _Kept:
    return _Kept(_scaling_some(board))


def _scaling_some(board: Board) -> Iterator[tuple[Board, Exact, Side]]:
    """Lines in which terms were left out of a multiplication or division: line, factor, terms left."""
    pieces = (*board.left, *board.right)
    if not 3 <= len(pieces) <= MOST_TERMS:
        return
    split = len(board.left)
    subsets = _left_out(tuple([piece.is_number for piece in pieces]), split)
    for factor in islice(_factors(pieces, bool(board.decimals)), MOST_FACTORS):
        scaled = scaled_side(pieces, factor)
        for left_out in subsets:
            new = list(scaled)
            for place in left_out:
                new[place] = pieces[place]
            line = Board(tuple(new[:split]), tuple(new[split:]), board.decimals)
            yield line, factor, tuple([pieces[place] for place in left_out])


@lru_cache(maxsize=256)
def _left_out(are_numbers: tuple[bool, ...], split: int) -> tuple[tuple[int, ...], ...]:
    """Which terms are forgotten: any one, all numbers, all unknowns, or all but one unknown term.

    Not a whole side (that is one-side-only), but where it is one number facing several terms.
    """
    count = len(are_numbers)
    numbers = tuple(place for place, is_number in enumerate(are_numbers) if is_number)
    unknowns = tuple(place for place, is_number in enumerate(are_numbers) if not is_number)
    facing = {*range(split, count)} if all(are_numbers[split:]) else {*range(split)}
    single = sorted(range(count), key=lambda place: (place not in numbers, place in facing))  # likeliest first
    choices: list[tuple[int, ...]] = [(place,) for place in single]
    choices += [numbers, unknowns] if len(numbers) > 1 and len(unknowns) > 1 else []
    choices += [tuple(other for other in range(count) if other != place) for place in unknowns]
    whole = (tuple(range(split)), tuple(range(split, count)))
    return tuple(
        choice
        for choice in dict.fromkeys(choices)
        if choice not in whole or (len(choice) == 1 and choice[0] in numbers)
    )


def _factors(pieces: Side, decimals: bool) -> Iterator[Exact]:
    """What a learner may multiply the line by, each once, likeliest first."""
    seen: set[Exact] = {1, -1}
    for factor in _undoing(pieces, decimals):
        if factor not in seen:
            seen.add(factor)
            yield factor


def _undoing(pieces: Side, decimals: bool) -> Iterator[Exact]:
    """Undoing a coefficient, clearing fractions or decimals, halving..."""
    unknowns = [piece.coefficient for piece in pieces if not piece.is_number]
    for coefficient in unknowns:
        yield over(1, coefficient)
        yield over(1, size(coefficient))
        if coefficient.denominator != 1:
            yield coefficient.denominator
            yield over(1, abs(coefficient.numerator))
    yield lcm(*(piece.coefficient.denominator for piece in pieces))
    if decimals:
        yield from (10, 100)
    numbers = [piece.coefficient.numerator for piece in pieces if piece.coefficient.denominator == 1]
    for coefficient in unknowns:
        for number in numbers:
            shared = gcd(coefficient.numerator, number)
            if coefficient.denominator == 1 and shared > 1:
                yield over(1, shared)


def unlike_joined(board: Board) -> Iterator[Board]:
    """3x + 2 -> 5x; 5 + x -> 5x; 12 - 4(v - 1) -> 8(v - 1)."""
    yield from on_either_side(board, _joined)
    left, right = _all_joined(board.left), _all_joined(board.right)
    if left and right:
        yield Board(left, right, board.decimals)
    for index, side in enumerate((left, right)):
        if side:
            yield board.with_sides(index, side, board.side(1 - index))


def _joined(side: Side) -> Iterator[Side]:
    for place, piece in enumerate(side):
        if piece.is_number:
            continue
        for other, number in enumerate(side):
            if not number.is_number:
                continue
            sums = [piece.coefficient + number.coefficient]
            if abs(piece.coefficient) == 1:
                sums.append(piece.coefficient * number.coefficient)
            for coefficient in sums:
                joined = replaced(side, place, (Piece(coefficient, piece.body),))
                gone = other if len(joined) == len(side) or other < place else other - 1
                yield without(joined, gone)


def _all_joined(side: Side) -> Side:
    """Everything on a side run together, where unknown terms and numbers stand there and no bracket."""
    unknowns = [piece.coefficient for piece in side if piece.body == "unknown"]
    numbers = [piece.coefficient for piece in side if piece.is_number]
    if not unknowns or not numbers or len(unknowns) + len(numbers) != len(side):
        return ()
    return (Piece(sum(unknowns + numbers, 0), "unknown"),)
