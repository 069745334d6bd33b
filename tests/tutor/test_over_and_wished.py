"""What is asked about an equation that is over or about the tutor's own numbers, a line named in the game, and a kind
of equation that is wished for beside an answer. The sentences are invented."""

from functools import partial

import pytest
from talking import typed_keys, typed_turns

from dialogue.acts import Control
from dialogue.algebra.equation import read_equation
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step

_turns, _keys = partial(typed_turns, fresh=False), partial(typed_keys, fresh=False)


def _after_a_miss(*typed: str) -> list[Turn]:
    """4n = 68 was answered with 64 and left; the next line has no lots of the unknown."""
    tasks = tuple(Task(read_equation(line)) for line in ("4n = 68", "n + 38 = 93", "n + 20 = 50"))
    turns = [begin(Plan(tasks, 3, (("operations", 4), ("first", 2))))]
    for text in ("n = 64", "256", "skip", *typed):
        turns.append(step(turns[-1].state, Utterance(text)))
    return turns


@pytest.mark.parametrize(
    "text", ["but why was the 4n one wrong", "do i get to do the 4n one again i still think its 64"]
)
def test_a_question_about_an_earlier_equation_is_answered_from_it(text: str) -> None:
    turn = _after_a_miss(text)[-1]
    assert turn.replies[0].text == "In 4n = 68, 64 makes 4 × 64. That is 256, not 68."
    assert turn.state.guess is None and turn.state.pending is None


def test_an_earlier_equation_asked_about_beside_an_answer_has_no_reason_of_the_one_in_hand() -> None:
    turn = _after_a_miss("take 38 off both. 55", "n = 55", "93. but why was the 4n one wrong")[-1]
    keys = [reply.key for reply in turn.replies]
    assert "answer earlier" in keys and turn.state.place == 2 and not any(key.startswith("why ") for key in keys)


def test_why_a_factor_of_an_earlier_equation_is_not_taken_off() -> None:
    turn = _after_a_miss("it still didnt say why 4n isnt take away 4")[-1]
    assert turn.replies[0].text == "4n means 4 lots. Take 4 off, and 4n − 4 is left."


def test_a_question_about_the_line_in_hand_is_not_taken_for_an_earlier_one() -> None:
    tasks = (Task(read_equation("4n = 68")), Task(read_equation("7n + 3 = 3n + 11")))
    turn = begin(Plan(tasks, 3, (("operations", 4), ("first", 2))))
    for text in ("n = 64", "256", "skip", "take 3n off both", "why do i get 4n"):
        turn = step(turn.state, Utterance(text))
    assert turn.meant is not None and not any(
        str(getattr(act, "about", "")).startswith("earlier") for act in turn.meant.acts
    )


def test_how_a_number_of_the_tutors_came_is_a_question_and_no_answer() -> None:
    tasks = (Task(read_equation("4n = 68"), purpose="place"), Task(read_equation("n + 57 = 90"), purpose="place"))
    turn = begin(Plan((*tasks, Task(read_equation("n + 20 = 50"))), 3, open=True))
    for text in ("take away 4. n = 64", "n = 64", "wait 256?? how is it 256. 4 take away 64"):
        turn = step(turn.state, Utterance(text))
    assert turn.replies[0].text == "In 4n = 68, 64 makes 4 × 64. That is 256, not 68."
    assert turn.state.tried == () and turn.state.guess is None and turn.state.place == 1


def test_a_number_asked_about_in_the_equation_in_hand_is_not_put_in() -> None:
    keys = _keys("4n = 68", "n = 64", "256", "wait 256?? how is it 256")
    assert keys[0] == "answer earlier"


@pytest.mark.parametrize("text", ["line 2 cos 6 x 30 is 180 shud be 5", "its line two, 30 is 6 times too much"])
def test_a_line_of_the_game_is_named_beside_its_reason(text: str) -> None:
    turns = _turns("5n = 70", "game", text)
    assert turns[-2].state.game is not None and turns[-2].state.game.slip == 1
    assert "game found" in [reply.key for reply in turns[-1].replies]


@pytest.mark.parametrize(("text", "kind"), [
    ("20. can we do a times one", "multiplied"),
    ("n is 20. can we do one with a minus in? we did minuses at school", "subtracted"),
])  # fmt: skip
def test_a_kind_asked_for_beside_the_answer_is_the_wish_for_the_next(text: str, kind: str) -> None:
    turn = begin(
        Plan((Task(read_equation("n + 55 = 75"), exit=True),), 3, (("operations", 4), ("first", 2)), open=True)
    )
    for each in (text, "75"):
        turn = step(turn.state, Utterance(each))
    assert turn.state.phase == "between" and turn.state.wish == kind  # so it comes before the lesson ends


@pytest.mark.parametrize("text", ["what about minus one", "now times 4", "try minus 3"])
def test_a_number_or_a_move_is_no_kind_that_is_wished_for(text: str) -> None:
    turn = _turns("n + 55 = 75", text)[-1]
    assert (
        turn.state.wish is None
        and turn.meant is not None
        and not any(isinstance(act, Control) for act in turn.meant.acts)
    )


def test_why_two_minuses_make_a_plus_has_its_own_answer() -> None:
    keys = _keys("23 = -2n + 29", "take 29 off both, -6 = -2n", "why do two minuses make it plus")
    assert keys[0] == "answer signs alike"
