"""The wrong rules by error id.

A line rule turns a line into wrong lines. A result rule spoils what a right step gives: it sees the line before
and the right line after, because learners write the wrong number straight away.
"""

from collections.abc import Callable, Iterable
from typing import TypeAlias

from dialogue.algebra.board import Board
from dialogue.algebra.misconceptions.rules import (
    brackets,
    collecting,
    documented,
    inverse,
    one_side,
    signs,
    slips,
    unknowns,
)

LineRule: TypeAlias = Callable[[Board], Iterable[Board]]
ResultRule: TypeAlias = Callable[[Board, Board], Iterable[Board]]

CROSSED = ("opposite-on-other-side", "transfer-without-sign-change", "same-operation")

# the ids that explain the wrong line equally well, and the rule
LINE_RULES: tuple[tuple[tuple[str, ...], LineRule], ...] = (
    (CROSSED, inverse.crossed_keeping_sign),
    (("multiply-instead-of-divide", "same-operation"), inverse.multiplied_again),
    (("divide-instead-of-multiply", "same-operation"), inverse.divided_again),
    (("subtract-coefficient",), inverse.coefficient_subtracted),
    (("reciprocal-division",), inverse.divided_the_wrong_way_round),
    (("one-side-only",), one_side.term_dropped),
    (("one-side-only",), one_side.coefficient_dropped),
    (("one-side-only",), one_side.term_taken_from_other),
    (("one-side-only",), one_side.coefficient_undone_on_other),
    (("one-side-only",), one_side.side_scaled),
    (("combine-unlike-terms",), collecting.unlike_joined),
    (("partial-distribution",), brackets.part_multiplied),
    (("distribution-sign",), brackets.sign_lost),
    (("like-terms-sign",), signs.like_terms),
    (("sign-drop",), signs.negative_lost),
    (("order-reversed",), inverse.inner_number_first),
    (("divide-one-term-only",), collecting.divided_some),
    (("multiply-one-term-only",), collecting.multiplied_some),
    (("order-reversed",), collecting.undone_out_of_order),
    (("divide-by-unknown",), unknowns.divided_by_unknown),
    (("reversed-subtraction",), documented.subtraction_turned_round),
    (("turned-difference",), documented.difference_turned_round),
    (("detached-minus",), documented.minus_detached),
    (("coefficient-as-digit",), documented.coefficient_as_digit),
    (("unknown-as-number",), documented.coefficients_collected_as_numbers),
)

RESULT_RULES: tuple[tuple[tuple[str, ...], ResultRule], ...] = (
    (("sign-drop",), slips.sign_lost),
    (("decimal-point-slip",), slips.point_misplaced),
    (("arithmetic-slip",), slips.slipped),
    (("number-line",), documented.directed_numbers),
)

# unusual ways of making an error, and how much less likely than its usual way (our choice)
UNUSUAL: frozenset[LineRule] = frozenset(
    {one_side.term_taken_from_other, one_side.coefficient_undone_on_other, one_side.side_scaled}
)
RARE = 0.4

# wrong tidying: run together with the step after it, as right tidying is, so no line of its own in a jump to the answer
TIDYING: frozenset[LineRule] = frozenset(
    {
        brackets.part_multiplied,
        brackets.sign_lost,
        signs.like_terms,
        collecting.unlike_joined,
        documented.minus_detached,
        documented.difference_turned_round,
    }
)

# rules that one belief uses on two terms or on both sides of a line
TWICE: tuple[tuple[tuple[str, ...], LineRule], ...] = tuple(
    row
    for row in LINE_RULES
    if row[1]
    in {
        inverse.crossed_keeping_sign,
        one_side.term_dropped,
        collecting.unlike_joined,
        brackets.part_multiplied,
        brackets.sign_lost,
        signs.like_terms,
    }
)
