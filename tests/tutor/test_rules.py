"""The thirty rules of questioning, one test a rule or more, named by number.

The rules come from the trade: common practice and memory, no published source, except where a test names one.
Here 1 to 5 and 30, on asking, and 6 to 12, on right steps; test_rules_not_yet.py has 13 to 24, test_rules_by_ear.py
25 to 29.
"""

import pytest
from talking import (
    HINT,
    PAUSE,
    STUCK,
    UNCLEAR,
    UNDO,
    Talk,
    line,
    move,
    respond,
    task,
    told,
    value,
)

from dialogue.acts import Ask, Say
from dialogue.tutor.activities.reasons import ASKED_ABOUT
from dialogue.tutor.core.state import Plan, Task, Utterance
from dialogue.tutor.session import begin
from dialogue.tutor.session import step as one_turn

TWO_STEPS = "3x + 2 = 14"  # invented
IN_ORDER = told(move("multiply", "3", "unsaid"), move("add", "2", "unsaid"))


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
    for saying, asked in (
        (move("subtract", "2"), "ask left"),
        (value("3x"), "ask right"),
        (value("12"), "ask next line"),
    ):
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
    opening = begin(Plan((task(TWO_STEPS),), seed, (("operations", 4), ("first", 2))))
    return respond(opening.state, Utterance("given"), saying).state.phase == "reason"  # type: ignore[arg-type]


def test_rule_06_how_do_you_know_is_asked_after_right_and_wrong_alike() -> None:
    steps = (move("subtract", "2"), move("add", "2"), move("subtract", "2", "left"), line("3x = 12"), line("3x = 16"))
    asked = [[asked_for_reason(step, seed) for seed in range(300)] for step in steps]
    assert all(one == asked[0] for one in asked), "by the seed alone, never by whether the step is right"
    assert 20 <= sum(asked[0]) <= 60, "about one in eight"
    assert {"move closer", "move one side", "line broken"} <= ASKED_ABOUT


def reason_seed() -> int:
    """A seed with which the first step is met with "how do you know?"."""
    return next(seed for seed in range(50) if asked_for_reason(move("subtract", "2"), seed))


def test_rule_06_the_step_is_judged_after_the_reason_and_the_reason_is_not() -> None:
    for step, event in ((move("subtract", "2"), "move closer"), (line("3x = 16"), "line broken")):
        talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
        talk.say(step)
        assert talk.keys == ["ask reason"]
        assert talk.turns[-1].record.steps == ()
        talk.say(UNCLEAR)
        assert talk.turns[-1].record.then == (event,)
        assert talk.turns[-1].record.judged.balanced is (event == "move closer")


def test_rule_06_who_passes_over_the_question_and_goes_on_is_not_held_up() -> None:
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), value("3x"))
    assert talk.state.phase == "right"
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), value("99"))  # part of a reason, for all the tutor knows: never marked
    assert talk.state.phase == "left"
    assert talk.state.tries == 0


def test_rule_07_questions_fade_once_answered_unaided_of_a_kind() -> None:
    talk = Talk("x + 5 = 12", "x + 6 = 15", "3x + 2 = 14", "5x + 1 = 16", fresh=True)
    assert talk.state.phase == "operations"
    talk.say(told(move("add", "5", "unsaid")), line("x = 7"), value("12"))
    assert talk.state.phase == "move", "one step, told once"
    talk.say(line("x = 9"))
    assert talk.state.phase == "operations", "two steps are another kind"
    talk.say(IN_ORDER, value("2"), line("x = 4"))
    assert talk.state.phase == "move"


def test_rule_07_one_step_is_not_asked_about_once_one_is_solved() -> None:
    talk = Talk("x + 5 = 12", "4x = 20", fresh=True)
    talk.say(line("x = 7"), value("12"))
    assert talk.state.phase == "move"


