"""sympy is the judge: over generated equations and steps, our exact arithmetic and sympy agree.

A hypothesis example is one equation with many steps beside it: 48 moves (each operation, each choice of sides, three
operands), or some 20 stated lines, right and wrong. The suite makes over 10,000 equations and steps; a number in
CHATTUTOR_TIMES makes it that many times more.
"""

import os
from fractions import Fraction
from itertools import pairwise, product
from typing import get_args

import pytest
import sympy
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from move_oracle import move_keeps_solutions
from strategies import equations, expressions, numbers

from dialogue.algebra.cost import MEASURES, comes_closer
from dialogue.algebra.equation import Equation, Solution, solve
from dialogue.algebra.linear import Linear, linear
from dialogue.algebra.moves import How, Line, Move, Operation, Rewrite, Sides, Verdict, as_written, carry_out
from dialogue.algebra.reading import renamed
from dialogue.algebra.refusals import DivisionByZero
from dialogue.algebra.solver import MOST_STEPS, is_solved, solve_by_steps
from dialogue.algebra.tree import Expression, Number, Product, Quotient, SignedTerm, Sum, Unknown, constant, scaled
from dialogue.algebra.with_sympy import solution, to_sympy
from dialogue.judgement import judge, weigh

TIMES = int(os.environ.get("CHATTUTOR_TIMES", "1"))
OPERATIONS: tuple[Operation, ...] = ("add", "subtract", "multiply", "divide")
SIDES: tuple[Sides, ...] = ("both", "unsaid", "left", "right")
BREAKING = {"multiply by zero", "multiply by unknown", "divide by unknown", "one side"}


def examples(count: int) -> settings:
    """So many equations."""
    slow = [HealthCheck.too_slow, HealthCheck.data_too_large]
    return settings(max_examples=count * TIMES, deadline=None, suppress_health_check=slow)


lines = equations(depth=1)


def worth(side: Expression) -> Expression:
    """Our exact value of a side, as an expression for sympy to compare the side with."""
    value = linear(side)
    return Sum(
        (SignedTerm(1, Product((constant(value.coefficient), Unknown("x")))), SignedTerm(1, constant(value.constant)))
    )


def in_x(equation: Equation) -> Equation:
    """The equation in x, so that operands made apart from it share its letter."""
    return Equation(renamed(equation.left, "x"), renamed(equation.right, "x"), "x")


def cost(equation: Equation) -> tuple[object, ...]:
    """What is left to do on a line, by every measure in its order."""
    return tuple(measure(equation) for measure in MEASURES)


def same_value(one: Expression, other: Expression) -> bool:
    """Whether sympy finds two expressions equal for every value of the unknown."""
    return bool(sympy.expand(to_sympy(one) - to_sympy(other)) == 0)


@examples(100)
@given(lines.map(in_x))
def test_values_and_solutions(equation: Equation) -> None:
    assert all(same_value(side, worth(side)) for side in equation.sides())
    assert equation.solution() == solution(equation)


@examples(100)
@given(lines.map(in_x), numbers, st.integers(1, 12), expressions("x", depth=0))
def test_moves(equation: Equation, number: Expression, count: int, expression: Expression) -> None:
    operands = (number, scaled(Fraction(count), Unknown("x")), expression)
    for operation, sides, operand in product(OPERATIONS, SIDES, operands):
        move = Move(operation, operand, sides)
        judged = weigh(equation, move)
        value = linear(operand)
        scaling = operation in {"multiply", "divide"}
        if operation == "divide" and value == Linear(Fraction(0), Fraction(0)):
            assert (judged.balanced, judged.closer, judged.reason) == (None, False, "divide by zero")
            continue
        legal = not scaling or (not value.coefficient and value.constant != 0)
        if not legal:
            assert (judged.balanced, judged.closer) == (False, False)
            assert judged.reason in BREAKING
            continue
        assert judged.result is not None
        for name, before, after in zip(("left", "right"), equation.sides(), judged.result.sides(), strict=True):
            done = as_written(move, before) if sides in {"both", "unsaid", name} else before
            assert same_value(done, after), f"{move} on {before}"
        if sides in {"both", "unsaid"}:
            assert judged.balanced is True
            assert judged.result.solution() == equation.solution()
        else:
            unchanged = all(map(same_value, equation.sides(), judged.result.sides()))
            assert judged.balanced is unchanged
            assert not judged.closer


@examples(30)
@given(lines.map(in_x), numbers, st.sampled_from(OPERATIONS))
def test_moves_by_sympys_own_solving(equation: Equation, number: Expression, operation: Operation) -> None:
    move = Move(operation, number)
    kept = move_keeps_solutions(equation, move)
    judged = weigh(equation, move)
    if kept is None:
        assert judged.balanced is None
    elif operation == "multiply" and not linear(number).constant:
        assert judged.balanced is False  # not legal even where every number solved it already
    else:
        assert judged.balanced is kept is True


