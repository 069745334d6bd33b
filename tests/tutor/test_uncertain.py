"""What was understood without being sure of it: taken where it follows, asked back where it would be judged wrong, and
answered by whoever says it again or goes on from it. The turns are invented."""

from fractions import Fraction

import pytest
from talking import NO, YES, Talk, line, move, told, value

from dialogue.acts import Act, Ask, Comment, Control, Interpretation, PartMove, Refused, Say, Unclear, Work
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import read_expression
from dialogue.tutor.core.state import Plan, Task, Utterance
from dialogue.tutor.session import begin, step
from dialogue.tutor.uncertain import answered_by, leads_on, settled

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


BROKEN = line("3x = 16")
ONE_SIDE = move("subtract", "2", "left")


def _asked_back(*acts: Act) -> Talk:
    talk = Talk(TWO)
    talk.turn(*acts, sure=False)
    assert talk.state.phase == "confirm"
    return talk


@pytest.mark.parametrize("acts", FOLLOWING, ids=str)
def test_what_follows_is_taken_and_named_though_not_sure(acts: tuple[Act, ...]) -> None:
    talk = Talk(TWO)
    if acts != (PartMove("divide"),):
        talk.turn(*acts, sure=False)
        assert talk.state.pending is not None or len(talk.state.board) > 1 or talk.state.guess == 4 or talk.state.solved
        assert not set(talk.keys) & {"take move", "praise choice"}


def test_a_move_that_is_no_nearer_is_met_with_a_question_about_it() -> None:
    talk = Talk(TWO)
    talk.turn(WRONG, sure=False)
    assert talk.state.phase == "reconsider" and "6 off both sides" in talk.text and len(talk.state.board) == 1


@pytest.mark.parametrize("said_again", [(ONE_SIDE,), (move("subtract", "2", "left"), Comment("reason"))], ids=str)
def test_a_wrong_step_said_again_is_the_learners_and_is_judged(said_again: tuple[Act, ...]) -> None:
    assert _asked_back(ONE_SIDE).turn(*said_again).record.judged.balanced is False
    assert _asked_back(ONE_SIDE).turn(*said_again, sure=False).record.judged.balanced is False


@pytest.mark.parametrize("contrary", [(move("add", "7"),), (BROKEN,), (NO, LESS), (Ask("why"),)], ids=str)
def test_something_contrary_drops_it_and_is_heard_itself(contrary: tuple[Act, ...]) -> None:
    talk = _asked_back(ONE_SIDE)
    talk.turn(*contrary)
    assert talk.state.phase != "confirm" and ONE_SIDE not in (talk.state.pending, *talk.state.held)


def test_a_broken_line_said_instead_of_yes_is_heard_and_shown() -> None:
    talk = _asked_back(ONE_SIDE)
    assert talk.turn(line("3x = 11")).record.judged.balanced is False
    assert any(key.startswith(("evidence", "error", "claim")) for key in talk.keys)


def test_a_yes_among_talk_is_a_yes() -> None:
    state = _asked_back(ONE_SIDE).state
    assert answered_by(state, (Comment("feel", "sorry"), YES)) is True
    assert answered_by(state, (YES, Comment("object"), Ask("check"))) is True
    assert answered_by(state, (NO, Comment("reason"))) is False
    assert answered_by(state, (Comment("reason"),)) is None


def _read(*acts: Act, certainty: float = 0.6) -> Interpretation:
    return Interpretation(acts, sure=False, certainty=certainty)


def test_the_part_of_a_reading_that_follows_is_taken() -> None:
    state = Talk(TWO).state
    kept = settled(state, _read(Comment("notice"), line("3x = 11"), line("3x = 12"), line("x = 4")))
    assert kept.sure and kept.guessed and kept.acts == (Comment("notice"), line("3x = 12"), line("x = 4"))
    assert settled(state, _read(move("divide", "3"), value("4"))).acts[-1] == value("4")


def test_what_a_useless_move_would_give_is_no_answer() -> None:
    state = Talk("5x = 60").state
    assert not settled(state, _read(move("subtract", "5"), value("55"))).sure


def test_no_step_is_made_of_a_call_for_help_and_a_stop_is_always_heard() -> None:
    state = Talk(TWO).state
    assert settled(state, _read(Ask("hint"), WRONG)).acts == (Ask("hint"),)
    assert settled(state, _read(Comment("feel"), WRONG, Control("stop"), certainty=0.2)).acts == (
        Comment("feel"),
        Control("stop"),
    )
    assert settled(state, _read(ONE_SIDE, certainty=0.1)).acts == (Unclear(),)


def test_what_may_be_meant_as_refused_is_never_done() -> None:
    found = settled(Talk(TWO).state, _read(LESS), (LESS,))
    assert found.acts == (Unclear(),)


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
