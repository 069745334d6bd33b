"""After which words a turn may end with a short pause, and after which a learner is given time."""

import pytest

from chattutor.lesson.voice.completeness import is_whole
from dialogue.acts import Expecting

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
    assert is_whole(text, expecting)


@pytest.mark.parametrize(("expecting", "text"), FRAGMENTS)
def test_after_a_fragment_more_is_waited_for(expecting: Expecting, text: str) -> None:
    assert not is_whole(text, expecting)
