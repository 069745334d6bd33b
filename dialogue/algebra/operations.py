"""What is being done to the unknown, in order: the answer to the tutor's first question."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move
from dialogue.algebra.tree import (
    Expression,
    Negative,
    Number,
    Product,
    Quotient,
    Sum,
    Unknown,
    constant,
    has_unknown,
    walk,
)
from dialogue.algebra.writing import write

Action: TypeAlias = Literal["add", "subtract", "multiply", "divide", "take from"]


@dataclass(frozen=True, slots=True)
class Done:
    """Something done to the unknown; "take from" is what 19 - n does: n is taken from nineteen."""

    action: Action
    operand: Expression


def operations_on(equation: Equation) -> tuple[Done, ...]:
    """From the unknown outwards: ``3x + 2`` is multiply by 3, then add 2. Empty where the unknown stands twice."""
    if sum(isinstance(piece, Unknown) for side in equation.sides() for piece in walk(side)) != 1:
        return ()
    side = equation.left if has_unknown(equation.left) else equation.right
    return tuple(_outwards(side))


def _outwards(side: Expression) -> list[Done]:
    match side:
        case Negative(body):
            return _negated(_outwards(body))
        case Quotient(top, bottom):
            return [*_outwards(top), Done("divide", bottom)]
        case Product(factors):
            inner = next(factor for factor in factors if has_unknown(factor))
            return [*_outwards(inner), *(Done("multiply", factor) for factor in factors if factor is not inner)]
        case Sum(terms):
            (inner_term,) = (term for term in terms if has_unknown(term.body))
            found = _outwards(inner_term.body)
            others = [term for term in terms if term is not inner_term]
            if inner_term.sign < 0 and terms[0] is not inner_term:
                number = sum((linear(term.body).constant * term.sign for term in others), Fraction(0))
                return [*found, Done("take from", constant(number))]
            if inner_term.sign < 0:
                found = _negated(found)
            return [*found, *(Done("add" if term.sign > 0 else "subtract", term.body) for term in others)]
    return []


def _negated(found: list[Done]) -> list[Done]:
    """A minus sign in front: one more multiplication, or part of the last one (``-2(x - 7)`` is times -2)."""
    if found and found[-1].action == "multiply":
        return [*found[:-1], Done("multiply", Negative(found[-1].operand))]
    return [*found, Done("multiply", Negative(Number(Fraction(1))))]


def describes(said: tuple[Move, ...], equation: Equation) -> bool:
    """Whether the learner named every operation on the unknown, in order.

    What was done is compared by its effect, so "times minus four, add nineteen" also describes ``19 - 4n``.
    """
    asked = operations_on(equation)
    if not said or len(said) > len(asked) + 1:
        return False
    side = equation.left if has_unknown(equation.left) else equation.right
    coefficient, number = Fraction(1), Fraction(0)
    for move in said:
        operand = linear(move.operand)
        if operand.coefficient or move.operation == "transfer":
            return False
        by = operand.constant
        if move.operation == "add":
            number += by
        elif move.operation == "subtract" and _taken_from(move, asked):
            coefficient, number = -coefficient, by - number
        elif move.operation == "subtract":
            number -= by
        elif move.operation == "multiply":
            coefficient, number = coefficient * by, number * by
        elif not by:
            return False
        else:
            coefficient, number = coefficient / by, number / by
    wanted = linear(side)
    return (coefficient, number) == (wanted.coefficient, wanted.constant)


def _taken_from(move: Move, asked: tuple[Done, ...]) -> bool:
    """Whether this subtraction is the one that takes the unknown from a number."""
    return any(done.action == "take from" and linear(done.operand) == linear(move.operand) for done in asked)


def begins(said: tuple[Move, ...], equation: Equation) -> bool:
    """Whether the learner named the first operations on the unknown, in order, but not yet all."""
    asked = operations_on(equation)
    if not said or len(said) >= len(asked) or any(linear(move.operand).coefficient for move in said):
        return False
    return all(_is(move, done) for move, done in zip(said, asked, strict=False))


def _is(move: Move, done: Done) -> bool:
    action = "subtract" if done.action == "take from" else done.action
    return move.operation == action and linear(move.operand) == linear(done.operand)


def is_done_to_unknown(operand: Expression, equation: Equation) -> bool:
    """Whether the learner named a number or term that stands beside the unknown, on its own side."""
    wanted = write(operand).lstrip("-")
    sides = [side for side in equation.sides() if has_unknown(side)]
    pieces = {write(piece).lstrip("-") for side in sides for piece in walk(side) if not isinstance(piece, Unknown)}
    return wanted in pieces
