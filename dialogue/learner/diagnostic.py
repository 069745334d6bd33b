"""Whether an equation's numbers reveal thinking: every wrong rule gives a wrong answer of its own.

An equation whose right answer also comes out of a wrong rule hides that error; one where two rules give the
same wrong answer cannot tell them apart. Where the form itself makes rules coincide, ``forced`` says so.
"""

from collections.abc import Mapping
from fractions import Fraction

from dialogue.algebra.equation import Equation, Solution


def wrong_answers(equation: Equation) -> Mapping[str, Solution]:
    """The wrong answers of the wrong rules that need only the collected form."""
    left, right = equation.linear()
    coefficient = left.coefficient - right.coefficient
    number = right.constant - left.constant
    if not coefficient:
        return {}
    found: dict[str, Fraction] = {}
    if abs(coefficient) != 1:
        found["subtract-coefficient"] = number - coefficient
        found["multiply-instead-of-divide"] = number * coefficient
        if number:
            found["reciprocal-division"] = coefficient / number
    return {error: Solution("one", value) for error, value in found.items()}


def hides(equation: Equation, right: Solution) -> tuple[str, ...]:
    """The errors that would go unseen because they also give the right answer."""
    return tuple(error for error, wrong in wrong_answers(equation).items() if wrong == right)
