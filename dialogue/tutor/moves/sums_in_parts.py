"""A sum made smaller for whoever cannot do it in the head: tens first, a near round number, or the sharing turned
round. The result is never said."""

from fractions import Fraction

from dialogue.algebra.linear import linear
from dialogue.algebra.tree import Expression, Number, Product, Quotient, SignedTerm, Sum, constant
from dialogue.verbalising.sayings import Saying

NEAR = 7  # ones from which the next ten is nearer to work with


def smaller_sums(sum_: Expression) -> Saying | None:
    """How to do a sum of two whole numbers in two easier ones; None where it is easy already, or no such sum, or where
    what it comes to would be named by chance."""
    said = _parts(sum_)
    if said is None:
        return None
    named = {part.value for part in said.values.values() if isinstance(part, Number)}
    return None if abs(Fraction(linear(sum_).constant)) in named else said  # "30" says −30 but for its sign


def _parts(sum_: Expression) -> Saying | None:
    match sum_:
        case Sum((SignedTerm(1, Number() as one), SignedTerm(sign, Number() as other))):
            return _added(one, other, sign)
        case Product((Number() as one, Number() as other)):
            return _multiplied(one, other)
        case Quotient(Number() as one, Number() as other) if _whole(one, other):
            return Saying("parts of a share", {"sum": one, "by": other})
    return None


def _added(one: Number, other: Number, sign: int) -> Saying | None:
    if not _whole(one, other) or other.value < 10 or other.value % 10 == 0:
        return None
    ones = other.value % 10
    key = "parts added" if sign > 0 else "parts taken"
    if ones >= NEAR:
        near, rest = constant(other.value + 10 - ones), constant(10 - ones)
        return Saying(f"{key}, near", {"one": one, "two": near, "after": rest})
    return Saying(key, {"one": one, "two": constant(other.value - ones), "after": constant(ones)})


def _multiplied(one: Number, other: Number) -> Saying | None:
    small, large = sorted((one, other), key=lambda number: number.value)
    if not _whole(one, other) or not 2 <= small.value < 10 or large.value < 11 or large.value % 10 == 0:
        return None
    ones = large.value % 10
    return Saying("parts multiplied", {"one": constant(large.value - ones), "two": constant(ones), "by": small})


def _whole(*numbers: Number) -> bool:
    return all(number.value.denominator == 1 and number.value > 0 for number in numbers)
