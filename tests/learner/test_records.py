"""Attempts from a real lesson's records, and what counts as a variation."""

import pytest
from logs import record

from dialogue.algebra.equation import read_equation
from dialogue.learner.families import draw
from dialogue.learner.history import Attempt
from dialogue.learner.records import GivenTask, attempts, is_variation, stage_of
from dialogue.learner.stages import stages
from dialogue.tutor import begin, step
from dialogue.tutor.core.state import Plan, Task, Utterance


def lesson(*said: str) -> list[Attempt]:
    """A lesson on one equation of stage 6, as the tutor records it."""
    equation = read_equation("4n + 9 = 37")
    turn = begin(Plan((Task(equation, 6),), faded=(("operations", 9), ("first", 9))))
    records = []
    for text in said:
        turn = step(turn.state, Utterance(text))
        records.append(turn.record)
    return list(attempts([GivenTask(equation, 6)], records, lesson=2, day=5))


def test_a_wrong_line_is_a_failure_and_names_its_idea() -> None:
    (attempt,) = lesson("4n = 46", "I added nine")  # the tutor asks why before it says anything
    assert (attempt.right, attempt.stage, attempt.lesson, attempt.day) == (False, 6, 2, 5)
    assert attempt.ideas == (("both-sides", False),)
    assert attempt.equation == "4*n + 9 = 37"


def test_a_lesson_left_at_once_is_no_attempt() -> None:
    assert lesson("stop") == []


def test_prompted_and_right() -> None:
    records = [
        record(task=0, balanced=True, level="prompted", event="right"),
        record(task=0, level="independent", event="value", solved="4*n + 9 = 37"),
    ]
    (attempt,) = attempts([GivenTask(read_equation("4n + 9 = 37"), 6)], records, 1, 0)
    assert (attempt.right, attempt.help, attempt.success) == (True, "prompted", False)


def test_equations_of_no_stage_are_left_out() -> None:
    assert list(attempts([GivenTask(read_equation("3x = 12"), 0)], [record(task=0, event="right")], 1, 0)) == []


@pytest.mark.parametrize("number", [each.number for each in stages()])
def test_the_first_of_each_set_is_no_variation_and_every_stage_has_one(number: int) -> None:
    for seed in range(3):
        drawn = draw(number, seed, 25)
        assert not is_variation(drawn[0].equation, number)
        assert any(is_variation(task.equation, number) for task in drawn)
        for task in drawn:
            assert is_variation(task.equation, number) == task.is_variation, task.equation.text()


@pytest.mark.parametrize("number", [each.number for each in stages()])
def test_every_equation_of_a_stage_is_found_to_be_of_it(number: int) -> None:
    assert {stage_of(task.equation) for task in draw(number, 3, 60)} == {number}


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("3x + 2 = 14", 6), ("4n = 52", 3), ("3x = 5", 5), ("x + 2 = 1", 5), ("7n - 26 = -47", 8),
        ("8n + 3 = 5n + 21", 11), ("4n + 17 = 9n + 2", 12), ("(x + 1)/2 = 3", 7), ("5 = x", 0),
        ("2(x + 1) = 3(x - 4)", 0), ("3x = 3x + 1", 0),
        ("2n - 3n = n + 9", 0),
    ],
)  # fmt: skip
def test_an_equation_of_somebodys_own_has_the_stage_of_its_form(text: str, number: int) -> None:
    assert stage_of(read_equation(text)) == number


def test_in_the_pre_check_a_skip_is_an_attempt_and_elsewhere_none() -> None:
    equation = read_equation("4n + 9 = 37")
    records = [record(task=0, event="skip", phase="move")]
    assert [each.right for each in attempts([GivenTask(equation, 6, "place")], records, 1, 0)] == [False]
    assert list(attempts([GivenTask(equation, 6, "practice")], records, 1, 0)) == []
