"""A turn is a list of acts: heard in order, judged one after the other, answered with one reply; and what each act
does.

The equations and turns are invented; what must be true of them is common practice, no source, where no study is named.
"""

import re

import pytest
from talking import NO, YES, Talk, line, move, told, value

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Disclosure,
    Interpretation,
    PartMove,
    Refused,
    Say,
    Term,
    Try,
    Work,
)
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Move, Rewrite
from dialogue.algebra.reading import read_expression
from dialogue.algebra.writing import write
from dialogue.claims import judge_in_order, steps_of, summed_up
from dialogue.judgement import judge
from dialogue.tutor import session
from dialogue.tutor.core.state import Utterance
from dialogue.tutor.session import expecting

TWO = "3x + 2 = 14"
LESS, OVER = move("subtract", "2"), move("divide", "3")


def work(left: str, right: str) -> Work:
    """A sum done aloud."""
    return Work(read_expression(left), read_expression(right))


IN_ORDER: list[tuple[str, tuple[Act, ...], str, str]] = [
    ("a move and its line", (LESS, line("3x = 12")), "3*x = 12", "move"),
    ("two moves", (LESS, OVER), "3*x + 2 = 14", "line"),
    ("two moves and their line", (LESS, OVER, line("x = 4")), "x = 4", "check left"),
    ("a chain to the answer", (LESS, line("3x = 12"), OVER, line("x = 4")), "x = 4", "check left"),
    ("lines alone", (line("3x = 12"), line("x = 4")), "3*x = 12", "check left"),
    ("a line and the move that made it", (line("3x = 12"), LESS), "3*x = 12", "move"),
    ("a line and the next move", (line("3x = 12"), OVER), "3*x = 12", "line"),
    ("no and a correction", (NO, LESS), "3*x + 2 = 14", "left"),
    ("a move and the answer skipping a line", (LESS, line("x = 4")), "3*x + 2 = 14", "check left"),
    ("an answer and its reason", (value("4"), Comment("reason")), "3*x + 2 = 14", "check left"),
    ("an answer and its sum", (value("4"), work("3*4", "12")), "3*x + 2 = 14", "check left"),
    ("a try", (Try(read_expression("4")),), "3*x + 2 = 14", "check left"),
]


@pytest.mark.parametrize(("name", "acts", "last", "phase"), IN_ORDER, ids=[case[0] for case in IN_ORDER])
def test_what_was_said_second_is_not_lost(name: str, acts: tuple[Act, ...], last: str, phase: str) -> None:
    talk = Talk(TWO)
    turn = talk.turn(*acts)
    assert (talk.state.equation.text(), talk.state.phase) == (last, phase)
    assert turn.record.judged is None or turn.record.judged.balanced is True
    assert talk.state.aided == "independent"
    assert turn.meant is not None and turn.meant.acts == acts


FALSE: list[tuple[str, tuple[Act, ...]]] = [
    (TWO, (move("add", "2"), line("3x = 12"))),
    (TWO, (move("divide", "2"), line("3x = 12"))),
    (TWO, (move("divide", "3"), line("3x = 12"))),
    (TWO, (line("3x = 12"), move("add", "2"))),
    (TWO, (move("subtract", "2", "left"), line("3x = 12"))),
    (TWO, (line("3x = 16"), line("x = 4"))),
    (TWO, (LESS, line("3x = 16"), line("x = 4"))),
    (TWO, (LESS, move("multiply", "3"), line("x = 4"))),
    ("4x = 20", (move("subtract", "4"), line("x = 5"))),
    ("4x = 20", (line("x = 5"), move("subtract", "4"))),
    ("x + 9 = 14", (move("add", "9"), line("x = 5"))),
    ("x/8 = 2", (move("divide", "8"), line("x = 16"))),
]


@pytest.mark.parametrize(("text", "acts"), FALSE)
def test_a_false_claim_beside_a_right_line_is_not_right(text: str, acts: tuple[Act, ...]) -> None:
    equation = read_equation(text)
    judged = summed_up(equation, judge_in_order(equation, steps_of(acts, "x")))
    assert judged.balanced is False and not judged.closer
    talk = Talk(text)
    step = talk.turn(*acts).record.judged
    assert (step.balanced, step.closer) == (False, False)
    assert talk.state.equation == equation or talk.state.board[-1].level != "independent"
    assert talk.state.aided == "prompted" or talk.state.tries or talk.state.phase == "mend"


