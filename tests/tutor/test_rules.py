"""The thirty rules of questioning, one test a rule or more, named by number.

The rules come from the trade: common practice and memory, no published source, except where a test names one.
Rules 1 to 5 and 30 are about asking, 6 to 12 about right steps, 13 to 24 about steps that are not there yet, 25 to 29
about learning by ear.
"""

import re
from fractions import Fraction

import pytest
from talking import (
    EVERY_NUMBER,
    HINT,
    NO,
    NO_NUMBER,
    PAUSE,
    REPEAT,
    SLOWER,
    STOP,
    STUCK,
    UNCLEAR,
    UNDO,
    WHERE,
    YES,
    Talk,
    line,
    move,
    task,
    told,
    value,
)

from dialogue.algebra.moves import Rewrite, Verdict
from dialogue.meaning import Unclear
from dialogue.tutor.reasons import ASKED_ABOUT
from dialogue.tutor.session import EXPECTING, begin, respond
from dialogue.tutor.state import Plan, Said, Task

TWO_STEPS, BOTH_SIDES = "3x + 2 = 14", "8x + 3 = 5x + 21"  # invented
IN_ORDER = told(move("multiply", "3", "unsaid"), move("add", "2", "unsaid"))
NOT_TOLD = re.compile(r"\bwrong\b|\bincorrect\b|\bnot right\b", re.IGNORECASE)


def test_rule_01_what_happens_to_the_unknown_is_asked_first() -> None:
    assert Talk(TWO_STEPS, fresh=True).keys == ["welcome", "line", "ask operations"]


def test_rule_02_which_is_undone_first_is_asked_second() -> None:
    talk = Talk(TWO_STEPS, fresh=True)
    talk.say(IN_ORDER)
    assert talk.keys[-1] == "ask first"
    talk.say(value("14"))  # stands on the other side: not one of those
    assert talk.keys == ["term unknown", "ask first"]
    talk.say(value("2"))
    assert talk.keys == ["term named", "ask move"]


def test_rule_03_both_sides_then_left_then_right() -> None:
    talk = Talk(TWO_STEPS)
    assert talk.keys[-1] == "ask move"
    for saying, asked in ((move("subtract", "2"), "ask left"), (value("3x"), "ask right"), (value("12"), "ask move")):
        talk.say(saying)
        assert talk.keys[-1] == asked


def test_rule_04_one_question_a_turn_and_never_answered_by_the_tutor() -> None:
    talk = Talk(TWO_STEPS, fresh=True)
    for saying in (UNCLEAR, IN_ORDER, value("2"), STUCK, STUCK, move("subtract", "2"), value("9"), value("3x")):
        talk.say(saying)
        asking = [reply for reply in talk.turns[-1].replies if "?" in reply.text]
        assert len(asking) == 1
        assert asking[0] == talk.turns[-1].replies[-1]


def test_rule_05_thinking_pauses_everything() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(PAUSE)
    assert talk.keys == ["ask paused"]
    talk.say(None, None, None)
    assert talk.turns[-1].replies == ()
    talk.say(move("subtract", "2"))
    assert talk.keys[-1] == "ask left"
    assert talk.state.tries == 0


def asked_for_reason(saying: object, seed: int) -> bool:
    """Whether a step is met with "how do you know?"."""
    opening = begin(Plan((task(TWO_STEPS),), seed, (("operations", 2), ("first", 2))))
    return respond(opening.state, Said("given"), saying).state.phase == "reason"  # type: ignore[arg-type]


def test_rule_06_how_do_you_know_is_asked_after_right_and_wrong_alike() -> None:
    steps = (move("subtract", "2"), move("add", "2"), move("subtract", "2", "left"), line("3x = 12"), line("3x = 16"))
    asked = [[asked_for_reason(step, seed) for seed in range(300)] for step in steps]
    assert all(one == asked[0] for one in asked), "by the seed alone, never by whether the step is right"
    assert 70 <= sum(asked[0]) <= 130, "about one in three"
    assert {"move closer", "move one side", "line broken"} <= ASKED_ABOUT


