"""Rules 25 to 29: learning by ear. See test_rules.py for where the rules come from."""

from dataclasses import replace
from fractions import Fraction

import pytest
from talking import (
    HINT,
    NO,
    PAUSE,
    REPEAT,
    SLOWER,
    STOP,
    UNDO,
    WHERE,
    YES,
    Talk,
    line,
    move,
    respond,
    task,
    value,
)

from dialogue.acts import PartMove, Unclear
from dialogue.algebra.moves import Move
from dialogue.algebra.tree import Number
from dialogue.tutor.core.state import Doubt, Plan, Utterance
from dialogue.tutor.interpret_in_lesson import EXPECTING
from dialogue.tutor.session import begin, step
from dialogue.understanding.interpret import interpret

TWO_STEPS = "3x + 2 = 14"  # invented


# Rule 25 is in test_style.py: every wording, and a turn as a whole.
# Rule 26, how mathematics is read aloud, is in the tests of language; what is said aloud here is in test_style.py.


def test_rule_27_always_repeat_slower_where_are_we_go_back_hint_wait_stop() -> None:
    for phase in (task("3x + 2 = 14"), task("x + 1 = x")):
        opening = begin(Plan((phase,), 1))
        for saying in (REPEAT, SLOWER, WHERE, UNDO, HINT, PAUSE, STOP):
            turn = respond(opening.state, Utterance("given"), saying)
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
        assert talk.keys == ["part heard", "ask part"]
        assert number not in talk.text


def test_rule_28_after_no_the_next_thing_that_may_have_been_heard_is_read_back() -> None:
    start = begin(Plan((task("x + 18 = 27"),), 1)).state
    said = heard("subtract eighty from both sides", "read back", "subtract eighteen from both sides")
    first = step(start, said)
    assert "80" in first.replies[-1].text
    second = step(first.state, Utterance("no", "spoken"))
    assert "18" in second.replies[-1].text
    assert second.state.phase == "confirm"
    taken = step(second.state, Utterance("yes", "spoken"))
    assert taken.state.phase != "confirm"
    assert step(second.state, Utterance("no", "spoken")).state.phase == "part"


def heard(text: str, doubt: Doubt = "none", *others: str) -> Utterance:
    """Something heard, and what else it may have been; with others it comes understood, as from the recognisers."""
    meant = tuple(interpret(each, "operations") for each in (text, *others)) if others else ()
    return Utterance(text, "spoken", doubt, meant)


def test_rule_28_after_two_read_backs_only_the_number_is_asked_for() -> None:
    state = begin(Plan((task("x + 18 = 27"),), 1)).state
    for said in (heard("subtract eighty from both sides", "read back", "subtract eighteen from both sides"),
                 heard("no"), heard("no")):  # fmt: skip
        state = step(state, said).state
    assert (state.phase, state.part) == ("part", PartMove("subtract", None, "both"))
    turn = step(state, heard("sixteen", "read back"))
    assert turn.state.phase == "confirm"
    taken = step(turn.state, heard("yes")).state
    assert taken.pending == Move("subtract", Number(Fraction(16)), "both")


def test_rule_28_of_two_operations_refused_the_operation_is_asked_for() -> None:
    state = begin(Plan((task("x + 18 = 27"),), 1)).state
    for said in (heard("divide both sides by five", "read back", "multiply both sides by five"), heard("no"),
                 heard("no")):  # fmt: skip
        turn = step(state, said)
        state = turn.state
    assert [reply.key for reply in turn.replies] == ["not that one", "ask part operation"]


@pytest.mark.parametrize("said", ["no it's eighteen", "no eighteen", "eighteen"])
def test_rule_28_a_number_said_instead_of_a_yes_corrects_what_was_read_back(said: str) -> None:
    state = begin(Plan((task("x + 18 = 27"),), 1)).state
    state = step(state, heard("subtract eighty from both sides", "read back")).state
    turn = step(state, heard(said))
    if turn.state.phase == "confirm":  # not sure of the words: read back, put right
        assert "18" in turn.replies[-1].text
        turn = step(turn.state, heard("yes"))
    assert turn.state.pending == Move("subtract", Number(Fraction(18)), "both")


def test_rule_28_a_yes_or_no_that_cannot_be_heard_twice_is_no_longer_asked_for() -> None:
    state = begin(Plan((task("x + 18 = 27"),), 1)).state
    phase = state.phase
    state = step(state, heard("subtract eighty from both sides", "read back")).state
    first = step(state, heard("grr", "ask again"))
    assert first.state.phase == "confirm"
    second = step(first.state, heard("grr", "ask again"))
    assert (second.state.phase, second.state.held) == (phase, ())
    assert second.replies[0].key == "leave that"


@pytest.mark.parametrize(
    ("said", "event"),
    [
        ("never", "verdict right"),
        ("always", "verdict wrong"),
        ("no solution", "verdict right"),
        ("always true", "verdict wrong"),
    ],
)
def test_none_and_every_number_are_taken_in_the_words_in_which_they_are_asked_for(said: str, event: str) -> None:
    state = replace(begin(Plan((task("x + 1 = x"),), 1)).state, phase="count")
    assert step(state, heard(said)).record.event == event


def test_rule_28_yes_replays_what_was_heard_and_a_wrong_step_stays_wrong() -> None:
    talk = Talk(TWO_STEPS)
    talk.say(line("3x = 16"), doubt="read back")
    talk.say(YES)
    record = talk.turns[-1].record
    assert record.then == ("line broken",)
    assert record.judged.balanced is False
    assert record.judged.errors[0] == "opposite-on-other-side"
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
        assert record.steps == ()
        talk.say(NO)
        assert talk.turns[-1].record.steps == ()
        assert talk.state.tries == 0
        assert talk.state.seen == ()


def test_rule_29_an_ambiguous_grouping_is_asked_about() -> None:
    talk = Talk("(x + 6)/4 = 5")
    talk.say(Unclear("grouping"))
    assert talk.keys == ["unclear grouping"]
    assert talk.state.tries == 0


def test_every_phase_says_what_it_expects_and_nothing_of_the_equation() -> None:
    assert set(EXPECTING.values()) <= {"any", "move", "value", "equation", "yesno", "operations", "term", "balance"}
