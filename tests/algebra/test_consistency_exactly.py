"""Patterns, beliefs and what moves and verdicts are blamed for, exactly: rows of exact results."""

import tomllib
from math import log2
from pathlib import Path

import pytest
from test_consistency import attempt

from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import Explanation, error_table, explain
from dialogue.algebra.misconceptions.consistency import ObservedStep, can_be_made, share, weigh
from dialogue.algebra.misconceptions.discriminate import (
    REPEATED,
    beliefs_of,
    expected_answers,
    information,
    leading,
    next_equation,
    questions,
    uncertainty,
    updated,
)
from dialogue.algebra.misconceptions.explained_moves import what_was_done
from dialogue.algebra.moves import Move, Verdict
from dialogue.algebra.reading import read_expression

ACCOUNTS = tomllib.loads((Path(__file__).parent / "data" / "accounts.toml").read_text("utf-8"))

# steps named: the equation and the line written; a last word "mended" for one the learner mended unasked
STEPS = {
    "taken 1": "7x = 91 -> x = 84",
    "taken 2": "6x + 5 = 71 -> x = 60",
    "taken 3": "9x = 27 -> x = 18",
    "taken or slip": "4n = 8 -> n = 4",
    "slip 1": "8 + x = 91 -> x = 82",
    "slip 2": "x + 38 = 81 -> x = 42",
    "slip 3": "x + 14 = 35 -> x = 20",
    "crossed 1": "x + 19 = 43 -> x = 62",
    "crossed 2": "x + 28 = 61 -> x = 89",
    "crossed 3": "x + 7 = 12 -> x = 19",
    "part 1": "4(x + 3) = 44 -> 4x + 3 = 44",
    "part 2": "5(n + 2) = 60 -> 5n + 2 = 60",
    "sign or part 1": "50 - (x + 7) = 30 -> 50 - x + 7 = 30",
    "sign or part 2": "40 - (x + 2) = 30 -> 40 - x + 2 = 30",
    "lost": "3x + 2 = 23 -> x = 40",
}
RIGHT = [f"x + {number} = 50 -> x = {50 - number}" for number in range(10, 20)]

CROSSED = "opposite-on-other-side transfer-without-sign-change same-operation"
TAKEN_TOO = "opposite-on-other-side transfer-without-sign-change subtract-coefficient same-operation"

# steps in order; the patterns found; how many slips are left over; what the newest step is part of
WEIGHED = [
    ("taken 1", "", 1, "slip"),
    ("taken 1, taken 2", "subtract-coefficient on 2", 0, "pattern"),
    ("taken 1, taken 1, taken 2", "subtract-coefficient on 2", 0, "pattern"),
    ("taken 1, 5 right, taken 2", "subtract-coefficient on 2", 0, "pattern"),
    ("taken 1, 6 right, taken 2", "subtract-coefficient on 2", 0, "pattern"),  # eight equations
    ("taken 1, 7 right, taken 2", "", 1, "slip"),  # nine
    ("taken 1, taken 2, taken 2, 6 right", "subtract-coefficient on 2", 0, "slip"),
    ("taken 1, taken 2, 7 right", "", 1, "slip"),
    ("taken 1, taken 2, slip 2", "subtract-coefficient on 2", 1, "slip"),
    ("taken 1, taken 2, lost", "subtract-coefficient on 2", 0, "slip"),
    ("taken or slip, taken 1", "subtract-coefficient on 2", 0, "pattern"),
    ("slip 1, slip 2", "", 2, "slip"),  # slips happen to everybody
    ("slip 1, slip 2, slip 3", "arithmetic-slip on 3", 0, "pattern"),
    ("crossed 1, crossed 2", f"{CROSSED} on 2", 0, "pattern"),
    ("taken 1, taken 2, crossed 1, crossed 2", f"{TAKEN_TOO} on 2", 0, "pattern"),  # two and two: none is told apart
    ("taken 1, taken 2, crossed 1, crossed 2, crossed 3", f"{CROSSED} on 3", 2, "pattern"),  # a second needs three
    ("taken 1, taken 2, taken 3, crossed 1, crossed 2", "subtract-coefficient on 3", 2, "slip"),
    ("taken 1, taken 2, taken 3, part 1, part 2", "subtract-coefficient on 3", 2, "slip"),
    ("part 1, part 2", "partial-distribution on 2", 0, "pattern"),
    ("sign or part 1, sign or part 2", "distribution-sign partial-distribution on 2", 0, "pattern"),
    ("sign or part 1, sign or part 2, part 1", "partial-distribution on 3", 0, "pattern"),
    ("part 1, sign or part 1", "partial-distribution on 2", 0, "pattern"),
]


