"""The learner's own numbers, corrections and moves put as questions. The sentences are invented."""

import pytest
from talking import typed_keys as _keys
from talking import typed_said as _said
from talking import typed_turns as _turns


@pytest.mark.parametrize("left", ["n? sorry. becuase 4n take the 4 away leaves n, dosnt it", "just n", "n"])
def test_what_a_move_does_not_leave_is_tried_with_a_number(left: str) -> None:
    said = _said("4n = 96", "take away 4 from both sides, so n = 92?", left, fresh=False)
    assert "Try 2 for n: 4n is 8, then 4 off both sides makes 4. But n makes 2." in said


def test_what_a_move_leaves_is_not_tried() -> None:
    keys = _keys("4n = 96", "take away 4 from both sides, so n = 92?", "4n - 4", fresh=False)
    assert "try result" not in keys


def test_an_own_answer_that_the_move_does_not_give_is_put_in_at_once() -> None:
    before = ("take away 4 from both sides because it is there", "yeah")
    said = _said("4n = 68", *before, "n = 64", fresh=False)
    assert said.startswith("With 64 the left is 256, too much for 68.")


@pytest.mark.parametrize(
    "text", ["4 times 4 is 16. oh so its 4 lots of n? thne i shoud divde by 4?", "16. so i should divide by 4?"]
)
def test_a_move_put_as_a_question_beside_a_check_is_taken_after_it(text: str) -> None:
    turn = _turns("4n = 96", "4", text, fresh=False)[-1]
    keys = [reply.key for reply in turn.replies]
    assert keys[0] == "answer too small" and keys[1] in {"take move", "take unsure"} and keys[2] == "ask left"
    assert turn.state.pending is not None


def test_i_mean_corrects_and_is_no_answer_no() -> None:
    before = ("times 4 plus 10", "the 10", "54 + 10")
    keys = _keys("4n + 10 = 54", *before, "no i mean 4n = 64 then n = 16")
    assert "evidence number" in keys and "not nearer" not in keys
    assert "not nearer" in _keys("4n + 10 = 54", *before, "no")


def test_a_check_asked_for_beside_a_right_answer_is_answered() -> None:
    text = (
        "I take 4 from both: 6n = 69. Then divide by 6... 69 divided by 6 is 11.5? "
        "It is not a whole number. Did I make a mistake?"
    )
    assert "6 × 11.5 + 4 = 73: 11.5 fits." in _said("6n + 4 = 73", text, fresh=False)
    assert "answer fits" not in _keys("4n = 96", "n = 25. is that right", fresh=False)


def test_who_wants_a_question_answered_gets_no_sum_in_parts() -> None:
    keys = _keys("n + 38 = 93", "take 38 off both", "n = 55. and answer my question", fresh=False)
    assert not any(key.startswith("parts ") for key in keys)


def test_what_stands_side_by_side_is_told_in_a_whole_sentence() -> None:
    said = _said("4n = 96", "take 4 off both because it is there", "yes", "whats 4n even", fresh=False)
    assert said.startswith(("4n means 4 times n", "The number in front of n says how many there are"))
