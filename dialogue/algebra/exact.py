"""Exact numbers where thousands are worked with: a whole number as an int, any other as a Fraction.

The two compare, hash and add alike; an int is several times faster. Only division needs care, because ``/`` between
ints gives a float: divide with ``over``.
"""

from fractions import Fraction
from typing import TypeAlias

Exact: TypeAlias = int | Fraction


def exact(value: Fraction) -> Exact:
    """The same number, as an int where it is whole."""
    return value.numerator if value.denominator == 1 else value


def over(top: Exact, bottom: Exact) -> Exact:
    """``top / bottom``. Raises ZeroDivisionError."""
    if isinstance(top, int) and isinstance(bottom, int):
        whole, rest = divmod(top, bottom)
        return Fraction(top, bottom) if rest else whole
    return exact(Fraction(top) / bottom)


def size(value: Exact) -> Exact:
    """The number without its sign."""
    return -value if value < 0 else value