def test_a_line_that_was_refused_for_its_claim_is_taken_once_said_alone_and_is_not_independent() -> None:
    talk = Talk(TWO)
    talk.turn(move("add", "2"), line("3x = 12"))
    talk.turn(line("3x = 12"))
    assert talk.state.board[-1].level == "prompted"


def test_one_reply_answers_the_whole_turn() -> None:
    turns: list[tuple[Act, ...]] = [acts for _, acts, _, _ in IN_ORDER] + [acts for text, acts in FALSE if text == TWO]
    for seed in range(6):
        for acts in turns:
            talk = Talk(TWO, seed=seed)
            replies = talk.turn(*acts).replies
            said = " ".join(reply.text for reply in replies if reply.key != "line")
            assert len(re.findall(r"\bYes\b", said)) <= 1, said
            assert said.endswith("?"), said
            assert len([reply for reply in replies if reply.key != "line"]) <= 3, said


# -- what each act does -----------------------------------------------------------------------------------------------

REFUSABLE: tuple[Act, ...] = (
    *(Control(what) for what in ("undo", "skip", "stop", "pause", "restart", "slower", "easier", "harder", "lead")),
    *(Ask(what) for what in ("hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game",
                             "meaning", "answer")),
    *(Say(what) for what in ("yes", "no", "stuck", "checked")),
    LESS, OVER, move("subtract", "2", "left"), move("multiply", "0"), line("3x = 12"), line("x = 4"), value("4"),
    Try(read_expression("4")), Rewrite("swap"), told(move("multiply", "3")), Term(read_expression("2")),
    PartMove("divide"), work("2 + 2", "5"), Comment("feel"),
)  # fmt: skip
BEFORE: tuple[tuple[Act, ...], ...] = (
    (), (LESS,), (LESS, value("3x")), (line("3x = 12"),), (line("x = 4"),), (move("add", "2"),),
    (move("subtract", "2", "left"),), (line("3x = 13"),), (Control("pause"),), (Ask("game"),), (Disclosure(),),
)  # fmt: skip


@pytest.mark.parametrize("before", BEFORE)
@pytest.mark.parametrize("fresh", [False, True])
def test_nothing_refused_is_ever_done(before: tuple[Act, ...], fresh: bool) -> None:
    """Every refusal, in every phase: the board, the equation and what is under way stay as they were."""
    for act in REFUSABLE:
        talk = Talk(TWO, "5x - 1 = 9", fresh=fresh)
        talk.say(*before)
        was = talk.state
        talk.turn(Refused(act))
        now = talk.state
        assert (now.board, now.place, now.solved, now.seen) == (was.board, was.place, was.solved, was.seen), act
        assert now.phase not in {"done", "paused"}, act
        assert now.pending == was.pending or now.pending is None, act
        assert now.guess == was.guess and now.aided == was.aided and not now.wish and not now.leads, act


COMMANDS = [Control("stop"), Control("skip"), Control("undo"), Control("restart")]


@pytest.mark.parametrize("command", COMMANDS)
def test_what_ends_or_takes_back_is_done_said_alone_and_asked_about_beside_a_step(command: Control) -> None:
    talk = Talk(TWO, "5x - 1 = 9")
    talk.turn(line("3x = 12"), command)
    assert talk.state.phase == "offer stop" if command == Control("stop") else talk.state.held == (command,)
    assert talk.text.endswith("?")
    board = talk.state.board
    talk.turn(NO)
    assert (talk.state.place, talk.state.phase, talk.state.board) == (0, "move", board)
    for acts in ((command,), (Comment("feel", "sorry"), command), (Say("yes"), command, Comment("feel", "thanks"))):
        talk = Talk(TWO, "5x - 1 = 9")
        talk.say(line("3x = 12"))
        talk.turn(*acts)
        assert talk.state.phase == "done" or talk.state.place == 1 or len(talk.state.board) == 1, acts


def test_a_stop_that_is_not_plain_is_offered_in_one_short_question() -> None:
    talk = Talk(TWO, "5x - 1 = 9")
    talk.turn(Control("stop"), sure=False)
    assert talk.keys == ["ask offer stop"]
    talk.turn(Say("yes"), Control("stop"), sure=False)
    assert talk.state.phase == "done"


def test_the_command_beside_an_answer_does_not_lose_the_answer() -> None:
    talk = Talk(TWO, "5x - 1 = 9")
    talk.turn(LESS, Control("stop"))
    assert talk.state.pending == LESS
    talk.turn(YES)
    assert talk.state.phase == "done"


