"""What players met in lessons with the tutor and was mended: corrections that stick, a no to stopping, an order that is
never confirmed falsely, and numbers that are none. The turns are invented."""

from fractions import Fraction

import pytest

from dialogue.acts import Control, Describe
from dialogue.algebra.equation import read_equation
from dialogue.algebra.operations import operations_on
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.interpret_in_lesson import interpret_in_lesson
from dialogue.tutor.session import begin, step


def _last(equation: str, *turns: str, fresh: bool = False) -> Turn:
    tasks = (Task(read_equation(equation)), Task(read_equation("9n + 4 = 67")))
    turn = begin(Plan(tasks, 1, () if fresh else (("operations", 4), ("first", 2))))
    for said in turns:
        turn = step(turn.state, Utterance(said))
    return turn


def _keys(turn: Turn) -> list[str]:
    return [reply.key for reply in turn.replies]


def test_for_is_no_four_where_digits_are_typed() -> None:
    turn = _last(
        "61 = 8n + 13", "I pass the 13 to the other side, becomes 48 = 8n", "Divide for 8 the two sides. n = 6. Easy"
    )
    said = " ".join(reply.text for reply in turn.replies)
    assert "divided by 8" in said and "by 4" not in said and turn.state.guess == 6


@pytest.mark.parametrize(
    "said", ["minuss 4 both sides! n = 41. i mean 14 oops", "take 4 off both sides. n = 41, i meant 14"]
)
def test_the_answer_that_was_meant_is_the_one_that_is_tested(said: str) -> None:
    assert _last("5(n + 4) = 90", "n + 4 = 18", said).state.guess == 14


def test_while_an_answer_is_put_in_the_one_that_was_meant_takes_its_place() -> None:
    turn = _last("5(n + 4) = 90", "n = 41", "no 41 was a typo i ment 14!! 14 + 4 is 18, times 5 is 90 yay")
    assert "answer fits" in _keys(turn) or "answer fits, praised" in _keys(turn)


def test_who_goes_on_with_a_step_does_not_stop_and_is_asked_no_more() -> None:
    asked = _last("98 = n + 58", "my dad hits me")
    assert asked.state.phase == "offer stop"
    said = "Tell an adult? I am an adult. I meant the balance. No, I would like to carry on: 58 off both sides."
    gone_on = step(asked.state, Utterance(said))
    assert gone_on.state.phase != "offer stop" and "tell someone" not in _keys(gone_on)
    thanked = step(asked.state, Utterance("No, thank you. I want to carry on with the sum. n = 40."))
    assert thanked.state.guess == Fraction(40) and thanked.state.phase != "offer stop"


def test_a_disclosure_with_a_no_stays_one() -> None:
    asked = _last("98 = n + 58", "my dad hits me")
    assert "tell someone" in _keys(step(asked.state, Utterance("no. he hits me every day")))


def test_a_no_that_asks_to_stop_stops() -> None:
    asked = _last("98 = n + 58", "my dad hits me")
    found = interpret_in_lesson(asked.state, Utterance("no i want to stop now")).found
    assert found is not None and Control("stop") in found.acts


def test_the_operation_named_first_is_taken_as_first() -> None:
    turn = _last("5(n + 4) = 90", "hiya! um its 5 lots of n and then add 4 i fink?", fresh=True)
    assert _keys(turn)[0] == "operations unordered"
    right = _last("5(n + 4) = 90", "add 4 and then its 5 lots", fresh=True)
    assert "operations unordered" not in _keys(right) and right.state.phase in {"first", "move", "operations"}
    assert Describe(tuple(operations_on(read_equation("5(n + 4) = 90")))).operations[0].action == "add"


def test_goodbye_comes_last() -> None:
    turn = _last("6n = 90", "divide both sides by 6, n = 15", "6 times 15 is 90", "thanks, i have to go now. bye")
    if turn.state.phase == "offer stop":
        turn = step(turn.state, Utterance("yes please"))
    assert turn.state.phase == "done" and _keys(turn)[-1] == "stop"


def test_the_line_on_the_board_read_aloud_before_a_move_is_no_result_of_it() -> None:
    turn = _last("2(n + 10) = 38", "2(n + 10) = 38 so the 2 is last so undo 2 frist? devide by 2")
    assert turn.state.pending is not None and "divided by 2" in turn.replies[0].text


def test_who_goes_on_with_lines_after_being_told_of_an_adult_is_not_told_again() -> None:
    said = "same as the last one love, lose the 5, 4n = 32, n = 8. Dont need a map for that"
    turn = _last("4n + 5 = 37", said, said)
    assert "tell someone" not in _keys(turn) and _keys(turn)[0] == "put in, fits"


def test_what_is_gone_from_a_side_is_no_loss() -> None:
    turn = _last("3n = 24", "divide both sides by 3", "n? cos the 3 is gone")
    assert "heard loss" not in _keys(turn) and turn.state.phase == "right"


@pytest.mark.parametrize("text", ["n = 6. 48 and 13 is 61", "n = 6, 48 + 13 = 61", "not 7, 6. 48 + 13 = 61"])
def test_a_right_sum_of_what_its_terms_come_to_is_the_check_of_an_answer(text: str) -> None:
    state = _last("61 = 8n + 13", "7").state
    assert step(state, Utterance(text)).state.place == 1
    assert step(state, Utterance(text.replace("48", "47").replace("61", "60"))).state.place == 0
