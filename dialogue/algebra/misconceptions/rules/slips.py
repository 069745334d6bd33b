"""Small errors in working out a right step: the number that should be written, and what is written instead."""

from collections.abc import Iterator

from dialogue.algebra.board import Board, Piece, Side, replaced
from dialogue.algebra.exact import Exact, over, size

NEAR = (1, -1, 2, -2)  # off by one or two: common practice, no source
TABLES = range(2, 13)
TENS: tuple[Exact, ...] = (10, over(1, 10), 100, over(1, 100), 1000, over(1, 1000))


def slipped(before: Board, after: Board) -> Iterator[Board]:
    """3x = 12 -> x = 3: one number of the right line is a little out."""
    tables = _table_numbers(before)
    for index, place, piece in _worked_out(before, after):
        for value in near_misses(piece.coefficient, tables):
            if value:
                yield _with(after, index, place, piece, value)


def point_misplaced(before: Board, after: Board) -> Iterator[Board]:
    """0.08x = 4 -> x = 5: one number of the right line is out by a power of ten."""
    numbers = [piece.coefficient for piece in (*before.left, *before.right)]
    if not before.decimals and not any(number % 10 == 0 or 10 % number == 0 for number in numbers if size(number) > 5):
        return
    for index, place, piece in _worked_out(before, after):
        for factor in TENS:
            if piece.times(factor) not in before.side(index):  # not the old number, left as it was
                yield _with(after, index, place, piece, piece.coefficient * factor)


def sign_lost(before: Board, after: Board) -> Iterator[Board]:
    """-6y = 54 -> y = 9: the result of a right step is written without its minus sign."""
    negatives = sum(piece.coefficient < 0 for piece in (*before.left, *before.right))
    for index, place, piece in _worked_out(before, after):
        if piece.coefficient < 0 or negatives > 1:
            yield _with(after, index, place, piece, -piece.coefficient)


def near_misses(value: Exact, tables: tuple[int, ...]) -> list[Exact]:
    """Off by one or two in the last place, a neighbour in the times table, two digits swapped, the wrong sign."""
    places = _places(value)
    if places is None:
        return [-value]
    unit = over(1, 10**places)
    count = int(value * 10**places)
    found = [count + step for step in NEAR]
    for table in tables:
        if count % table == 0 and table < abs(count) <= table * TABLES[-1]:
            found += [count + table, count - table]
    digits = str(abs(count))
    for at in range(len(digits) - 1):
        swapped = digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :]
        found.append(int(swapped) * (1 if count > 0 else -1))
    found.append(-count)
    return [number * unit for number in dict.fromkeys(found) if number != count]


def _places(value: Exact) -> int | None:
    """Decimal places of a number that ends, up to three; None for others (thirds, sevenths)."""
    return next((places for places in range(4) if 10**places % value.denominator == 0), None)


def _table_numbers(board: Board) -> tuple[int, ...]:
    """The whole numbers of the line that may have been multiplied."""
    found = {abs(piece.coefficient.numerator) for piece in (*board.left, *board.right)}
    found |= {piece.coefficient.denominator for piece in (*board.left, *board.right)}
    return tuple(sorted(number for number in found if number in TABLES))


def _worked_out(before: Board, after: Board) -> Iterator[tuple[int, int, Piece]]:
    """The pieces of the later line whose number was newly worked out."""
    for index in (0, 1):
        old: Side = before.side(index)
        for place, piece in enumerate(after.side(index)):
            if piece not in old and (piece.is_number or abs(piece.coefficient) != 1):
                yield index, place, piece


def _with(board: Board, index: int, place: int, piece: Piece, value: Exact) -> Board:
    side = replaced(board.side(index), place, (Piece(value, piece.body),))
    return board.with_sides(index, side, board.side(1 - index))
