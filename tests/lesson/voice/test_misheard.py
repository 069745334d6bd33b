"""Which numbers are read back however well they were heard."""

import pytest

from chattutor.lesson.voice.misheard import is_easily_misheard


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