def test_rule_07_a_two_step_equation_takes_three_turns_of_a_competent_learner_from_the_second_on() -> None:
    talk = Talk("3x + 2 = 14", "5x + 1 = 16", fresh=True)
    talk.say(IN_ORDER, value("2"), move("subtract", "2"), value("3x"), value("12"), line("x = 4"), value("14"))
    before = len(talk.turns)
    talk.say(line("5x = 15"), line("x = 3"), value("16"))
    assert talk.state.solved == (0, 1)
    assert len(talk.turns) - before == 3


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
    assert talk.keys == ["ask check left"]
    assert talk.state.phase == "check left"
    assert talk.state.solved == ()
    talk.say(value("12"))
    assert talk.state.solved == (0,)


def test_rule_10_the_step_is_credited_and_the_reason_tried_where_it_fails() -> None:
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), told(move("subtract", "2", "unsaid")))
    assert talk.state.phase == "left"
    assert talk.turns[-1].record.reason_given == "same operation"
    assert "would not work on x − 2 = 7" in talk.text
    talk = Talk(TWO_STEPS, seed=reason_seed(), reasons=True)
    talk.say(move("subtract", "2"), told(move("add", "2", "unsaid")))
    assert talk.turns[-1].record.reason_given == "inverse"
    assert talk.keys[:2] == ["reason inverse", "take move"]


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
    assert any(turn.record.corrected for turn in talk.turns[1:])
    assert talk.state.board[-1].level == "independent"


def test_rule_30_the_line_is_read_again_after_every_move() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(move("subtract", "2"), value("3x"), value("12"))
    assert "line" in talk.keys
    assert "3x = 12" in talk.text
    talk.say(UNDO)
    assert "3x + 2 = 14" in talk.text


def test_rule_30_an_exit_equation_has_no_hints() -> None:
    """Nor an example; who asks again on the same line is let go, and the record says that it was not solved."""
    tasks = (Task(task(TWO_STEPS).equation, exit=True),)
    for ask in (HINT, Say("stuck"), Ask("example")):
        state = begin(Plan(tasks, 1)).state
        first = respond(state, Utterance("given"), ask)
        assert first.replies[0].key == "try alone first" and first.state.aided == "prompted"
        again = respond(first.state, Utterance("given"), ask)
        assert again.replies[0].key == "for later" and again.state.phase == "done" and not again.state.solved


def test_rule_30_on_each_line_of_an_exit_equation_help_may_be_asked_for_once() -> None:
    state = begin(Plan((Task(task(TWO_STEPS).equation, exit=True, purpose="exit"),), 1)).state
    for text in ("hint", "take 2 from both sides", "hint", "3x", "hint", "12", "hint", "divide both sides by 3"):
        turn = one_turn(state, Utterance(text))
        state = turn.state
        assert ("try alone first" in [reply.key for reply in turn.replies]) == (text == "hint")
    assert state.phase != "done"


SAID = [
    ("add two no take away two from both sides", "move", {"act": "move", "operation": "add", "operand": "2"}),
    ("subtract 2 I mean divide by 3", "move", {"act": "move", "operation": "subtract", "operand": "2"}),
    ("take away 2 from both sides", "move", None),
]


@pytest.mark.parametrize(("text", "phase", "first"), SAID)
def test_rule_12_the_last_version_is_taken_and_the_first_is_put_down_as_taken_back(
    text: str, phase: str, first: dict[str, str] | None
) -> None:
    talk = Talk(TWO_STEPS)
    assert talk.state.phase == phase
    turn = one_turn(talk.state, Utterance(text))
    assert (turn.record.taken_back is not None) == (first is not None)
    if first is not None:
        assert first.items() <= turn.record.taken_back.items()
    if turn.record.judged is not None and first is not None:
        assert turn.record.corrected is turn.record.judged.balanced


def test_rule_12_what_is_taken_back_is_never_judged() -> None:
    talk = Talk(TWO_STEPS, seed=1)
    turn = one_turn(talk.state, Utterance("add two no take away two from both sides"))
    assert turn.record.judged.balanced is True
    assert turn.record.corrected is True
    assert turn.state.seen == ()
