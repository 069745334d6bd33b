"""How far a line is from the unknown alone: what "closer" means.

A line is closer than another when less is left to do, compared in this order (our choice, after the trade's
own order of work; no published measure was found):

1. the inverse operations still needed once like terms are collected: gather the unknown on one side, take the
   constant away, undo each part of the coefficient; a negative coefficient counts half an operation more;
2. the writing still to be tidied: brackets, fractions, like terms not collected;
3. a common factor of every number in the line.
"""

from collections.abc import Callable
from fractions import Fraction
from math import gcd

from dialogue.algebra.equation import Equation
from dialogue.algebra.exact import Exact
from dialogue.algebra.terms import collected, flat, parts
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown, has_unknown, walk

NEGATIVE_COEFFICIENT = Fraction(1, 2)
BRACKET, FRACTION, UNCOLLECTED = 2, 2, 1  # opening a bracket or clearing a fraction may leave like terms behind


def comes_closer(before: Equation, after: Equation) -> bool:
    """Whether less is left to do on the later line, by the first measure in which they differ."""
    for measure in MEASURES:
        now, then = measure(after), measure(before)
        if now != then:
            return now < then
    return False


def operations_left(equation: Equation) -> Fraction:
    """Inverse operations still needed on the collected line; 0 once the unknown is alone or gone."""
    left, right = equation.linear()
    both = Fraction(left.coefficient != 0 and right.coefficient != 0)
    if left.coefficient == right.coefficient:
        spare = Fraction(1, 2) if both and left.constant and right.constant else 0
        return both + spare
    choices = []
    if left.coefficient or not right.coefficient:
        choices.append((left.constant, left.coefficient - right.coefficient))
    if right.coefficient:
        choices.append((right.constant, right.coefficient - left.coefficient))
    return both + min((constant != 0) + _undoing(coefficient) for constant, coefficient in choices)


def _undoing(coefficient: Exact) -> Fraction:
    if coefficient == 1:
        return Fraction(0)
    if coefficient == -1:
        return Fraction(1)
    count = (abs(coefficient.numerator) != 1) + (coefficient.denominator != 1)
    return Fraction(count) + (NEGATIVE_COEFFICIENT if coefficient < 0 else 0)


def _tidying(equation: Equation) -> int:
    return untidy(equation.left) + untidy(equation.right)


def untidy(side: Expression) -> int:
    """How much of a side is only writing: brackets, fractions and like terms not collected."""
    if isinstance(side, Number | Unknown):
        return FRACTION * _is_mixed(side)
    brackets = fractions = unreduced = 0
    for piece in walk(side):
        match piece:
            case Quotient(top, bottom):
                fractions += 1
                unreduced += _in_lowest_terms(top, bottom) is False
                brackets += isinstance(top, Sum)
            case Number():
                fractions += _is_mixed(piece)
            case Product(factors):
                brackets += sum(isinstance(factor, Sum) for factor in factors)
            case Negative(Sum()):
                brackets += 1
            case Sum(terms):
                brackets += sum(term.sign < 0 and isinstance(term.body, Sum) for term in terms)
    spare = _pieces(side) - len(collected(flat(parts(side))))
    return BRACKET * brackets + FRACTION * fractions + UNCOLLECTED * (max(spare, 0) + unreduced)


def _is_mixed(piece: Expression) -> bool:
    """A mixed number, 2 1/2: a fraction as written, where a decimal is not."""
    return isinstance(piece, Number) and piece.value.denominator != 1 and "." not in piece.written


def _in_lowest_terms(top: Expression, bottom: Expression) -> bool | None:
    """Of a fraction of two whole numbers; None for any other."""
    if isinstance(top, Number) and isinstance(bottom, Number) and bottom.value:
        return (top.value / bottom.value).denominator == bottom.value
    return None


def _pieces(side: Expression) -> int:
    """How many terms are written on a side, a number worked out in several pieces counting each piece."""
    if isinstance(side, Sum):
        return sum(_pieces(term.body) or 1 for term in side.terms)  # x + 0 has a term too many
    if isinstance(side, Product) and not has_unknown(side):
        return len(side.factors)
    if any(isinstance(piece, Sum) for piece in walk(side)):
        return len(flat(parts(side)))
    return 1


def _common_factor(equation: Equation) -> int:
    """Of every number in the line; 1 where there is none, or where the unknown has gone and nothing is left to do."""
    left, right = equation.linear()
    if not (left.coefficient or right.coefficient):
        return 1
    numbers = (left.coefficient, left.constant, right.coefficient, right.constant)
    if any(number.denominator != 1 for number in numbers):
        return 1
    return gcd(*(int(number) for number in numbers))


MEASURES: tuple[Callable[[Equation], Exact], ...] = (operations_left, _tidying, _common_factor)
