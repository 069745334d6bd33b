"""Telling explanations apart: the question whose answers differ most, the account taken, and what is left tied."""

from dataclasses import replace

import pytest
from talking import HINT, STUCK, UNCLEAR, Talk, line, move, value

from chattutor.lesson.task_selection import CANDIDATES, _most_telling
from dialogue.acts import Describe
from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.misconceptions.discriminate import SURE, information, questions
from dialogue.algebra.moves import Move
from dialogue.learner.choice import TaskChoice
from dialogue.learner.families import draw
from dialogue.tutor import Utterance, step
from dialogue.tutor.activities.diagnosis import LEAST_BITS, MOST_ASKED, most_telling, plain_account

CROSSED = "x + 19 = 43"  # invented; 62 comes of adding 19 on the right, of moving it over, and of adding 19 twice


def crossed(seed: int = 1) -> Talk:
    talk = Talk(CROSSED, "x + 28 = 61", seed=seed)
    talk.say(line("x = 62"), value("81"))
    return talk


def test_the_first_question_is_the_one_expected_to_tell_most() -> None:
    talk = crossed()
    found = explain(read_equation(CROSSED), line("x = 62"))
    asked = talk.state.inquiry
    assert asked is not None
    assert next(one.kind for one in questions(found)) == asked.question.kind == "own"
    assert asked.question.bits >= max(information(dict(asked.beliefs), one.expected, 0.85) for one in asked.left)
    assert talk.keys == ["answer fails", "ask account guess"]
    assert talk.text.endswith("what did you do to the left side?")
    assert talk.turns[-1].record.diagnosis.asked == "own"
    assert sum(talk.turns[-1].record.diagnosis.hypotheses.values()) == pytest.approx(1, abs=0.01)


ACCOUNTS = [
    (move("subtract", "19", "unsaid"), "opposite-on-other-side"),
    (move("add", "19", "unsaid"), "same-operation"),
    (Move("transfer", move("add", "19").operand, "unsaid"), "transfer-without-sign-change"),
]


@pytest.mark.parametrize(("account", "error"), ACCOUNTS)
def test_the_account_decides_which_error_it_was(account: Move, error: str) -> None:
    talk = crossed()
    before = dict(talk.state.inquiry.beliefs)  # type: ignore[union-attr]
    for _ in range(MOST_ASKED):
        if talk.state.phase == "account":
            after = dict(talk.state.inquiry.beliefs)  # type: ignore[union-attr]
            talk.say(account)
    assert talk.state.seen[-1] == (0, error)
    assert talk.turns[-1].record.diagnosis.taken_for == error
    assert after[error] >= before[error]
    assert talk.state.phase == "move"


def test_an_account_is_never_judged_and_no_account_is_held_against_nobody() -> None:
    for said in (UNCLEAR, STUCK, value("43"), move("add", "19", "left"), Describe(())):
        talk = crossed()
        talk.say(said)
        assert talk.turns[-1].record.steps == ()
        assert talk.state.tries == 0
    talk = crossed()
    talk.say(STUCK)
    assert talk.keys[0] == "no reason"
    assert talk.state.phase == "move"


def test_a_right_line_instead_of_an_account_is_taken() -> None:
    talk = crossed()
    talk.say(line("x = 43 - 19"))
    assert "ask check left" in talk.keys or "take line" in talk.keys
    assert talk.state.inquiry is None


def test_a_hint_instead_of_an_account_is_a_hint_for_the_move() -> None:
    talk = crossed()
    talk.say(HINT)
    assert talk.keys[-1] == "smaller last"


def test_a_line_that_one_error_explains_is_not_asked_about() -> None:
    talk = Talk("4x + 9 = 37")
    talk.say(line("13x = 37"))
    assert talk.state.inquiry is None
    assert talk.keys == ["error"]


def test_what_stays_tied_is_put_down_and_chooses_the_next_equation() -> None:
    talk = crossed()
    talk.say(UNCLEAR, UNCLEAR)
    tied = dict(talk.state.tied)
    assert set(tied) == set(talk.turns[-1].record.diagnosis.tied)
    assert len(tied) > 1
    assert max(tied.values()) < SURE
    assert most_telling(talk.state, [read_equation("x + 28 = 61")]) is None  # there they coincide again
    talk = Talk("7x = 91")
    talk.say(line("x = 84"))
    assert most_telling(talk.state, [read_equation("8x = 96")]) is None  # nothing is tied


def test_the_same_error_on_two_equations_goes_back_to_the_model_and_asks_no_further() -> None:
    talk = crossed()
    talk.say(move("subtract", "19", "unsaid"))
    while talk.state.phase == "account":
        talk.say(move("add", "19", "unsaid"))
    talk.say(line("x = 24"), value("43"), line("x = 89"), value("117"))
    assert "ask account guess" not in talk.keys
    assert "model both-sides" in talk.keys


@pytest.mark.parametrize(
    ("text", "meaning"),
    [("nothing", Describe(())), ("I just left it.", Describe(())), ("because", None)],
)
def test_plain_accounts(text: str, meaning: object) -> None:
    assert plain_account(text, "x") == meaning
    moved = plain_account("i moved it over", "x")
    assert isinstance(moved, Move)
    assert moved.operation == "transfer"


def test_words_that_say_a_term_was_moved_are_an_account_and_did_it_to_the_other_side_is_none() -> None:
    talk = crossed()
    state = talk.state
    told = step(state, Utterance("i moved it to the other side"))
    assert told.record.event == "account" and told.state.seen[-1] == (0, "transfer-without-sign-change")
    assert step(state, Utterance("i did it to the other side")).record.event != "account"


def test_a_question_is_only_asked_where_it_is_worth_a_turn() -> None:
    for text, wrong in ((CROSSED, "x = 62"), ("4*x + 9 = 37", "x = 23/2"), ("5*(x + 2) = 60", "5*x + 2 = 60")):
        talk = Talk(text)
        talk.say(line(wrong))
        if talk.state.inquiry is not None:
            assert talk.state.inquiry.question.bits >= LEAST_BITS


def test_the_next_equation_chosen_in_a_lesson_is_the_one_that_tells_most() -> None:
    talk = crossed()
    while talk.state.phase == "account":
        talk.say(UNCLEAR)
    assert talk.state.tied
    choice = TaskChoice(4, "practice", "practice")
    candidates = [task.equation for task in draw(4, 9, CANDIDATES)]
    telling = most_telling(talk.state, candidates)
    assert telling is not None
    assert _most_telling(talk.state, choice, (), 9, None).equation == telling.equation
    assert _most_telling(replace(talk.state, tied=()), choice, (), 9, None).equation == candidates[0]