def reason_seed() -> int:
    """A seed with which the first step is met with "how do you know?"."""
    return next(seed for seed in range(50) if asked_for_reason(move("subtract", "2"), seed))


def test_rule_06_the_step_is_judged_after_the_reason_and_the_reason_is_not() -> None:
    for step, event in ((move("subtract", "2"), "move closer"), (line("3x = 16"), "line broken")):
        talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
        talk.say(step)
        assert talk.keys == ["ask reason"]
        assert "balanced" not in talk.turns[-1].record
        talk.say(UNCLEAR)
        assert talk.turns[-1].record["then"] == [event]
        assert talk.turns[-1].record["balanced"] is (event == "move closer")


def test_rule_06_who_passes_over_the_question_and_goes_on_is_not_held_up() -> None:
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), value("3x"))
    assert talk.state.phase == "right"
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), value("99"))  # part of a reason, for all the tutor knows: never marked
    assert talk.state.phase == "left"
    assert talk.state.tries == 0


def test_rule_07_questions_fade_once_answered_unaided_twice() -> None:
    talk = Talk("x + 5 = 12", "x + 6 = 15", "x + 8 = 11", fresh=True)
    for number in ("5", "6"):
        assert talk.state.phase == "operations"
        talk.say(told(move("add", number, "unsaid")), line(f"x = {7 if number == '5' else 9}"))
        talk.say(value("12" if number == "5" else "15"))
    assert talk.state.phase == "move"


def test_rule_07_what_was_answered_with_help_does_not_fade() -> None:
    talk = Talk(TWO_STEPS, fresh=True)
    talk.say(HINT, IN_ORDER)
    assert talk.state.count("operations") == 0


def test_rule_08_a_whole_move_is_confirmed_by_naming_it() -> None:
    talk = Talk(TWO_STEPS, seed=1)
    talk.say(move("subtract", "2"))
    assert "2 off both sides" in talk.text


def test_rule_09_the_answer_is_put_in_before_it_is_confirmed() -> None:
    talk = Talk("3x = 12")
    talk.say(move("divide", "3"), value("x"), value("4"))
    assert talk.keys[0] == "put it in"
    assert talk.state.phase == "check left"
    assert talk.state.solved == ()
    talk.say(value("12"))
    assert talk.state.solved == (0,)


def test_rule_10_the_step_is_credited_and_the_reason_tried_where_it_fails() -> None:
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), told(move("subtract", "2", "unsaid")))
    assert talk.state.phase == "left"
    assert talk.turns[-1].record["reason given"] == "same operation"
    assert "would not work on x − 2 = 7" in talk.text
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), told(move("add", "2", "unsaid")))
    assert talk.turns[-1].record["reason given"] == "inverse"
    assert talk.keys[0] == "reason taken"


def test_rule_11_praise_is_rare_and_for_a_choice_a_check_or_a_correction() -> None:
    praised = 0
    for seed in range(60):
        talk = Talk("3x = 12", seed=seed)
        talk.say(line("x = 4"), value("12"))
        praised += "answer fits, praised" in talk.keys
    assert 10 <= praised <= 30
    talk = Talk(TWO_STEPS)
    talk.say(line("3x = 16"), line("3x = 12"))
    assert "praise correction" in talk.keys


def test_rule_12_a_self_correction_is_logged_as_strength() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(line("3x = 16"), line("3x = 12"))
    assert any(turn.record.get("corrected") for turn in talk.turns)
    assert talk.state.board[-1].level == "independent"


def test_rule_13_a_one_sided_move_is_mended_by_the_learner() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("subtract", "2", "left"))
    assert talk.keys == ["tilt", "ask mend"]
    assert not NOT_TOLD.search(talk.text)
    talk.say(NO)
    assert talk.keys == ["level no"]
    talk.say(move("subtract", "2", "right"))
    assert talk.keys[0] == "levelled"
    assert talk.state.phase == "left"