WORKED = [("14 - 2", "12", "sum right"), ("3*4", "12", "sum right"), ("14 - 2", "13", "sum wrong")]


@pytest.mark.parametrize(("left", "right", "key"), WORKED)
def test_a_sum_is_checked_as_arithmetic_and_never_judged_against_the_equation(left: str, right: str, key: str) -> None:
    talk = Talk(TWO)
    record = talk.turn(work(left, right)).record
    assert talk.keys[0] == key
    assert record.steps == ()
    assert talk.state.seen == () and talk.state.tries == 0


def test_a_true_statement_is_never_called_unbalanced() -> None:
    """Every true sum with small numbers, in every phase that it can be said in."""
    for before in BEFORE:
        for one in range(1, 8):
            for sum_done in (
                work(f"{one} + 5", str(one + 5)),
                work(f"{one}*6", str(one * 6)),
                work(f"9 - {one}", str(9 - one)),
            ):
                talk = Talk(TWO)
                talk.say(*before)
                turn = talk.turn(sum_done)
                assert turn.record.judged is None or turn.record.judged.balanced is not False or turn.record.then


def test_a_sum_gives_the_value_that_was_asked_for() -> None:
    talk = Talk(TWO)
    talk.say(LESS, value("3x"))
    talk.turn(work("14 - 2", "12"))
    assert talk.state.equation.text() == "3*x = 12"


PARTS: list[tuple[str, tuple[tuple[Act, ...], ...], str]] = [
    ("by what? five", ((PartMove("divide"),), (value("3"),)), "divide 3"),
    ("what with it? take it away", ((PartMove(None, read_expression("2")),), (PartMove("subtract"),)), "subtract 2"),
    ("both", ((move("subtract", "2", "left"),), (PartMove(None, None, "both"),)), "subtract 2"),
    ("the other side too", ((move("subtract", "2", "left"),), (PartMove(None, None, "right"),)), "subtract 2"),
    ("take it away from both", ((Term(read_expression("2")),), (PartMove("subtract", None, "both"),)), "subtract 2"),
]


@pytest.mark.parametrize(("name", "turns", "made"), PARTS, ids=[case[0] for case in PARTS])
def test_a_part_completes_the_move_under_way(name: str, turns: tuple[tuple[Act, ...], ...], made: str) -> None:
    talk = Talk(TWO)
    for acts in turns:
        talk.turn(*acts)
    pending = talk.state.pending
    assert pending is not None and not isinstance(pending, Rewrite)
    assert f"{pending.operation} {write(pending.operand)}" == made


def test_a_disclosure_beside_mathematics_is_all_that_is_heard() -> None:
    talk = Talk(TWO)
    meant = talk.turn(LESS, Disclosure()).meant
    assert talk.state.phase == "offer stop"
    assert talk.state.pending is None
    assert meant is not None and meant.acts == (Disclosure(),)
    assert "adult" in talk.text


def test_a_wrong_step_not_sure_is_asked_back_once_and_never_offered_again_after_a_no() -> None:
    talk = Talk(TWO)
    one_side = move("subtract", "2", "left")
    record = talk.turn(one_side, sure=False, rivals=((move("add", "2", "left"),),)).record
    assert "2 off the left side" in talk.text and talk.text.endswith("?")
    assert record.steps == ()
    talk.turn(NO)
    assert "2 off" not in talk.text and talk.keys[-1] == "ask part operation"
    assert talk.turn(one_side, sure=False).record.steps == () and "2 off" not in talk.text


def test_a_guess_that_was_refused_may_be_corrected_in_the_same_breath() -> None:
    talk = Talk(TWO)
    talk.turn(move("subtract", "6"), sure=False)
    talk.turn(NO, LESS)
    assert talk.state.pending == LESS


def test_the_other_sides_value_offered_early_is_kept_and_used() -> None:
    talk = Talk(TWO)
    talk.say(LESS, value("12"), value("3x"))
    assert talk.state.equation.text() == "3*x = 12"


COMMENTS = ("reason", "rule", "notice", "goal", "object", "feel", "aside")


@pytest.mark.parametrize("kind", COMMENTS)
def test_talk_is_heard_and_never_judged(kind: str) -> None:
    for fresh in (False, True):
        talk = Talk(TWO, fresh=fresh)
        was = talk.state
        record = talk.turn(Comment(kind)).record  # type: ignore[arg-type]
        assert talk.keys[0].startswith("heard ") or kind in {"reason", "notice"}, talk.keys
        assert (talk.state.phase, talk.state.tries, talk.state.aided) == (was.phase, 0, "independent")
        assert record.steps == ()


