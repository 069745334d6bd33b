"""Exact numbers: whole ones as int, others as Fraction, and never a float."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialogue.algebra.exact import Exact, exact, over, size

numbers: st.SearchStrategy[Exact] = st.one_of(
    st.integers(-999, 999), st.fractions(-99, 99, max_denominator=60), st.fractions(-99, 99, max_denominator=1)
)


@given(numbers, numbers.filter(bool))
def test_dividing_is_exact(top: Exact, bottom: Exact) -> None:
    quotient = over(top, bottom)
    assert quotient == Fraction(top) / Fraction(bottom)
    assert type(quotient) is (int if quotient.denominator == 1 else Fraction)


@given(numbers)
def test_size_and_exact_keep_the_value(value: Exact) -> None:
    assert size(value) == abs(Fraction(value))
    assert exact(Fraction(value)) == value
    assert hash(exact(Fraction(value))) == hash(Fraction(value))


def test_nothing_is_divided_by_zero() -> None:
    with pytest.raises(ZeroDivisionError):
        over(3, 0)