def test_rule_14_right_move_check_your_arithmetic_then_the_side_never_the_number() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("subtract", "2"), value("3x"), value("13"))
    assert talk.keys[0] == "check arithmetic"
    talk.say(value("11"))
    assert talk.keys[0] == "look at the side"
    for _ in range(6):
        talk.say(value("10"))
        assert "12" not in talk.text
        assert talk.state.phase == "right"


def test_rule_15_legal_but_unhelpful_is_still_true_and_after_two_another_plan_is_asked_for() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("add", "5"))
    assert talk.keys == ["still true", "ask reconsider"]
    talk.say(NO, move("add", "7"))
    assert talk.keys == ["another plan"]


def test_rule_15_an_unhelpful_line_is_written_down_for_it_is_true() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(line("6x + 4 = 28"))
    assert "line still true" in talk.keys
    assert talk.state.equation.text() == "6*x + 4 = 28"
    talk.say(line("12x + 8 = 56"))
    assert "another plan" in talk.keys


NOT_LEGAL = [
    (move("multiply", "0"), "by zero"),
    (move("divide", "x"), "divide by unknown"),
    (move("divide", "0"), "divides by zero"),
]


@pytest.mark.parametrize(("step", "key"), NOT_LEGAL)
def test_rule_15_what_is_not_legal_is_told_why(step: object, key: str) -> None:
    talk = Talk(TWO_STEPS)
    talk.say(step)  # type: ignore[arg-type]
    assert talk.keys[0] == key
    assert len(talk.state.board) == 1


def test_rule_16_the_operation_repeated_is_still_true_when_both_sides_balance() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("add", "2"))
    assert talk.keys == ["still true", "ask reconsider"]
    assert talk.turns[-1].record.get("balanced", True)
    talk.say(YES, value("3x + 4"), value("16"))
    assert talk.state.equation.text() == "3*x + 4 = 16"


def test_rule_17_dividing_first_stands_if_every_term_was_divided() -> None:
    talk = Talk("4x + 8 = 36")
    talk.say(line("x + 2 = 9"))
    assert talk.state.equation.text() == "x + 2 = 9"
    talk = Talk("4x + 8 = 36")
    talk.say(line("x + 8 = 9"))
    assert talk.text == "You divided. What happened to each term?"


def test_rule_18_joined_terms_are_tested_with_two() -> None:
    talk = Talk("4x + 9 = 37")
    talk.say(line("13x = 37"))
    assert "with x as 2" in talk.text
    assert talk.text.endswith("Do they agree?")
    talk.say(NO)
    assert talk.keys == ["comment", "ask move"]


def test_rule_18_a_subtracted_coefficient_is_tested_with_two() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(line("x + 2 = 11"))
    assert talk.turns[-1].record["errors"][0] == "subtract-coefficient"
    assert talk.text.startswith("Try your line with x as 2.")


def test_rule_18_after_an_answer_that_does_not_fit_the_question_is_about_the_term() -> None:
    talk = Talk("3x = 12")
    talk.say(line("x = 9"), value("27"))
    assert "answer fails" in talk.keys
    assert "joined in 3x" in talk.text


def test_rule_19_a_guess_is_put_in_with_the_same_words_right_or_wrong() -> None:
    heard = []
    for guess in ("x = 4", "x = 5"):
        talk = Talk(TWO_STEPS, seed=3)
        talk.say(line(guess))
        heard.append(re.sub(rf"\b{guess[-1]}\b", "N", talk.text))
    assert heard[0] == heard[1]


def test_rule_20_a_shouted_answer_is_taken_and_tested_by_putting_it_in() -> None:
    """Our reading: the answer is heard whenever it is offered, and nothing is confirmed until it is put in."""
    talk = Talk(BOTH_SIDES, fresh=True)
    talk.say(line("x = 6"))
    assert talk.state.phase == "check left"
    assert talk.state.guess == Fraction(6)
    talk.say(value("51"))
    assert talk.state.phase == "check right"
    talk.say(value("51"))
    assert talk.state.solved == (0,)


