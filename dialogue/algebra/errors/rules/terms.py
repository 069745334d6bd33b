"""Some terms treated and others forgotten, or terms joined that are not alike."""

from collections.abc import Iterator
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from math import gcd, lcm

from dialogue.algebra.errors.board import (
    Board,
    Piece,
    Side,
    holds_unknown,
    on_either_side,
    replaced,
    without,
)

MOST_FACTORS = 7


def divided_some(board: Board) -> Iterator[Board]:
    """2x + 6 = 10 -> x + 6 = 5: some terms are divided, others left."""
    yield from (line for line, factor, _ in _scaled_some(board) if _divides(board, factor))


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


def _divides(board: Board, factor: Fraction) -> bool:
    return factor.denominator != 1 or factor == -1 or board.typed_as_decimal(1 / factor)


def _multiplies(factor: Fraction) -> bool:
    return factor.denominator == 1 or abs(factor) > 1


@lru_cache(maxsize=32)
def _scaled_some(board: Board) -> tuple[tuple[Board, Fraction, Side], ...]:
    return tuple(_scaling_some(board))


def _scaling_some(board: Board) -> Iterator[tuple[Board, Fraction, Side]]:
    """Lines in which one or two terms were left out of a multiplication or division: line, factor, terms left."""
    pieces = (*board.left, *board.right)
    count, split = len(pieces), len(board.left)
    if count < 3 or count > 7:
        return
    lone_facing = min(split, count - split) == 1
    subsets = [set(left) for size in (1, 2) if size <= count - 2 for left in combinations(range(count), size)]
    subsets += (
        [set(range(count)) - {place} for place, piece in enumerate(pieces) if count > 3 and not piece.is_number]
        if count > 3
        else [{0, 1, 2} - {place} for place, piece in enumerate(pieces) if not piece.is_number]
    )
    for factor in _factors(pieces, bool(board.decimals)):
        for left in subsets:
            if not lone_facing and (left == set(range(split)) or left == set(range(split, count))):
                continue
            if left in ({*range(split)}, {*range(split, count)}) and _divides(board, factor):
                continue  # a whole side left alone: one-side-only
            new = [piece if place in left else piece.times(factor) for place, piece in enumerate(pieces)]
            line = Board(tuple(new[:split]), tuple(new[split:]), board.decimals)
            yield line, factor, tuple(pieces[place] for place in left)


def _factors(pieces: Side, decimals: bool) -> list[Fraction]:
    """What a learner may multiply the line by: undoing a coefficient, clearing fractions or decimals, halving..."""
    found: dict[Fraction, None] = {}
    unknowns = [piece.coefficient for piece in pieces if not piece.is_number]
    for coefficient in unknowns:
        found[1 / coefficient] = None
        found[1 / abs(coefficient)] = None
        if coefficient.denominator != 1:
            found[Fraction(coefficient.denominator)] = None
            found[Fraction(1, abs(coefficient.numerator))] = None
    below = lcm(*(piece.coefficient.denominator for piece in pieces))
    found[Fraction(below)] = None
    if decimals:
        found[Fraction(10)] = found[Fraction(100)] = None
    sizes = [abs(piece.coefficient.numerator) for piece in pieces if piece.coefficient.denominator == 1]
    for coefficient in unknowns:
        for size in sizes:
            shared = gcd(abs(coefficient.numerator), size)
            if coefficient.denominator == 1 and shared > 1:
                found[Fraction(1, shared)] = None
    return [factor for factor in found if factor not in {1, -1}][:MOST_FACTORS]


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
    return (Piece(sum(unknowns + numbers, Fraction(0)), "unknown"),)
