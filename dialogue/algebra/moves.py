"""What a learner can do to an equation: a move, a rewrite, or simply the next line.

A move carried out gives the new line as a teacher writes it: like terms collected, brackets left shut.
"""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.exact import over
from dialogue.algebra.linear import linear
from dialogue.algebra.refusals import DivisionByZero, NotLinear
from dialogue.algebra.terms import added, expanded, multiplied_out, tidy, times
from dialogue.algebra.tree import Expression, Negative, Product, Quotient, SignedTerm, Sum, has_unknown

Operation: TypeAlias = Literal["add", "subtract", "multiply", "divide", "transfer"]
Sides: TypeAlias = Literal["both", "left", "right", "unsaid"]
How: TypeAlias = Literal["expand", "collect", "swap", "simplify"]

INVERSE: dict[Operation, Operation] = {
    "add": "subtract",
    "subtract": "add",
    "multiply": "divide",
    "divide": "multiply",
}


@dataclass(frozen=True, slots=True)
class Move:
    """An operation with its operand, and the sides it was said of.

    ``transfer`` ("move the 3 over") names no operation: it is asked about, never carried out.
    """

    operation: Operation
    operand: Expression
    sides: Sides = "both"


@dataclass(frozen=True, slots=True)
class Rewrite:
    """The same two sides, written another way."""

    how: How


@dataclass(frozen=True, slots=True)
class Line:
    """The next line as stated by the learner."""

    equation: Equation


@dataclass(frozen=True, slots=True)
class Verdict:
    """The learner says how many numbers solve it: none, or every number."""

    kind: Literal["none", "every"]


Step: TypeAlias = Move | Rewrite | Line | Verdict


def carry_out(move: Move, equation: Equation) -> Equation:
    """The line after the move on the sides it names ("unsaid" counts as both).

    Raises DivisionByZero, UnknownBelow or NotLinear where the result leaves the mathematics taught here.
    """
    decimals = equation.decimals
    left = on_side(move, equation.left, decimals) if move.sides != "right" else equation.left
    right = on_side(move, equation.right, decimals) if move.sides != "left" else equation.right
    return Equation(left, right, equation.letter, decimals)


def on_side(move: Move, side: Expression, decimals: bool = False) -> Expression:
    """One side after the move. Raises DivisionByZero, NotLinear."""
    if move.operation == "transfer":
        raise ValueError("a transfer names no operation to carry out")
    if move.operation == "add":
        return added(side, move.operand, decimals)
    if move.operation == "subtract":
        return added(side, Negative(move.operand), decimals)
    factor = linear(move.operand)
    if factor.coefficient:
        if move.operation == "divide" or linear(side).coefficient:
            raise NotLinear()
        return times(move.operand, linear(side).constant, decimals)
    if move.operation == "multiply":
        return times(side, factor.constant, decimals)
    if not factor.constant:
        raise DivisionByZero()
    return times(side, over(1, factor.constant), decimals)


def as_written(move: Move, side: Expression) -> Expression:
    """One side with the move written beside it and nothing worked out: ``3*x + 8 - 8``."""
    if move.operation in {"add", "subtract"}:
        terms = side.terms if isinstance(side, Sum) else (_first(side),)
        return Sum((*terms, SignedTerm(1 if move.operation == "add" else -1, move.operand)))
    if move.operation == "multiply":
        return Product((side, move.operand)) if has_unknown(move.operand) else Product((move.operand, side))
    return Quotient(side, move.operand)


def _first(side: Expression) -> SignedTerm:
    return SignedTerm(-1, side.body) if isinstance(side, Negative) else SignedTerm(1, side)


def carry_out_rewrite(rewrite: Rewrite, equation: Equation) -> Equation:
    """The line after the rewrite; a rewrite that finds nothing to do gives the same line."""
    decimals = equation.decimals
    if rewrite.how == "swap":
        return equation.swapped()
    do = {"expand": multiplied_out, "collect": tidy, "simplify": expanded}[rewrite.how]
    return Equation(do(equation.left, decimals), do(equation.right, decimals), equation.letter, decimals)
