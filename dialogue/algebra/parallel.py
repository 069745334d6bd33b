"""A parallel equation: the same form with other numbers, to be worked as an example, never the learner's own."""

from collections.abc import Iterator
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.reading import renamed
from dialogue.algebra.refusals import OutOfScope
from dialogue.algebra.solver import next_step
from dialogue.algebra.terms import multiplied_out, parts
from dialogue.algebra.tree import Expression, Number, SignedTerm, Sum, Unknown, constant, whole, with_leaves

LETTERS = "knmt"  # one that the learner's equation does not use


def parallel(equation: Equation) -> Equation:
    """Another equation of the same form: other numbers, another letter, and a small whole answer where one exists."""
    letter = next(letter for letter in LETTERS if letter != equation.letter)
    kind = equation.solution().kind
    step = next_step(equation)
    if kind == "every":
        raised = _bumped(equation, 1, letter)
        return Equation(raised.left, multiplied_out(raised.left), letter)
    for candidate in _candidates(equation, letter):
        same_step = type(next_step(candidate)) is type(step)
        if candidate.solution().kind == kind and same_step and candidate.text() != equation.text():
            return candidate
    return _bumped(equation, 1, letter)


def _candidates(equation: Equation, letter: str) -> Iterator[Equation]:
    """Numbers raised a little, then one constant set so that a small whole number solves it."""
    for bump in (1, 2, 3):
        raised = _bumped(equation, bump, letter)
        for answer in (5, 4, 6, 3, 7, 8, 2, 9, 10, 12, 15, 20, 24, 30, 36, 45, 60):
            if Fraction(answer) == equation.solution().value:
                continue
            balanced = _solved_by(raised, Fraction(answer))
            if balanced is not None:
                yield balanced
        yield raised


def _bumped(equation: Equation, bump: int, letter: str) -> Equation:
    left, right = (renamed(with_leaves(side, lambda leaf: _raised(leaf, bump)), letter) for side in equation.sides())
    try:
        candidate = Equation(left, right, letter)
        candidate.linear()
    except OutOfScope:
        return Equation(renamed(equation.left, letter), renamed(equation.right, letter), letter)
    return candidate


def _raised(number: Number | Unknown, bump: int) -> Expression:
    if isinstance(number, Unknown):
        return number
    if number.value.denominator == 1 and number.value > 1:
        return Number(number.value + bump)
    return constant(number.value + bump, decimals=True) if number.written else number


def _solved_by(equation: Equation, answer: Fraction) -> Equation | None:
    """The equation with a lone number on one side, or a number added to one side, set so that ``answer`` solves it."""
    left, right = equation.linear()
    if left.coefficient == right.coefficient:
        return None
    for swap in (False, True):
        turned = equation.swapped() if swap else equation
        due = linear(turned.left).at(answer) - linear(turned.right).at(answer)
        fitted = _with_constant(turned.right, due)
        if fitted is not None:
            made = Equation(turned.left, fitted, equation.letter)
            return made.swapped() if swap else made
    return None


def _with_constant(side: Expression, more: Fraction) -> Expression | None:
    """The side with its number changed by ``more``; None where it has no number, or would lose it or its sign."""
    if more.denominator != 1:
        return None
    found = parts(side)
    numbers = [part for part in found if part.is_constant]
    if len(numbers) != 1 or numbers[0].coefficient.denominator != 1:
        return None
    new = numbers[0].coefficient + more
    if new * numbers[0].coefficient <= 0 or abs(new) > 200:
        return None
    if len(found) == 1:
        return whole(int(new))
    if not isinstance(side, Sum):
        return None
    terms = tuple(
        SignedTerm(term.sign, Number(abs(new))) if isinstance(term.body, Number) else term for term in side.terms
    )
    return Sum(terms)
