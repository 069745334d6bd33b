"""Slip or pattern, what tells explanations apart, and the wrong answers an equation draws."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_misconceptions import equations

from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import error_table, explain, wrong_answers
from dialogue.algebra.misconceptions.consistency import ObservedStep, can_be_made, weigh
from dialogue.algebra.misconceptions.discriminate import (
    SURE,
    TOLD,
    beliefs_of,
    information,
    leading,
    next_equation,
    questions,
    uncertainty,
    updated,
)
from dialogue.algebra.misconceptions.explained_moves import what_was_done
from dialogue.algebra.moves import Line, Move, Rewrite
from dialogue.algebra.reading import read_expression


def attempt(equation: str, line: str, corrected: bool = False) -> ObservedStep:
    before = read_equation(equation)
    return ObservedStep(before, explain(before, Line(read_equation(line, before.letter))), corrected)


def test_one_instance_is_a_slip() -> None:
    found = weigh([attempt("7*x = 91", "x = 84")])
    assert found.patterns == ()
    assert len(found.slips) == 1


def test_the_same_error_on_two_equations_is_a_pattern() -> None:
    """Payne & Squibb 1990: wrong rules are unstable, so one instance is never enough."""
    steps = [attempt("7*x = 91", "x = 84"), attempt("6*x + 5 = 71", "x = 60")]
    found = weigh(steps)
    assert [pattern.error for pattern in found.patterns] == ["subtract-coefficient"]
    assert [equation.text() for equation in found.patterns[0].equations] == ["7*x = 91", "6*x + 5 = 71"]


def test_twice_on_the_same_equation_is_no_pattern() -> None:
    assert weigh([attempt("7*x = 91", "x = 84")] * 2).patterns == ()


def test_a_corrected_line_is_a_strength_and_no_evidence() -> None:
    steps = [attempt("7*x = 91", "x = 84", corrected=True), attempt("6*x = 78", "x = 72")]
    found = weigh(steps)
    assert found.patterns == ()
    assert found.mended == (steps[0],)


def test_old_errors_no_longer_count() -> None:
    right = [attempt(f"x + {number} = 50", f"x = {50 - number}") for number in range(10, 20)]
    assert weigh([attempt("7*x = 91", "x = 84"), *right, attempt("6*x = 78", "x = 72")]).patterns == ()


def test_what_lines_cannot_tell_apart_is_named_together() -> None:
    found = weigh([attempt("x + 19 = 43", "x = 62"), attempt("x + 28 = 61", "x = 89")])
    assert set(found.patterns[0].errors) == {
        "opposite-on-other-side",
        "transfer-without-sign-change",
        "same-operation",
    }


def test_one_idea_shown_by_multiplying_and_by_dividing_is_one_pattern() -> None:
    """Some of the terms only, whichever the operation; and undoing in another order says as much."""
    lines = [("n/4 + 3 = 10", "n + 3 = 40"), ("n/2 + 5 = 9", "n + 5 = 18"), ("3*n + 6 = 21", "n + 6 = 7")]
    (found,) = weigh([attempt(*each) for each in lines]).patterns
    assert found.errors == ("multiply-one-term-only", "divide-one-term-only", "order-reversed")
    assert [equation.text() for equation in found.equations] == [equation for equation, _ in lines]
    (alone,) = weigh([attempt(*each) for each in (lines[2], ("4*n + 8 = 40", "n + 8 = 10"))]).patterns
    assert alone.errors == ("divide-one-term-only", "order-reversed")


def test_an_equation_leaves_room_for_an_error_or_does_not() -> None:
    bracket, other, plain = (read_equation(text) for text in ("4*(n + 3) = 44", "5*(n + 2) = 60", "n + 3 = 9"))
    assert can_be_made(bracket, "partial-distribution")
    assert can_be_made(other, "partial-distribution")
    assert not can_be_made(plain, "partial-distribution")


def test_wrong_answers_are_the_ones_worked_out_by_hand() -> None:
    """4n + 9 = 37 (answer 7): each wrong rule done once, the rest rightly; worked by hand."""
    found = wrong_answers(read_equation("4*n + 9 = 37"))
    first = {error: values[0] for error, values in found.items()}
    assert first["opposite-on-other-side"] == Fraction(46, 4)
    assert first["subtract-coefficient"] == 24
    assert first["reciprocal-division"] == Fraction(4, 28)
    assert first["multiply-instead-of-divide"] == 112
    assert first["combine-unlike-terms"] == Fraction(37, 13)
    assert first["one-side-only"] == Fraction(37, 4)
    assert first["divide-one-term-only"] == Fraction(1, 4)
    assert first["order-reversed"] == Fraction(1, 4)


def test_an_error_that_gives_the_right_answer_is_left_out() -> None:
    """2x = 4: taking 2 away gives the right answer; with 7x = 91 it does not."""
    assert "subtract-coefficient" not in wrong_answers(read_equation("2*x = 4"))
    assert "subtract-coefficient" in wrong_answers(read_equation("7*x = 91"))


@given(st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_wrong_answers_are_wrong_and_explained(seed: int) -> None:
    equation = equations(seed)
    right = equation.solution().value
    for error, values in wrong_answers(equation).items():
        assert error in error_table()
        assert right not in values
        line = Line(read_equation(f"x = {values[0]}"))
        assert explain(equation, line), (equation.text(), error, values[0])


def test_the_question_that_tells_most() -> None:
    """A term crossed: what was done to the unknown's side parts all three ids, the other side only two."""
    found = attempt("x + 19 = 43", "x = 62").explanations
    asked = questions(found)
    assert [question.kind for question in asked] == ["own", "facing"]
    assert asked[0].ask("x") == "What did you do to the side with x?"
    beliefs = updated(beliefs_of(found), asked[0].expected, asked[0].expected["same-operation"], TOLD)
    assert max(beliefs, key=lambda error: beliefs[error]) == "same-operation"


