"""What is being done to the unknown, in order: the answer to the tutor's first question."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move
from dialogue.algebra.refusals import Refusal
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

Action: TypeAlias = Literal["add", "subtract", "multiply", "divide", "take from", "divide into"]


@dataclass(frozen=True, slots=True)
class Done:
    """Something done to the unknown; "take from" is what 19 - n does: n is taken from nineteen. "divide into" (12/n) is
    never right here, where no unknown stands below the line, and can be said all the same."""

    action: Action
    operand: Expression


def operations_on(equation: Equation) -> tuple[Done, ...]:
    """From the unknown outwards: ``3x + 2`` is multiply by 3, then add 2. Empty where the unknown stands twice."""
    if sum(isinstance(piece, Unknown) for side in equation.sides() for piece in walk(side)) != 1:
        return ()
    return tuple(_outwards(equation.side_with_unknown()))


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


def done_by(move: Move) -> Done | None:
    """A move told as something that is done to the unknown; None for one that names no operation."""
    return None if move.operation == "transfer" else Done(move.operation, move.operand)


def as_move(done: Done) -> Move | None:
    """What was done, as a move that would do it; None for what is no move ("taken from 19")."""
    match done.action:
        case "add" | "subtract" | "multiply" | "divide":
            return Move(done.action, done.operand, "unsaid")
    return None


def describes(said: tuple[Done, ...], equation: Equation) -> bool:
    """Whether the learner named every operation on the unknown, in an order that gives this side.

    What was done is compared by its effect, so "times minus four, add nineteen" describes ``19 - 4n`` as well as
    "times four, taken from nineteen" does; "times four, minus nineteen" is another side altogether.
    """
    asked = operations_on(equation)
    if not asked or not said or len(said) > len(asked) + 1:
        return False
    made = _made_by(said)
    wanted = linear(equation.side_with_unknown())
    return made is not None and made == (wanted.coefficient, wanted.constant)


def begins(said: tuple[Done, ...], equation: Equation) -> bool:
    """Whether the learner named the first operations on the unknown, in order, but not yet all."""
    asked = operations_on(equation)
    if not said or len(said) >= len(asked):
        return False
    made = _made_by(said)
    return made is not None and made in {_made_by(asked[:count]) for count in range(1, len(asked))}


def _made_by(said: tuple[Done, ...]) -> tuple[Fraction, Fraction] | None:
    """The unknown's coefficient and the number beside it once all this is done; None where it leaves lines."""
    coefficient, number = Fraction(1), Fraction(0)
    for done in said:
        try:
            operand = linear(done.operand)
        except Refusal:  # divided by zero, or past what is taught
            return None
        if operand.coefficient:
            return None
        by = Fraction(operand.constant)
        match done.action:
            case "add":
                number += by
            case "subtract":
                number -= by
            case "take from":
                coefficient, number = -coefficient, by - number
            case "multiply":
                coefficient, number = coefficient * by, number * by
            case "divide" if by:
                coefficient, number = coefficient / by, number / by
            case _:
                return None
    return coefficient, number


def is_done_to_unknown(operand: Expression, equation: Equation) -> bool:
    """Whether the learner named a number or term that stands beside the unknown, on its own side."""
    wanted = write(operand).lstrip("-")
    sides = [side for side in equation.sides() if has_unknown(side)]
    pieces = {write(piece).lstrip("-") for side in sides for piece in walk(side) if not isinstance(piece, Unknown)}
    return wanted in pieces


def alike(done: tuple[Done, ...]) -> list[tuple[str, Fraction]]:
    """The operations and their numbers, in no order."""
    return sorted((one.action, Fraction(linear(one.operand).constant)) for one in done)


def in_part(told: tuple[Done, ...], asked: tuple[Done, ...]) -> bool:
    """Whether only some of what is done was told, none of it first: "add 13" of 7n + 13."""
    whole = alike(asked)
    return bool(told) and all(one in whole for one in alike(told))
