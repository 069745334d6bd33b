"""sympy's readers run Python code, so no text, ours or a learner's, may ever reach them."""

import ast
import inspect
from fractions import Fraction

import pytest
import sympy
from sympy.parsing import sympy_parser

from dialogue.algebra import with_sympy
from dialogue.algebra.equation import Solution, read_equation

USED = {"Rational", "Symbol", "Add", "Mul", "solveset", "expand", "S"}  # none of them reads text, but Symbol a name


def test_only_these_parts_of_sympy_are_used() -> None:
    tree = ast.parse(inspect.getsource(with_sympy))
    used = {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "sympy"
    }
    assert used == USED


def test_no_reader_of_sympy_is_called(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("text reached sympy")

    monkeypatch.setattr(sympy_parser, "parse_expr", refuse)
    monkeypatch.setattr(sympy_parser, "eval_expr", refuse)
    with pytest.raises(AssertionError, match="text reached sympy"):
        sympy.sympify("1 + 1")  # the trap works
    equation = read_equation("2(x - 1)/3 = 0.5x + 4")
    assert with_sympy.solution(equation) == Solution("one", Fraction(28))