def test_rule_20_one_number_does_not_solve_an_identity() -> None:
    talk = Talk("2(x + 3) = 2x + 6")
    talk.say(line("x = 1"), value("8"), value("8"))
    assert "fits but" in talk.keys
    assert talk.state.solved == ()


def test_rule_21_two_failures_one_hint_down_three_a_parallel_equation() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("divide", "0"))
    assert talk.keys == ["divides by zero", "ask move"]
    talk.say(move("divide", "x"))
    assert talk.keys == ["divide by unknown", "smaller last"]
    talk.say(move("multiply", "0"))
    assert talk.keys[0] == "example"
    assert "3x + 2" not in talk.text


def test_rule_22_the_same_error_on_two_equations_goes_back_to_the_model() -> None:
    talk = Talk("4x + 9 = 37", "5x + 3 = 38")
    talk.say(line("13x = 37"))
    assert "error" in talk.keys
    talk.say(line("x = 7"), value("37"), line("8x = 38"))
    assert talk.keys[0] == "model collecting"
    assert talk.turns[-1].record["pattern"] == "combine-unlike-terms"


def test_rule_22_one_sided_moves_on_two_equations_go_back_to_the_balance() -> None:
    talk = Talk("x + 5 = 12", "x + 6 = 15")
    talk.say(move("subtract", "5", "left"), line("x = 7"), value("12"), move("subtract", "6", "left"))
    assert talk.keys == ["model both-sides", "ask mend"]


def test_rule_23_silence_is_asked_about_then_a_smaller_question_and_is_never_a_failure() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(None)
    assert talk.keys == ["are you there"]
    talk.say(None)
    assert talk.keys == ["smaller last"]
    talk.say(None)
    assert talk.state.phase == "paused"
    assert talk.state.tries == 0
    assert talk.state.seen == ()


def test_rule_24_which_part_then_two_choices_then_a_parallel_equation_and_never_the_step_unasked() -> None:
    talk = Talk(TWO_STEPS)
    heard = []
    for _ in range(6):
        talk.say(STUCK)
        heard.append(talk.keys[0])
    assert heard == ["which part", "choices move", "example", *["offer to show"] * 3]
    talk.say(HINT)
    assert talk.keys[0] == "show move"
    assert talk.state.aided == "shown"
    talk.say(value("3x"), value("12"))
    assert talk.state.board[-1].level == "shown"


def test_rule_24_whatever_part_is_told_is_taken() -> None:
    for part in (UNCLEAR, value("14"), value("2"), told(move("add", "2", "unsaid"))):
        talk = Talk(TWO_STEPS)
        talk.say(STUCK, part)
        assert talk.keys == ["comment", "ask move"]


# Rule 25 is in test_style.py: every wording, and a turn as a whole.
# Rule 26, how mathematics is read aloud, is in the tests of language; what is said aloud here is in test_style.py.


def test_rule_27_always_repeat_slower_where_are_we_go_back_hint_wait_stop() -> None:
    for phase in (task("3x + 2 = 14"), task("x + 1 = x")):
        opening = begin(Plan((phase,), 1))
        for saying in (REPEAT, SLOWER, WHERE, UNDO, HINT, PAUSE, STOP):
            turn = respond(opening.state, Said("given"), saying)
            assert turn.replies
            assert turn.state.tries == 0


def test_rule_27_repeat_is_verbatim_then_in_other_words_and_free() -> None:
    talk = Talk(TWO_STEPS)
    first = talk.turns[-1].replies
    assert talk.say(REPEAT).replies == first
    again = talk.say(REPEAT).replies
    assert again[-1].key == first[-1].key
    assert again[-1].text != first[-1].text
    assert talk.state.aided == "independent"
    assert talk.state.rung == 0


