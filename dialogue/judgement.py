"""The judgement of a step, three-valued as a teacher's is.

* keeps the balance and comes closer to the unknown alone;
* keeps the balance, no closer (never called wrong);
* breaks the balance.

A move is checked as it was claimed, on each side separately: reaching a line with the same solution is not
enough. Multiplying by zero and dividing by zero or by the unknown are not legal, and ``reason`` says which.
"""

from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from dialogue.algebra.cost import comes_closer
from dialogue.algebra.equation import Equation
from dialogue.algebra.exact import over
from dialogue.algebra.linear import Linear, linear
from dialogue.algebra.misconceptions import explain, signs_of
from dialogue.algebra.moves import Line, Move, Rewrite, Step, Verdict, carry_out, carry_out_rewrite
from dialogue.algebra.refusals import NotLinear
from dialogue.algebra.tree import Expression, constant

IllegalReason: TypeAlias = Literal[
    "",
    "one side",
    "multiply by zero",
    "multiply by unknown",
    "divide by zero",
    "divide by unknown",
    "no operation",
    "not that move",
]


@dataclass(frozen=True, slots=True)
class Judgement:
    """``balanced`` is None where the step is undefined; ``result`` is the line after a move or rewrite, as a
    teacher writes it; ``errors`` are ids of the error table, most likely first, empty for a right step; ``signs`` those
    that a legal move which brings nothing is a sign of: one sign is no error."""

    balanced: bool | None
    closer: bool = False
    result: Equation | None = None
    errors: tuple[str, ...] = ()
    reason: IllegalReason = ""
    signs: tuple[str, ...] = ()


def judge(equation: Equation, step: Step) -> Judgement:
    """Judge one step from an equation. The equation and the step must share their letter."""
    errors = tuple(explanation.error for explanation in explain(equation, step))
    judgement = weigh(equation, step)
    signs: tuple[str, ...] = ()
    if isinstance(step, Move) and judgement.balanced and not judgement.closer and not errors:
        signs = signs_of(equation, step)
    return replace(judgement, errors=errors, signs=signs)


def weigh(equation: Equation, step: Step) -> Judgement:
    """The judgement alone: no errors looked for."""
    match step:
        case Line(stated):
            kept = equivalent(equation, stated)
            return Judgement(kept, kept and comes_closer(equation, stated))
        case Verdict(kind):
            kept = equation.solution().kind == kind
            return Judgement(kept, kept)
        case Rewrite():
            result = carry_out_rewrite(step, equation)
            return Judgement(True, comes_closer(equation, result), result)
        case Move():
            return _move(equation, step)


def _move(equation: Equation, move: Move) -> Judgement:
    if move.operation == "transfer":
        return Judgement(None, reason="no operation")
    operand = linear(move.operand)
    if move.operation == "divide" and not operand.coefficient and not operand.constant:
        return Judgement(None, reason="divide by zero")
    if operand.coefficient and move.operation in {"multiply", "divide"}:
        reason: IllegalReason = "multiply by unknown" if move.operation == "multiply" else "divide by unknown"
        return Judgement(False, result=_by_unknown(equation, move, operand), reason=reason)
    result = carry_out(move, equation)
    if move.operation == "multiply" and not operand.constant:
        return Judgement(False, result=result, reason="multiply by zero")
    if move.sides in {"left", "right"}:
        untouched = result.linear() == equation.linear()
        return Judgement(untouched, result=result, reason="" if untouched else "one side")
    return Judgement(True, comes_closer(equation, result), result)


def _by_unknown(equation: Equation, move: Move, operand: Linear) -> Equation | None:
    """What is left after multiplying or dividing by the unknown, where it is linear: 9a = 0 over a gives 9 = 0."""
    if move.operation == "multiply":
        try:
            return carry_out(move, equation)
        except NotLinear:
            return None
    left = equation.left if move.sides == "right" else _over(linear(equation.left), operand)
    right = equation.right if move.sides == "left" else _over(linear(equation.right), operand)
    return Equation(left, right, equation.letter) if left and right else None


def _over(side: Linear, operand: Linear) -> Expression | None:
    """A side divided by an operand it is a number of times of: 6x over 2x is 3."""
    if side.coefficient * operand.constant != side.constant * operand.coefficient:
        return None
    return constant(over(side.coefficient, operand.coefficient))


def equivalent(before: Equation, after: Equation) -> bool:
    """Whether both lines are true for exactly the same numbers."""
    return before.solution() == after.solution()
