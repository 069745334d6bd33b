"""Turns with something divided by nothing in them, among ordinary words: never an end of the lesson."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from test_helped import _typed

WORDS = (
    "my", "away", "3 / n", "undo", "-3", "divide", "2.5", "the", "0", "5/0", "n/0", "=", "is", "not", "no", "sorry",
    "both", "sides", "left", "right", "20/4", "and", ",", ".", "?", "why", "plus", "minus", "times", "half of 0", "so",
)  # fmt: skip
TURN = st.lists(st.sampled_from(WORDS), min_size=1, max_size=8).map(" ".join)


@pytest.mark.parametrize("said", ["not 5. 5/0", "no, not 5. 7/0", "n = 5/0", "5/0", "its 7/0 i think", "0/0 = 1"])
def test_a_number_divided_by_nothing_is_no_answer(said: str) -> None:
    turn = _typed("n + 3 = 10", "n = 5", said)
    assert turn.state.phase != "done" and turn.replies


@given(st.sampled_from(["2(n + 1) = 10", "n/4 - 1 = 2", "19 - 4n = 7"]), st.lists(TURN, min_size=1, max_size=4))
@example("2(n + 1) = 10", ["3 / n 3 / n undo 3 / n 3 / n"])  # the unknown below a line, among moves
@settings(max_examples=60, deadline=None)
def test_no_turn_ends_a_lesson_unasked(equation: str, turns: list[str]) -> None:
    assert _typed(equation, *turns).replies
