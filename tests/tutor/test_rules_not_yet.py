"""Rules 13 to 24: steps that are not there yet. See test_rules.py for where the rules come from."""

import re
from fractions import Fraction

import pytest
from talking import (
    EVERY_NUMBER,
    NO,
    NO_NUMBER,
    STUCK,
    UNCLEAR,
    YES,
    Talk,
    line,
    move,
    told,
    value,
)

from dialogue.algebra.moves import Rewrite, Verdict

TWO_STEPS, BOTH_SIDES = "3x + 2 = 14", "8x + 3 = 5x + 21"  # invented
NOT_TOLD = re.compile(r"\bwrong\b|\bincorrect\b|\bnot right\b", re.IGNORECASE)


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


def test_rule_14_right_move_check_the_side_then_the_sum_and_the_number_only_at_last() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("subtract", "2"), value("3x"), value("13"))
    assert talk.keys[0] == "check arithmetic"
    talk.say(value("11"))
    assert talk.keys[0] == "look at the sum"
    talk.say(value("10"))
    assert talk.keys[0] == "hint sum"
    assert "12" not in talk.text
    talk.say(value("10"))
    assert talk.keys[0] == "show line", "wrong four times in one place: shown, and logged so"
    assert talk.state.board[-1].level == "shown"


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
    assert all(step.balanced for step in talk.turns[-1].record.steps)
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
    assert talk.keys == ["heard object", "ask move"]


def test_rule_18_a_subtracted_coefficient_is_tested_with_two() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(line("x + 2 = 11"))
    assert talk.turns[-1].record.judged.errors[0] == "subtract-coefficient"
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
    assert talk.turns[-1].record.pattern == "combine-unlike-terms"


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


def test_rule_24_which_part_then_two_choices_then_a_parallel_equation_and_then_the_step_as_shown() -> None:
    talk = Talk(TWO_STEPS)
    heard = []
    for _ in range(4):
        talk.say(STUCK)
        heard.append(talk.keys[0])
    assert heard == ["which part", "choices move", "example", "show move"]
    assert talk.state.aided == "shown"
    talk.say(value("3x"), value("12"))
    assert talk.state.board[-1].level == "shown"


def test_rule_24_whatever_part_is_told_is_taken() -> None:
    for part in (UNCLEAR, value("14"), value("2"), told(move("add", "2", "unsaid"))):
        talk = Talk(TWO_STEPS)
        talk.say(STUCK, part)
        assert talk.keys == ["ask move"]


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
