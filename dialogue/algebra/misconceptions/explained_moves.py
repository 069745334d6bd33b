"""Errors in a move as it was said, and in saying that nothing or everything solves the equation."""

from collections.abc import Iterator
from fractions import Fraction

from dialogue.algebra.board import Board, Side, board_of, collected_side, holds_unknown
from dialogue.algebra.cost import comes_closer
from dialogue.algebra.equation import Equation
from dialogue.algebra.exact import Exact, over
from dialogue.algebra.linear import Linear, linear
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.misconceptions.search import Explanation
from dialogue.algebra.moves import Move, Rewrite, carry_out

REPEATED = {
    "multiply": ("same-operation", "multiply-instead-of-divide"),
    "divide": ("same-operation", "divide-instead-of-multiply"),
}


def explain_move(before: Equation, move: Move) -> tuple[Explanation, ...]:
    """Dividing by zero or by the unknown, one side only, the attached operation repeated."""
    if move.operation == "transfer":
        return ()
    operand = linear(move.operand)
    if move.operation == "divide" and not operand.coefficient and not operand.constant:
        return _explanations("divide-by-zero")
    if operand.coefficient and move.operation in {"multiply", "divide"}:
        return _explanations("divide-by-unknown") if move.operation == "divide" else ()
    repeated = tuple(dict.fromkeys(_repeated(board_of(before), move, operand)))
    if move.sides not in {"left", "right"}:
        closer = bool(repeated) and comes_closer(before, carry_out(move, before))
        return () if closer else _explanations(*repeated)
    if _changes_nothing(before, move, operand):
        return ()
    return _explanations("one-side-only", *repeated)


def signs_of(before: Equation, move: Move) -> tuple[str, ...]:
    """Errors that a legal move which brings nothing is a sign of, and no more than that: the coefficient taken away
    (7 off both sides of 7x = 63), where nothing of that size is there to be taken away."""
    if move.operation not in {"add", "subtract"} or move.sides in {"left", "right"}:
        return ()
    operand = linear(move.operand)
    taken = operand.constant if move.operation == "subtract" else -operand.constant
    held = [piece for side in map(collected_side, (board_of(before).left, board_of(before).right)) for piece in side]
    coefficients = {piece.coefficient for piece in held if not piece.is_number} - {1, -1}
    undoes = any(piece.is_number and piece.coefficient == taken for piece in held)
    if operand.coefficient or taken not in coefficients or undoes:
        return ()
    return ("subtract-coefficient",)


def _explanations(*errors: str) -> tuple[Explanation, ...]:
    table = error_table()
    return tuple(Explanation(error, 1, (), table[error].prior / 1000) for error in errors)


def _changes_nothing(before: Equation, move: Move, operand: Linear) -> bool:
    if move.operation in {"add", "subtract"}:
        return operand == Linear(Fraction(0), Fraction(0))
    side = linear(before.left if move.sides == "left" else before.right)
    return operand.constant == 1 or side == Linear(Fraction(0), Fraction(0))


def _repeated(board: Board, move: Move, operand: Linear) -> Iterator[str]:
    """The ids of repeating what is already done to the unknown; none where the move also undoes something."""
    sides = [collected_side(board.left), collected_side(board.right)]
    if move.operation in {"add", "subtract"}:
        sign = 1 if move.operation == "add" else -1
        signed = operand * sign
        if any(_attached(sides, signed)) and not any(_attached(sides, signed * -1)):
            yield "same-operation"
        return
    if not operand.constant:
        return
    factor = operand.constant if move.operation == "multiply" else over(1, operand.constant)
    held = [side[0].coefficient for side in sides if len(side) == 1 and not side[0].is_number]
    undoes = any(_repeats(coefficient, over(1, factor)) for coefficient in held)
    if abs(factor) != 1 and not undoes and any(_repeats(coefficient, factor) for coefficient in held):
        yield from REPEATED[move.operation]


def _repeats(coefficient: Exact, factor: Exact) -> bool:
    """Whether multiplying by ``factor`` repeats a multiplication or division in the coefficient."""
    top, bottom = coefficient.numerator, coefficient.denominator
    return factor == coefficient or (abs(top) != 1 and factor == top) or (bottom != 1 and factor == Fraction(1, bottom))


def _attached(sides: list[Side], signed: Linear) -> Iterator[bool]:
    """Whether each term said is one that is attached to the unknown, and so waits to be undone."""
    both = all(holds_unknown(side) for side in sides)
    for side in sides:
        if not holds_unknown(side):
            continue
        for piece in side:
            if piece.is_number:
                yield Linear(Fraction(0), Fraction(piece.coefficient)) == signed
            elif piece.body == "unknown" and (both or piece.coefficient < 0):
                yield Linear(Fraction(piece.coefficient), Fraction(0)) == signed


def what_was_done(before: Equation, told: Move | Rewrite | None) -> str:
    """What a learner's account of one side comes to, in the words of ``did`` in the table; None is "nothing"."""
    if told is None:
        return "nothing"
    if isinstance(told, Rewrite):
        return "rewrote"
    if told.operation == "transfer":
        return "moved"
    operand = linear(told.operand)
    sides = [collected_side(board_of(before).left), collected_side(board_of(before).right)]
    held = [piece.coefficient for side in sides for piece in side if not piece.is_number]
    if told.operation in {"add", "subtract"}:
        signed = operand if told.operation == "add" else operand * -1
        repeats, undoes = any(_attached(sides, signed)), any(_attached(sides, signed * -1))
        took = not operand.coefficient and any(abs(signed.constant) == abs(coefficient) for coefficient in held)
        return "undid" if undoes else "repeated" if repeats else "took the coefficient" if took else "other"
    if operand.coefficient or not operand.constant:
        return "other"
    factor = operand.constant if told.operation == "multiply" else over(1, operand.constant)
    if any(_repeats(coefficient, over(1, factor)) for coefficient in held):
        return "undid"
    return "repeated" if any(_repeats(coefficient, factor) for coefficient in held) else "other"


def explain_verdict(before: Equation, kind: str) -> tuple[Explanation, ...]:
    """Saying "no solution" or "all numbers" where that is wrong."""
    solution = before.solution()
    if solution.kind == kind:
        return ()
    if solution.value is None:
        return _explanations("zero-solution-confusion")
    if solution.value == 0:
        left, right = (collected_side(side) for side in (board_of(before).left, board_of(before).right))
        lost = kind == "none" and left and right and all(p.body == "unknown" for p in (*left, *right))
        return _explanations(*(["divide-by-unknown"] if lost else []), "zero-solution-confusion")
    if kind == "none" and (solution.value < 0 or solution.value.denominator != 1):
        return _explanations("solution-refused")
    return ()