def test_a_mood_gets_one_true_sentence_about_what_the_learner_did() -> None:
    talk = Talk(TWO)
    talk.say(LESS, value("3x"), value("12"))
    talk.turn(Comment("feel", "upset"))
    assert "2 off both sides" in talk.text


def test_harder_and_easier_leave_word_for_the_next_choice() -> None:
    talk = Talk(TWO, "5x - 1 = 9")
    talk.turn(Control("harder"))
    assert (talk.state.wish, talk.state.place) == ("harder", 1)


def test_who_leads_is_only_asked_for_the_next_line() -> None:
    talk = Talk(TWO, fresh=True)
    talk.turn(Control("lead"))
    assert talk.keys == ["you lead", "ask begin"]


def test_told_the_step_when_asked_twice_and_logged_as_shown() -> None:
    talk = Talk(TWO)
    talk.turn(Ask("answer"))
    assert "show move" not in talk.keys
    talk.turn(Ask("answer"))
    assert "show move" in talk.keys
    assert talk.state.aided == "shown"


def test_every_turn_says_what_was_understood() -> None:
    talk = Talk(TWO)
    turn = talk.turn(Comment("feel"), LESS)
    assert turn.meant == Interpretation((Comment("feel"), LESS), sure=True)
    assert expecting(talk.state) == "value"
    assert session.respond(talk.state, Utterance(""), None).meant is None


SIGNS = [("7x = 63", move("subtract", "7"), True), ("7x = 63", move("subtract", "6"), False),
         ("7x + 7 = 63", move("subtract", "7"), False), ("-3x = 12", move("add", "3"), True),
         ("7x = 63", move("subtract", "7", "left"), False), ("3x + 2 = 14", move("subtract", "3"), True)]  # fmt: skip


@pytest.mark.parametrize(("text", "step", "is_sign"), SIGNS)
def test_a_legal_move_that_a_documented_idea_explains_is_a_sign_of_it(text: str, step: Move, is_sign: bool) -> None:
    """Sleeman 1984, Cognitive Science 8: the coefficient taken away (read). Never called wrong, and asked about."""
    judged = judge(read_equation(text), step)
    assert judged.signs == (("subtract-coefficient",) if is_sign else ())
    talk = Talk(text)
    talk.turn(step)
    assert ("error" in talk.keys) is is_sign
    if is_sign:
        assert talk.keys[0] == "still true" and judged.balanced and not judged.errors
        assert talk.state.tries == 0 and talk.state.seen == ()


def test_two_signs_of_an_idea_are_one_error() -> None:
    talk = Talk("7x = 63", "5x = 45")
    assert talk.turn(move("subtract", "7")).record.errors == ()
    talk.say(line("x = 9"), value("63"))
    record = talk.say(move("subtract", "5")).record
    assert record.errors == ("subtract-coefficient",) and record.judged.balanced is True
    assert talk.state.seen == ((1, "subtract-coefficient"),) and talk.state.signs == ()


def test_an_account_that_goes_on_into_a_move_is_both() -> None:
    talk = Talk("x - 51 = 16", fresh=True)
    talk.turn(told(move("subtract", "51"), move("add", "51")))
    assert talk.state.pending is not None and talk.state.phase == "left"


def test_a_false_account_before_a_line_is_a_claim() -> None:
    talk = Talk(TWO, fresh=True)
    record = talk.turn(told(move("add", "2")), line("3x = 12")).record
    assert record.judged.balanced is False and len(talk.state.board) == 1


def test_a_refusal_is_heard_and_a_typed_number_tested_though_not_sure() -> None:
    talk = Talk(TWO)
    talk.turn(Refused(Ask("answer")), sure=False)
    assert talk.state.phase == "move"
    talk.turn(value("4"), sure=False)
    assert talk.state.phase == "check left"


def test_a_false_claim_that_was_read_back_stays_false() -> None:
    for acts in ((told(move("add", "2")), line("3x = 12")), (line("3x = 12"), move("add", "2"))):
        talk = Talk(TWO, fresh=True)
        talk.turn(*acts, sure=False)
        assert talk.state.phase == "confirm"
        assert talk.turn(YES).record.judged.balanced is False
        assert len(talk.state.board) == 1
