"""Which numbers are read back however well they were heard; after which words a turn may end with a short pause, and
after which a learner is given time."""

import pytest

from chattutor.lesson.voice.lesson_acceptance import is_easily_misheard, is_whole
from dialogue.acts import Expecting
from dialogue.understanding.interpret import interpret

WHOLE: list[tuple[Expecting, str]] = [
    ("move", "subtract three from both sides"),
    ("move", "subtract three"),
    ("move", "i don't know"),
    ("value", "seven"),
    ("equation", "three x equals twelve"),
    ("yesno", "yes"),
    ("yesno", "no"),
    ("move", "wait"),
]
FRAGMENTS: list[tuple[Expecting, str]] = [
    ("move", "subtract"),
    ("move", "times by seven and"),
    ("move", "subtract three from"),
    ("move", "add two no wait"),
    ("move", "erm"),
    ("equation", "three x equals"),
    ("equation", "three x"),
    ("value", "it is"),
    ("value", ""),
]


@pytest.mark.parametrize(("expecting", "text"), WHOLE)
def test_a_whole_answer_may_end_here(expecting: Expecting, text: str) -> None:
    assert is_whole(text, interpret(text, expecting).acts, expecting)


@pytest.mark.parametrize(("expecting", "text"), FRAGMENTS)
def test_after_a_fragment_more_is_waited_for(expecting: Expecting, text: str) -> None:
    assert not is_whole(text, interpret(text, expecting).acts, expecting)


@pytest.mark.parametrize(
    "text",
    [
        "sixteen",
        "subtract sixty from both sides",
        "x equals twelve",
        "x equals one",
        "five eighths",
        "add an eighth",
        "take seven n from both sides",
        "seventy n",
        "one hundred and thirty",
        "oh",
    ],
)
def test_close_in_sound(text: str) -> None:
    assert is_easily_misheard(text)


@pytest.mark.parametrize("text", ["seven", "twenty five", "x equals nine", "ten", "eleven", "seven x", "add two", ""])
def test_far_from_any_other(text: str) -> None:
    assert not is_easily_misheard(text)
