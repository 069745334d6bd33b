"""Which number of a turn counts: decimal commas, corrections, checks, results of sums. The turns are invented."""

from fractions import Fraction

import pytest

from dialogue.algebra.equation import read_equation
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step

FADED = (("operations", 4), ("first", 2))


def _typed(equation: str, *said: str, after: str = "9y + 4 = 67") -> Turn:
    turn = begin(Plan((Task(read_equation(equation)), Task(read_equation(after))), 1, FADED))
    for text in said:
        turn = step(turn.state, Utterance(text))
    return turn


def _words(turn: Turn) -> str:
    return " ".join(reply.text for reply in turn.replies)


@pytest.mark.parametrize(
    ("equation", "said", "guess"),
    [
        ("12n + 5 = 8n + 31", "take 8n, 4n = 26, so n = 6,5. easy", "13/2"),
        ("12n + 5 = 8n + 31", "6,5", "13/2"),
        ("12n + 5 = 8n + 31", "4n = 26, n = 5,75?", "23/4"),
        ("12n + 5 = 8n + 31", "n = 6, 5 is too small", "6"),
    ],
)
def test_a_decimal_comma_is_a_point(equation: str, said: str, guess: str) -> None:
    assert _typed(equation, said).state.guess == Fraction(guess)


def test_decimal_commas_in_a_check_are_points() -> None:
    turn = _typed("12n + 5 = 8n + 31", "n = 6,5", "12*6,5 + 5 = 83. 8*6,5 + 31 = 83")
    assert turn.state.solved == (0,)
    wrong = _typed("12n + 5 = 8n + 31", "n = 5,5", "12*5,5 + 5 = 71. 8*5,5 + 31 = 75")
    assert not wrong.state.solved and "71" in _words(wrong)