def test_rule_28_a_doubtful_hearing_is_read_back_with_its_digits_whether_right_or_wrong() -> None:
    for number, digits in (("50", "five zero"), ("18", "one eight")):
        talk = Talk("x - 18 = 27")
        talk.say(move("add", number), doubt="read back")
        assert talk.keys == ["ask confirm"]
        assert f"that is {digits}" in talk.turns[-1].replies[0].spoken
        assert digits not in talk.text
        talk.say(NO)
        assert talk.keys[0] == "say each digit"


def test_rule_28_yes_replays_what_was_heard_and_a_wrong_step_stays_wrong() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(line("3x = 16"), doubt="read back")
    talk.say(YES)
    record = talk.turns[-1].record
    assert record["then"] == ["line broken"]
    assert record["balanced"] is False
    assert record["errors"][0] == "opposite-on-other-side"
    assert talk.state.tries == 1
    assert len(talk.state.board) == 1


def test_rule_28_a_doubtful_yes_does_not_confirm() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("subtract", "2"), doubt="read back")
    talk.say(YES, doubt="read back")
    assert talk.state.phase == "confirm"
    assert talk.keys[0] == "say it again"


@pytest.mark.parametrize("doubt", ["read back", "ask again"])
@pytest.mark.parametrize("paused", [False, True])
def test_rule_29_unconfirmed_speech_is_never_judged(doubt: str, paused: bool) -> None:
    for saying in (line("3x = 16"), move("subtract", "2", "left"), value("99"), line("x = 5"), move("multiply", "0")):
        talk = Talk(TWO_STEPS)
        talk.say(*([PAUSE] if paused else []))
        talk.say(saying, doubt=doubt)  # type: ignore[arg-type]
        record = talk.turns[-1].record
        assert "step" not in record
        assert "balanced" not in record
        talk.say(NO)
        assert "step" not in talk.turns[-1].record
        assert talk.state.tries == 0
        assert talk.state.seen == ()


def test_rule_29_an_ambiguous_grouping_is_asked_about() -> None:
    talk = Talk("(x + 6)/4 = 5")
    talk.say(Unclear("grouping"))
    assert talk.keys == ["unclear grouping"]
    assert talk.state.tries == 0


def test_rule_30_the_line_is_read_again_after_every_move() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("subtract", "2"), value("3x"), value("12"))
    assert "line" in talk.keys
    assert "3x = 12" in talk.text
    talk.say(UNDO)
    assert "3x + 2 = 14" in talk.text


def test_rule_30_an_exit_equation_is_first_tried_without_hints() -> None:
    opening = begin(Plan((Task(task(TWO_STEPS).equation, exit=True),), 1))
    turn = respond(opening.state, Said("given"), HINT)
    assert turn.replies[0].key == "try alone first"


def test_every_phase_says_what_it_expects_and_nothing_of_the_equation() -> None:
    assert set(EXPECTING.values()) <= {"any", "move", "value", "equation", "yesno", "operations", "term"}


def test_a_rewrite_is_taken_and_its_line_asked_for() -> None:
    talk = Talk("5(x - 2) = 3x + 8")
    talk.say(Rewrite("expand"))
    assert talk.keys == ["take rewrite expand", "ask line"]
    talk.say(line("5x - 10 = 3x + 8"))
    assert talk.state.board[-1].note == Rewrite("expand")


@pytest.mark.parametrize("verdict", [NO_NUMBER, EVERY_NUMBER])
def test_none_or_every_number_is_early_right_or_wrong_until_the_line_shows_it(verdict: Verdict) -> None:
    talk = Talk("2(x + 3) = 2x + 11")
    talk.say(verdict)
    assert talk.keys == ["show me the line", "ask move"]
    talk.say(line("2x + 6 = 2x + 11"), verdict)
    assert talk.keys[0] == ("counted none" if verdict == NO_NUMBER else "counted wrong")
