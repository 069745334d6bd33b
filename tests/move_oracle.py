"""Whether sympy finds that a move keeps the solutions: what the judge is checked against."""

from collections.abc import Callable
from typing import Any

import sympy

from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Move
from dialogue.algebra.with_sympy import to_sympy


def move_keeps_solutions(equation: Equation, move: Move) -> bool | None:
    """Whether the move, done by sympy to the sides it names, keeps the solution set; None for a division by zero.

    Same solutions are necessary for a kept balance, not sufficient: a one-sided move may keep them by accident.
    """
    operand = to_sympy(move.operand)
    if move.operation == "divide" and operand == 0:
        return None
    act: dict[str, Callable[[Any], Any]] = {
        "add": lambda side: side + operand,
        "subtract": lambda side: side - operand,
        "multiply": lambda side: side * operand,
        "divide": lambda side: side / operand,
    }
    left, right = to_sympy(equation.left), to_sympy(equation.right)
    after_left = act[move.operation](left) if move.sides != "right" else left
    after_right = act[move.operation](right) if move.sides != "left" else right
    symbol = sympy.Symbol(equation.letter)
    before = sympy.solveset(sympy.expand(left - right), symbol)
    after = sympy.solveset(sympy.expand(after_left - after_right), symbol)
    return bool(after == before)