def steps_of(names: str) -> list[ObservedStep]:
    found: list[ObservedStep] = []
    for name in names.split(", "):
        number = name.removesuffix(" right")
        texts = RIGHT[: int(number)] if number != name else [STEPS[name]]
        found += [attempt(*text.split(" -> ")) for text in texts]
    return found


@pytest.mark.parametrize(("names", "patterns", "slips", "newest"), WEIGHED)
def test_weighed(names: str, patterns: str, slips: int, newest: str) -> None:
    steps = steps_of(names)
    found = weigh(steps)
    assert "; ".join(f"{' '.join(one.errors)} on {len(one.equations)}" for one in found.patterns) == patterns
    assert len(found.slips) == slips
    assert found.mended == ()
    errors = {error for pattern in found.patterns for error in pattern.errors}
    named = {explanation.error for explanation in steps[-1].explanations}
    assert ("pattern" if errors & named else "slip") == newest


def test_what_is_mended_is_neither() -> None:
    steps = [attempt("7x = 91", "x = 84", corrected=True), *steps_of("taken 2, taken 3, 1 right")]
    found = weigh(steps)
    assert [one.equation.text() for one in found.mended] == ["7*x = 91"]
    assert [one.text() for one in found.patterns[0].equations] == ["6*x + 5 = 71", "9*x = 27"]


def test_where_an_error_can_be_made() -> None:
    equation = read_equation("7x = 91")
    for error in ("subtract-coefficient", "reciprocal-division", "arithmetic-slip", "solution-refused"):
        assert can_be_made(equation, error), error
    for error in ("partial-distribution", "like-terms-sign", "decimal-point-slip"):
        assert not can_be_made(equation, error), error


def test_shares() -> None:
    assert share([]) == {}
    assert share([Explanation("a", 1, (), 0.0)]) == {"a": 0.0}
    found = attempt("4n = 8", "n = 4").explanations
    assert beliefs_of(found) == pytest.approx({"subtract-coefficient": 0.7, "arithmetic-slip": 0.3})


# the kinds of question in the order of what they tell, with their bits
ASKED = [
    ("x + 19 = 43", "x = 62", "own 0.7823, facing 0.3751"),
    ("4n = 8", "n = 4", "own 0.3328, facing 0.3328, line 0.3328"),
    ("3x + 2 = 11", "x = 13/3", "own 0.7658, facing 0.6702, line 0.1333"),
    ("7x + 2 = 3x - 6", "x = -1", "facing 1.1148, own 1.0672, line 0.7320"),
    ("50 - (x + 7) = 30", "50 - x + 7 = 30", ""),
    ("4(x + 3) = 44", "4x + 3 = 44", ""),
]


@pytest.mark.parametrize(("equation", "line", "asked"), ASKED)
def test_what_questions_tell(equation: str, line: str, asked: str) -> None:
    found = questions(attempt(equation, line).explanations)
    assert ", ".join(f"{one.kind} {one.bits:.4f}" for one in found) == asked


def test_what_each_error_expects() -> None:
    own, facing, first = questions(attempt("3x + 2 = 11", "x = 13/3").explanations)
    crossed = dict.fromkeys(CROSSED.split(), "3*x = 11 + 2")
    assert first.expected == crossed | {"arithmetic-slip": "x - 2/3 = 11/3"}
    assert own.expected["same-operation"] == facing.expected["same-operation"] == "repeated"
    assert (own.expected["opposite-on-other-side"], facing.expected["opposite-on-other-side"]) == ("undid", "repeated")


