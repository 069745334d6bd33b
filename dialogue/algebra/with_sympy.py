"""sympy as the judge: the only file that imports it, and only when first asked.

Trees are built into sympy objects node by node; no text ever reaches ``sympify`` or ``parse_expr``.
``solve`` answers ``[]`` both for "none" and for "every number", so ``solveset`` is asked instead.
"""

from fractions import Fraction
from functools import cache
from typing import Any

from dialogue.algebra.equation import EVERY_NUMBER, NO_NUMBER, Equation, Solution
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown


@cache
def _sympy() -> Any:
    import sympy

    return sympy


def to_sympy(expression: Expression) -> Any:
    """The expression as a sympy object (which collects and reorders as sympy does)."""
    sympy = _sympy()
    match expression:
        case Number(value, _):
            return sympy.Rational(value.numerator, value.denominator)
        case Unknown(letter):
            return sympy.Symbol(letter)
        case Negative(body):
            return -to_sympy(body)
        case Sum(terms):
            return sympy.Add(*(term.sign * to_sympy(term.body) for term in terms))
        case Product(factors):
            return sympy.Mul(*(to_sympy(factor) for factor in factors))
        case Quotient(top, bottom):
            return to_sympy(top) / to_sympy(bottom)


def solution(equation: Equation) -> Solution:
    """What sympy says solves the equation, over the complex numbers as sympy's default domain."""
    sides = (to_sympy(equation.left), to_sympy(equation.right))
    return _solution_of(sides[0] - sides[1], equation.letter)


def _solution_of(difference: Any, letter: str) -> Solution:
    sympy = _sympy()
    symbol, expanded = sympy.Symbol(letter), sympy.expand(difference)
    lots, rest = expanded.coeff(symbol, 1), expanded.coeff(symbol, 0)
    if lots.is_Rational and lots and rest.is_Rational and expanded == lots * symbol + rest:  # solveset takes far longer
        value = -rest / lots
        return Solution("one", Fraction(int(value.p), int(value.q)))
    found = sympy.solveset(expanded, symbol)
    if found is sympy.S.EmptySet:
        return NO_NUMBER
    if found == sympy.S.Complexes:
        return EVERY_NUMBER
    (value,) = found
    return Solution("one", Fraction(int(value.p), int(value.q)))
