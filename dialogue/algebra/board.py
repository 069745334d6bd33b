"""A line in the form the wrong rules work on: each side a row of signed pieces, brackets kept shut.

Wrong rules change, drop or misplace single terms, so the search needs the terms as written and little else.
A piece is ``coefficient`` times a number one, the unknown, or a bracket; an empty side is zero.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Literal, NamedTuple, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.exact import Exact, over
from dialogue.algebra.terms import parts
from dialogue.algebra.tree import (
    Expression,
    Number,
    Product,
    Quotient,
    SignedTerm,
    Sum,
    Unknown,
    constant,
    scaled,
    total,
    walk,
)


class Piece(NamedTuple):
    """``coefficient`` times a body: "number" (one), "unknown", or the pieces inside a bracket."""

    coefficient: Exact
    body: "Body"

    @property
    def is_number(self) -> bool:
        """Whether it is a number alone."""
        return self.body == "number"

    @property
    def is_bracket(self) -> bool:
        """Whether it is a bracket."""
        return isinstance(self.body, tuple)

    def times(self, factor: Exact) -> "Piece":
        """The piece, so many times."""
        return Piece(self.coefficient * factor, self.body)


Body: TypeAlias = Literal["number", "unknown"] | tuple[Piece, ...]
Side: TypeAlias = tuple[Piece, ...]
SideForm: TypeAlias = tuple[int, int, int]  # a side's exact value: (lots of the unknown, constant), both over the third


class Board(NamedTuple):
    """A line, and the numbers that were typed with a decimal point in the equation it comes from."""

    left: Side
    right: Side
    decimals: frozenset[Exact] = frozenset()

    def typed_as_decimal(self, coefficient: Exact) -> bool:
        """Whether 0.25 stands there as a number to multiply by, and not a quarter to divide by four."""
        return abs(coefficient) in self.decimals

    def is_divided(self, coefficient: Exact) -> bool:
        """Whether the coefficient is a division alone: x/4, or x/0.5, but not 0.25x."""
        if abs(coefficient.numerator) == 1 and coefficient.denominator != 1:
            return not self.typed_as_decimal(coefficient)
        return not self.typed_as_decimal(coefficient) and self.typed_as_decimal(over(1, coefficient))

    def side(self, index: int) -> Side:
        """The left (0) or the right (1)."""
        return self.right if index else self.left

    def with_sides(self, index: int, side: Side, other: Side) -> "Board":
        """The line with ``side`` at ``index`` and ``other`` facing it."""
        return Board(other, side, self.decimals) if index else Board(side, other, self.decimals)


def board_of(equation: Equation) -> Board:
    """The line of an equation. Raises OutOfScope where a side is not linear."""
    typed = (piece for side in equation.sides() for piece in walk(side) if isinstance(piece, Number))
    decimals = frozenset(number.value for number in typed if "." in number.written)
    return Board(side_of(equation.left), side_of(equation.right), decimals)


def side_of(expression: Expression) -> Side:
    """A side's pieces in the order written, zero terms left out; a subtracted bracket stays a bracket."""
    if isinstance(expression, Sum):
        return tuple(piece for term in expression.terms for piece in _signed(term))
    found: list[Piece] = []
    for part in parts(expression):
        body: Body
        if part.is_constant:
            body = "number"
        elif isinstance(part.body, Unknown):
            body = "unknown"
        else:
            body = side_of(part.body)
        if part.coefficient and body:
            found.append(Piece(part.coefficient, body))
    return tuple(found)


def _signed(term: SignedTerm) -> Side:
    inside = side_of(term.body)
    if term.sign > 0:
        return inside
    return (Piece(-1, inside),) if len(inside) > 1 else scaled_side(inside, -1)


def side_form(side: Side) -> SideForm:
    """The exact value of a side. In whole numbers, because the search asks for it thousands of times."""
    unknowns, numbers, below = 0, 0, 1
    for coefficient, body in side:
        top, bottom = coefficient.numerator, coefficient.denominator
        if isinstance(body, tuple):
            inner_unknowns, inner_numbers, inner_below = side_form(body)
            add_unknowns, add_numbers, bottom = top * inner_unknowns, top * inner_numbers, bottom * inner_below
        elif body == "number":
            add_unknowns, add_numbers = 0, top
        else:
            add_unknowns, add_numbers = top, 0
        if bottom == below:
            unknowns += add_unknowns
            numbers += add_numbers
        else:
            unknowns = unknowns * bottom + add_unknowns * below
            numbers = numbers * bottom + add_numbers * below
            below *= bottom
    return unknowns, numbers, below