def test_no_first_line_is_asked_for_where_an_explanation_shows_none() -> None:
    moved = explain(read_equation("x + 4 = 9"), Move("add", read_expression("4"), "left"))
    assert [one.kind for one in questions(moved)] == ["own", "facing"]


def test_information_to_four_places() -> None:
    three = {"a": 0.5, "b": 0.25, "c": 0.25}
    half = 1 - uncertainty([0.8, 0.2])
    assert information({"a": 0.5, "b": 0.5}, {"a": 1, "b": 2}, 0.8) == pytest.approx(half)
    assert information(three, {"a": 1, "b": 2, "c": 3}, 1.0) == pytest.approx(1.5)
    assert information(three, {"a": 1, "b": 2, "c": 2}, 1.0) == pytest.approx(1.0)
    noise = uncertainty([0.8, 0.1, 0.1])  # the answer's own, whichever error it was
    assert information(three, {"a": 1, "b": 2, "c": 3}, 0.8) == pytest.approx(uncertainty([0.45, 0.275, 0.275]) - noise)
    assert information({"a": 1.0, "b": 0.0}, {"a": 1, "b": 2}, 1.0) == 0.0
    assert information(three, {}, 0.8) == 0.0
    assert uncertainty([0.25, 0.75]) == pytest.approx(2 - 0.75 * log2(3))
    assert uncertainty([1.0, 0.0]) == 0.0


def test_updated() -> None:
    three = {"a": 0.5, "b": 0.25, "c": 0.25}
    after = updated(three, {"a": 1, "b": 2, "c": 3}, 2, 0.8)
    assert after == pytest.approx({"a": 2 / 11, "b": 8 / 11, "c": 1 / 11})
    assert updated(three, {"a": 1, "b": 1, "c": 1}, 1, 0.8) == pytest.approx(three)
    assert updated(three, {"a": 1, "b": 2}, 1, 0.8) == pytest.approx({"a": 0.8, "b": 0.1, "c": 0.1})
    assert leading({}) is None
    assert leading({"a": 0.1, "b": 0.9}) == "b"


def test_the_first_of_equal_equations_is_next() -> None:
    beliefs = {"subtract-coefficient": 0.5, "reciprocal-division": 0.5}
    first, second, third = (read_equation(text) for text in ("7n = 91", "6n = 78", "n + 2 = 5"))
    chosen = next_equation(beliefs, [third, first, second])
    assert chosen is not None
    assert chosen.equation == first
    assert chosen.bits == pytest.approx(1 - uncertainty([REPEATED, 1 - REPEATED]))
    assert next_equation(beliefs, []) is None
    assert expected_answers(beliefs, third) == {"subtract-coefficient": 3, "reciprocal-division": 3}
    assert expected_answers(beliefs, read_equation("x + 1 = x")) == {}


@pytest.mark.parametrize("equation", ACCOUNTS["told"])
def test_what_an_account_comes_to(equation: str) -> None:
    before = read_equation(equation)
    for said, comes_to in ACCOUNTS["told"][equation].items():
        operation, operand = said.split()
        move = Move(operation, read_expression(operand, before.letter), "left")  # type: ignore[arg-type]
        assert what_was_done(before, move) == comes_to, said


def blamed(explanations: tuple[Explanation, ...]) -> str:
    """The errors; each as likely as the table has it, and with no lines."""
    table = error_table()
    assert explanations == tuple(Explanation(one.error, 1, (), table[one.error].prior / 1000) for one in explanations)
    return " ".join(one.error for one in explanations)


@pytest.mark.parametrize("equation", ACCOUNTS["blamed"])
def test_what_moves_are_blamed_for(equation: str) -> None:
    before = read_equation(equation)
    for said, errors in ACCOUNTS["blamed"][equation].items():
        operation, operand, sides = said.split()
        move = Move(operation, read_expression(operand, before.letter), sides)  # type: ignore[arg-type]
        assert blamed(explain(before, move)) == errors, said


@pytest.mark.parametrize("equation", ACCOUNTS["verdict"])
def test_what_verdicts_are_blamed_for(equation: str) -> None:
    for kind, errors in ACCOUNTS["verdict"][equation].items():
        assert blamed(explain(read_equation(equation), Verdict(kind))) == errors, kind  # type: ignore[arg-type]