TOLD_OF_A_SIDE = [
    ("x + 19 = 43", ("subtract", "19"), "undid"),
    ("x + 19 = 43", ("add", "19"), "repeated"),
    ("x + 19 = 43", ("transfer", "19"), "moved"),
    ("7*x = 91", ("divide", "7"), "undid"),
    ("7*x = 91", ("multiply", "7"), "repeated"),
    ("7*x = 91", ("subtract", "7"), "took the coefficient"),
    ("7*x = 91", ("add", "5"), "other"),
    ("x/4 + 1 = 6", ("multiply", "4"), "undid"),
]


@pytest.mark.parametrize(("equation", "told", "comes_to"), TOLD_OF_A_SIDE)
def test_what_an_account_comes_to(equation: str, told: tuple[str, str], comes_to: str) -> None:
    move = Move(told[0], read_expression(told[1]), "left")  # type: ignore[arg-type]
    assert what_was_done(read_equation(equation), move) == comes_to


def test_an_account_of_no_move() -> None:
    assert what_was_done(read_equation("7*x = 91"), None) == "nothing"
    assert what_was_done(read_equation("7*x = 91"), Rewrite("collect")) == "rewrote"


def test_nothing_to_ask_when_one_error_explains() -> None:
    assert questions(attempt("7*x = 91", "x = 84").explanations[:1]) == ()


def test_the_next_equation_parts_what_coincided() -> None:
    """Coefficient taken away, or divided the wrong way round: 7n = 91 gives 84 for one and 13 for the other."""
    beliefs = {"subtract-coefficient": 0.5, "reciprocal-division": 0.5}
    same, apart = read_equation("n + 19 = 43"), read_equation("7*n = 91")
    chosen = next_equation(beliefs, [same, apart])
    assert chosen is not None
    assert chosen.equation == apart
    assert chosen.expected == {"subtract-coefficient": 84, "reciprocal-division": Fraction(1, 13)}
    assert next_equation(beliefs, [same]) is None


def test_information_is_a_coins() -> None:
    """One bit for a fair coin seen for certain, none for one not seen (Shannon 1948)."""
    beliefs = {"a": 0.5, "b": 0.5}
    assert information(beliefs, {"a": 1, "b": 2}, 1.0) == pytest.approx(1.0)
    assert information(beliefs, {"a": 1, "b": 1}, 1.0) == 0.0
    assert 0 < information(beliefs, {"a": 1, "b": 2}, 0.8) < 1
    assert uncertainty([0.25] * 4) == pytest.approx(2.0)


def test_updating_follows_bayes() -> None:
    after = updated({"a": 0.5, "b": 0.5}, {"a": 1, "b": 2}, 1, 0.8)
    assert after == pytest.approx({"a": 0.8, "b": 0.2})
    assert updated(after, {"a": 1, "b": 2}, 7, 0.8) == after
    assert leading({"a": SURE, "b": 1 - SURE}) == "a"
    assert leading({"a": 0.6, "b": 0.4}) is None