def same_value(one: SideForm, other: SideForm) -> bool:
    """Whether two sides have the same value."""
    return one[0] * other[2] == other[0] * one[2] and one[1] * other[2] == other[1] * one[2]


def holds_unknown(side: Side) -> bool:
    """Whether the unknown is written on the side."""
    for _, body in side:  # noqa: SIM110 - asked for a dozen times in every search step, and a loop is twice as fast
        if body != "number":
            return True
    return False


def collected_side(side: Side) -> Side:
    """Like terms added up, each where its kind first stood; brackets taken once are opened, others stay shut."""
    if len(side) == 1 and side[0].coefficient and not isinstance(side[0].body, tuple):
        return side
    sums: dict[Body, Exact] = {}
    for coefficient, body in opened(side):
        sums[body] = sums[body] + coefficient if body in sums else coefficient
    return tuple([Piece(coefficient, body) for body, coefficient in sums.items() if coefficient])


def opened(side: Side) -> Iterator[Piece]:
    """The pieces with brackets that are only grouping opened."""
    for piece in side:
        if isinstance(piece[1], tuple) and piece[0] == 1:
            yield from opened(piece[1])
        else:
            yield piece


def expanded_side(side: Side) -> Side:
    """Every bracket multiplied out and like terms collected, in the order the kinds first stood."""
    return collected_side(tuple(multiplied_out(side)))


def multiplied_out(side: Side) -> Iterator[Piece]:
    """Every bracket multiplied out, like terms as they fall."""
    for piece in side:
        if isinstance(piece.body, tuple):
            yield from (inner.times(piece.coefficient) for inner in multiplied_out(piece.body))
        else:
            yield piece


def without(side: Side, index: int) -> Side:
    """The side less one piece."""
    return side[:index] + side[index + 1 :]


def replaced(side: Side, index: int, new: Iterable[Piece]) -> Side:
    """The side with one piece exchanged for others; zero pieces vanish."""
    return side[:index] + tuple(piece for piece in new if piece.coefficient) + side[index + 1 :]


def scaled_side(side: Side, factor: Exact) -> Side:
    """Every piece multiplied by ``factor``."""
    return tuple([Piece(coefficient * factor, body) for coefficient, body in side])


def body_side(piece: Piece) -> Side:
    """What a piece is so many lots of, as a side of its own."""
    return piece.body if isinstance(piece.body, tuple) else (Piece(1, piece.body),)


def everywhere(side: Side, change: Callable[[Side], Iterable[Side]]) -> Iterator[Side]:
    """A change tried on the whole side and on the inside of each of its brackets."""
    yield from change(side)
    for index, piece in enumerate(side):
        if isinstance(piece.body, tuple):
            for inside in everywhere(piece.body, change):
                yield replaced(side, index, (Piece(piece.coefficient, inside),) if inside else ())


def on_either_side(board: Board, change: Callable[[Side], Iterable[Side]]) -> Iterator[Board]:
    """A change of one side, or of one bracket of it, the other side left alone."""
    for index in (0, 1):
        for side in everywhere(board.side(index), change):
            yield board.with_sides(index, side, board.side(1 - index))


def equation_from(board: Board, letter: str) -> Equation:
    """The line as an equation again."""
    return Equation(
        _written(board.left, letter, bool(board.decimals)), _written(board.right, letter, bool(board.decimals)), letter
    )


def _written(side: Side, letter: str, decimals: bool) -> Expression:
    shown: list[Expression] = []
    for piece in side:
        if piece.is_number:
            shown.append(constant(piece.coefficient, decimals))
            continue
        body: Expression = Unknown(letter)
        if isinstance(piece.body, tuple):
            body = _written(piece.body, letter, decimals)
        shown.append(scaled(piece.coefficient, body, decimals))
    return total(shown)


def is_unworked(expression: Expression) -> bool:
    """Whether numbers are written side by side and not worked out: ``14 + 9``, ``3/21``, ``7*8``."""
    found = [part.is_constant for part in parts(expression)]
    if sum(found) > 1:
        return True
    match expression:
        case Quotient(top, bottom):
            return not any(isinstance(piece, Sum) for piece in (top, bottom)) and all(found)
        case Product():
            return all(found)
    return False