def restated(equation: Equation, scale: Fraction, number: Expression, count: int) -> list[Equation]:
    """The equation said in other ways, each true for the same numbers."""
    factor = constant(scale)
    moved = carry_out(Move("subtract", number), equation)
    gathered = carry_out(Move("add", scaled(Fraction(count), Unknown("x"))), moved)
    return [
        equation.swapped(),
        Equation(as_written(Move("multiply", factor), equation.left), Product((factor, equation.right)), "x"),
        Equation(Quotient(equation.left, factor), as_written(Move("divide", factor), equation.right), "x"),
        moved,
        gathered,
        carry_out(Move("divide", factor), gathered).swapped(),
        *(worked.equation for worked in solve_by_steps(equation)),
    ]


nonzero = st.builds(Fraction, st.integers(-12, 12).filter(bool), st.integers(1, 9))


@examples(100)
@given(lines.map(in_x), nonzero, numbers, st.integers(1, 9), nonzero)
def test_stated_lines(equation: Equation, scale: Fraction, number: Expression, count: int, off: Fraction) -> None:
    for stated in restated(equation, scale, number, count):
        assert weigh(equation, Line(stated)).balanced is True, stated.text()
        astray = (
            Equation(as_written(Move("add", constant(off)), stated.left), stated.right, "x"),
            Equation(stated.left, as_written(Move("add", scaled(off, Unknown("x"))), stated.right), "x"),
        )
        wrong = astray[count % 2]
        judged = weigh(equation, Line(wrong))
        assert judged.balanced is (solution(wrong) == equation.solution()), wrong.text()
        assert judged.balanced or not judged.closer


@examples(20)
@given(lines.map(in_x), nonzero)
def test_no_error_is_named_for_a_right_line(equation: Equation, scale: Fraction) -> None:
    stated = Equation(Product((constant(scale), equation.left)), Product((constant(scale), equation.right)), "x")
    for line in (equation.swapped(), stated):
        judged = judge(equation, Line(line))
        assert (judged.balanced, judged.errors) == (True, ())


@examples(50)
@given(lines.map(in_x))
def test_rewrites_and_verdicts(equation: Equation) -> None:
    for how in get_args(How):
        judged = weigh(equation, Rewrite(how))
        assert judged.balanced is True
        assert judged.result is not None
        after = judged.result.swapped() if how == "swap" else judged.result
        assert all(map(same_value, equation.sides(), after.sides()))
        assert not (how == "swap" and judged.closer)
    kind = solution(equation).kind
    assert weigh(equation, Verdict("none")).balanced is (kind == "none")
    assert weigh(equation, Verdict("every")).balanced is (kind == "every")


@examples(60)
@given(expressions("x", depth=1), nonzero, st.booleans())
def test_identities_and_contradictions(side: Expression, off: Fraction, kept: bool) -> None:
    same = worth(side)
    equation = Equation(side, same if kept else Sum((SignedTerm(1, same), SignedTerm(1, constant(off)))), "x")
    assert equation.solution() == solution(equation) == Solution("every" if kept else "none")
    last = solve_by_steps(equation)[-1].equation if solve_by_steps(equation) else equation
    assert is_solved(last)
    assert weigh(last, Verdict("every" if kept else "none")).balanced is True
    assert weigh(last, Verdict("none" if kept else "every")).balanced is False


@examples(80)
@given(equations(depth=2))
def test_the_solver_ends_with_the_unknown_alone(equation: Equation) -> None:
    worked = solve_by_steps(equation)
    assert len(worked) < MOST_STEPS
    shown = [equation, *(one.equation for one in worked)]
    for before, one in zip(shown, worked, strict=False):
        judged = weigh(before, one.step)
        assert (judged.balanced, judged.result) == (True, one.equation)
    assert all(before != after for before, after in pairwise(shown))
    assert is_solved(shown[-1])
    assert solve(*shown[-1].linear()) == equation.solution()
    assert not worked or cost(shown[-1]) < cost(equation)


@examples(60)
@given(st.lists(lines, min_size=3, max_size=3))
def test_closer_is_a_strict_order_and_blind_to_sides(three: list[Equation]) -> None:
    one, two, three_ = three
    assert not comes_closer(one, one)
    assert not comes_closer(one, one.swapped())
    assert comes_closer(one, two) == comes_closer(one.swapped(), two) == comes_closer(one, two.swapped())
    assert not (comes_closer(one, two) and comes_closer(two, one))
    if comes_closer(one, two) and comes_closer(two, three_):
        assert comes_closer(one, three_)


@examples(20)
@given(lines, st.sampled_from(("multiply", "divide")))
def test_zero(equation: Equation, operation: Operation) -> None:
    for sides in SIDES:
        judged = weigh(equation, Move(operation, Number(Fraction(0)), sides))
        assert judged.balanced is (None if operation == "divide" else False)
        assert judged.reason == f"{operation} by zero"


def test_a_division_by_zero_is_not_carried_out() -> None:
    equation = Equation(Unknown("x"), constant(Fraction(3)), "x")
    with pytest.raises(DivisionByZero):
        carry_out(Move("divide", constant(Fraction(0))), equation)
