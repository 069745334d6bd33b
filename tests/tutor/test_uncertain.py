"""What was understood without being sure of it: taken where it follows, asked back where it would be judged wrong, and
answered by whoever says it again or goes on from it. The turns are invented."""

from fractions import Fraction

import pytest
from talking import NO, YES, Talk, line, move, told, value

from dialogue.acts import Act, Comment, Control, PartMove, Refused, Say, Work
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import read_expression
from dialogue.tutor.core.state import Plan, Task, Utterance
from dialogue.tutor.session import begin, step
from dialogue.tutor.uncertain import answered_by, leads_on

TWO = "3x + 2 = 14"
LESS = move("subtract", "2")
WRONG = move("subtract", "6")
FOLLOWING: tuple[tuple[Act, ...], ...] = (
    (LESS,),
    (LESS, line("3x = 12")),
    (LESS, line("3x = 12"), line("x = 4")),
    (line("3x = 12"), line("x = 4")),
    (Comment("reason"), LESS),
    (PartMove("divide"),),
    (value("4"), Work(read_expression("3*4 + 2"), read_expression("14"))),
)
NOT_FOLLOWING: tuple[tuple[Act, ...], ...] = (
    (WRONG,),
    (move("subtract", "2", "left"),),
    (LESS, line("3x = 16")),
    (line("3x = 16"),),
    (LESS, Control("stop")),
    (Control("skip"),),
    (Refused(LESS),),
    (Comment("aside"),),
    (Say("yes"),),
)


@pytest.mark.parametrize("acts", FOLLOWING, ids=str)
def test_what_follows_from_the_line_is_not_asked_back(acts: tuple[Act, ...]) -> None:
    assert leads_on(Talk(TWO).state, acts)


@pytest.mark.parametrize("acts", NOT_FOLLOWING, ids=str)
def test_what_would_be_judged_wrong_or_ends_something_is_asked_back(acts: tuple[Act, ...]) -> None:
    assert not leads_on(Talk(TWO).state, acts)


def test_a_description_that_is_right_follows_and_one_that_is_not_is_asked_for_in_parts() -> None:
    talk = Talk(TWO, fresh=True)
    assert leads_on(talk.state, (told(move("multiply", "3"), move("add", "2")),))
    wrong = told(move("multiply", "4"), move("add", "2"))
    assert not leads_on(talk.state, (wrong,))
    record = talk.turn(wrong, sure=False).record
    assert record.steps == () and talk.keys[0] == "unclear operations"
    talk.turn(wrong, sure=False)
    assert talk.keys[0] == "hint operations"


def _asked_back(*acts: Act) -> Talk:
    talk = Talk(TWO)
    talk.turn(*acts, sure=False)
    assert talk.state.phase == "confirm"
    return talk


@pytest.mark.parametrize(
    "goes_on", [(LESS,), (move("subtract", "2", "unsaid"),), (value("3x"),), (line("3x = 12"),), (line("x = 4"),),
                (value("12"),), (move("divide", "3"),), (Comment("notice"),), (Comment("reason"),)], ids=str
)  # fmt: skip
def test_going_on_from_what_is_asked_back_is_a_yes(goes_on: tuple[Act, ...]) -> None:
    talk = _asked_back(LESS)
    talk.turn(*goes_on)
    taken = talk.state.pending is not None or len(talk.state.board) > 1 or talk.state.guess == 4
    assert taken and talk.keys[0] in {"take move", "take further"}, talk.keys
    assert talk.state.tries == 0 and not talk.state.held


def test_a_wrong_step_said_again_is_the_learners_and_is_judged() -> None:
    talk = _asked_back(move("subtract", "2", "left"))
    assert talk.turn(move("subtract", "2", "left")).record.judged.balanced is False


@pytest.mark.parametrize("contrary", [(move("add", "7"),), (line("3x = 16"),), (NO, LESS)], ids=str)
def test_something_contrary_drops_it_and_is_heard_itself(contrary: tuple[Act, ...]) -> None:
    talk = _asked_back(WRONG)
    record = talk.turn(*contrary).record
    assert record.judged is not None
    assert WRONG not in (talk.state.pending, *talk.state.held)


def test_a_broken_line_said_instead_of_yes_is_heard_and_shown() -> None:
    talk = _asked_back(LESS)
    assert talk.turn(line("3x = 11")).record.judged.balanced is False
    assert any(key.startswith(("evidence", "error", "claim")) for key in talk.keys)


def test_a_yes_among_talk_is_a_yes() -> None:
    state = _asked_back(LESS).state
    assert answered_by(state, (Comment("feel", "sorry"), YES)) is True
    assert answered_by(state, (NO, Comment("reason"))) is False
    assert answered_by(state, (Comment("reason"),)) is None


def test_a_no_and_a_number_is_the_same_move_with_that_number() -> None:
    talk = Talk("6x = 96")
    talk.turn(move("divide", "5"))
    assert talk.state.phase == "reconsider"
    talk.turn(NO, value("6"))
    assert talk.state.pending == move("divide", "6")


def test_another_answer_while_one_is_put_in_is_tried() -> None:
    talk = Talk(TWO)
    talk.turn(value("7"))
    talk.turn(NO, value("4"))
    assert talk.state.guess == 4


def test_a_fraction_typed_as_the_answer_is_put_in() -> None:
    state = begin(Plan((Task(read_equation("3x + 2 = 9")),), 0, (("operations", 4),))).state
    assert step(state, Utterance("7/3")).state.guess == Fraction(7, 3)
