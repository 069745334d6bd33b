"""The unknown's letter, as a recogniser writes its name: read beside a number, and never taken out of ordinary talk."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Line
from dialogue.understanding.interpret import interpret
from dialogue.understanding.letter_names import SOUNDS, TALK, with_letter

NAMED = [(name, letter) for letter, names in SOUNDS.items() for name in names]
NUMBERS = st.sampled_from(["two", "three", "4", "seven", "12"])
AFTER = ["equals nine", "= 9", "from both sides", "off each side"]
OPERATED = ["plus five equals nine", "minus six", "times two", "over three"]


@given(NUMBERS, st.sampled_from(NAMED), st.sampled_from(AFTER))
def test_a_name_between_a_number_and_what_follows_a_letter_is_the_letter(
    number: str, named: tuple[str, str], after: str
) -> None:
    name, letter = named
    assert with_letter(f"so {number} {name} {after}", letter) == f"so {number} {letter} {after}"


@given(NUMBERS, st.sampled_from([one for one in NAMED if one[0] not in TALK]), st.sampled_from(["", *OPERATED]))
def test_a_name_that_is_no_talk_is_the_letter_at_the_end_and_before_an_operation(
    number: str, named: tuple[str, str], after: str
) -> None:
    name, letter = named
    text = f"um {number} {name} {after}".strip()
    assert with_letter(text, letter) == text.replace(f" {name}", f" {letter}", 1)


@given(st.sampled_from(NAMED), st.sampled_from(["", "so", "plus five", "equals nine", "from both sides"]))
def test_without_a_number_before_it_nothing_is_a_letter(named: tuple[str, str], after: str) -> None:
    name, letter = named
    for before in ("", "did", "both", "the other", "plus"):
        text = f"{before} {name} {after}"
        assert with_letter(text, letter) == text


@given(NUMBERS, st.sampled_from(NAMED), st.sampled_from("abcdefghijklmnopqrstuvwxyz"))
def test_only_the_letter_on_the_board_is_meant(number: str, named: tuple[str, str], letter: str) -> None:
    name, _ = named
    text = f"{number} {name} equals nine"
    if name not in SOUNDS[letter] and (letter, name) != ("e", "he"):
        assert with_letter(text, letter) == text


@pytest.mark.parametrize(
    ("text", "letter"),
    [
        ("if it's plus four you minus four", "u"),
        ("nine is five and you know it", "u"),
        ("add four he reckons, to the two of them", "e"),
        ("four he shouted it the whole corridor heard", "e"),
        ("it's five see", "c"),
        ("plus five why", "y"),
        ("there are three. Are you sure", "r"),
        ("what would five be", "b"),
        ("subtract four okay", "k"),
        ("my brother is four and he is a bus", "e"),
    ],
)
def test_talk_stays_talk(text: str, letter: str) -> None:
    assert with_letter(text, letter) == text


@pytest.mark.parametrize(
    ("text", "letter", "equation"),
    [
        ("three yew minus three equals nine", "u", "3*u - 3 = 9"),
        ("five why plus five equals thirty", "y", "5*y + 5 = 30"),
        ("three he equals twelve", "e", "3*e = 12"),
        ("twelve minus two you equals six", "u", "12 - 2*u = 6"),
    ],
)
def test_a_line_in_a_recognisers_spelling_is_the_line(text: str, letter: str, equation: str) -> None:
    assert interpret(text, "equation", letter).acts == (Line(read_equation(equation, letter)),)
