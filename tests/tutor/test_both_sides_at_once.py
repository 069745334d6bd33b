"""Both sides of a check said in one turn are both taken; a number with a minus in front is put in where it solves the
line; and in the pre-check a question beside a step, or two digits turned round, end nothing. The turns are
invented."""

import pytest

from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Move
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step

FADED = (("operations", 4), ("first", 2))
EQUATIONS = {"6n + 23 = 10n + 7": (4, 47), "3n + 1 = 2n + 9": (8, 25), "2(n + 3) = n + 1": (-5, -4)}
BOTH = (
    "{v} and {v}", "{v} = {v}", "{v}. right also {v}", "{v} and {v}. ok", "left {v}, right {v}", "{v} both sides",
    "{v} on both sides", "its {v} and the other is {v} too", "left is {v} and right is {v}",
)  # fmt: skip


def _lesson(*texts: str, purpose: str = "") -> Turn:
    tasks = tuple(Task(read_equation(text), purpose=purpose) for text in texts)  # type: ignore[arg-type]
    return begin(Plan(tasks, 1, FADED, open=bool(purpose)))


def _told(turn: Turn, *said: str) -> Turn:
    for text in said:
        turn = step(turn.state, Utterance(text))
    return turn


@pytest.mark.parametrize("wording", BOTH)
@pytest.mark.parametrize("equation", EQUATIONS)
def test_both_sides_in_one_turn_are_both_taken(equation: str, wording: str) -> None:
    answer, value = EQUATIONS[equation]
    turn = _told(_lesson(equation, "n + 3 = 9"), f"n = {answer}", wording.format(v=value))
    assert turn.state.place == 1, [reply.text for reply in turn.replies]


@pytest.mark.parametrize("wording", BOTH)
def test_both_sides_said_wrongly_are_never_taken(wording: str) -> None:
    turn = _told(_lesson("6n + 23 = 10n + 7", "n + 3 = 9"), "n = 4", wording.format(v=46))
    assert turn.state.place == 0 and turn.state.phase == "check left"


def test_a_value_told_before_is_taken_when_it_is_told_of_both() -> None:
    turn = _told(_lesson("6n + 23 = 10n + 11", "n + 3 = 9"), "n = 3", "41", "I told 41 both sides!")
    assert turn.state.place == 1


@pytest.mark.parametrize("said", ["-14", "minus 14", "negative 14"])
def test_minus_a_number_that_solves_the_line_is_put_in(said: str) -> None:
    turn = _told(_lesson("n + 29 = 15"), said)
    assert turn.state.guess == -14 and turn.state.phase == "check left"


@pytest.mark.parametrize(
    ("equation", "said"), [("n + 14 = 15", "-14"), ("n + 29 = 15", "take 14"), ("n + 29 = 15", "-29")]
)
def test_else_it_is_a_move(equation: str, said: str) -> None:
    turn = _told(_lesson(equation), said)
    assert turn.state.guess is None and isinstance(turn.state.pending, Move)


def test_the_answer_said_after_a_no_is_that_line() -> None:
    turn = _told(_lesson("n + 29 = 15"), "take 14", "no n is minus 14")
    assert turn.state.guess == -14


@pytest.mark.parametrize(
    ("equation", "said"),
    [
        ("5n = 95", ("do i do minus 5?", "uhhh its 5 times n. but why cant i just take the 5 away tho")),
        ("6n = 84", ("I'm not sure what you mean? I don't know what n is, isn't that the whole question?",)),
        ("4n = 96", ("take away 7", "idk")),
        ("3n + 67 = 12n + 4", ("take 3n from both because its first, is that right? or do the 67 first",)),
    ],
)
def test_a_question_in_the_precheck_leaves_the_equation(equation: str, said: tuple[str, ...]) -> None:
    turn = _told(_lesson(equation, "n + 29 = 50", purpose="place"), *said)
    assert turn.state.place == 0
    assert not {"noted wrong", "for later"} & {reply.key for reply in turn.replies}


def test_a_wrong_answer_in_the_precheck_may_be_put_right_once() -> None:
    turn = _told(_lesson("6n = 84", "n + 29 = 50", purpose="place"), "n = 15")
    assert turn.state.place == 0 and [reply.key for reply in turn.replies[:2]] == ["answer too big", "once more"]
    again = step(turn.state, Utterance("n = 16"))
    assert again.state.place == 1 and again.replies[0].key == "noted wrong"
    right = step(turn.state, Utterance("n = 14"))
    assert right.state.place == 1 and right.replies[0].key == "noted right" and "14" in right.replies[0].text
    assert not right.state.solo, "what was put right after a look at it was not done alone"


def test_digits_the_wrong_way_round_are_met_in_the_precheck_once() -> None:
    turn = _told(_lesson("4(n + 10) = 60", "n + 29 = 50", purpose="place"), "divide by 4", "n + 10 = 51")
    assert turn.state.place == 0 and turn.replies[0].key == "look at the digits"
    assert step(turn.state, Utterance("oh i ment 15 not 51")).state.place == 0
    assert step(turn.state, Utterance("n + 10 = 51")).state.place == 1


@pytest.mark.parametrize(("equation", "said"), [("3n = 66", "the 3?"), ("n/6 = 9", "6"), ("3n + 5 = 20", "the 3")])
def test_a_number_beside_the_unknown_is_named_and_not_put_in(equation: str, said: str) -> None:
    turn = _told(begin(Plan((Task(read_equation(equation)),), 1)), "idk", said)
    assert turn.state.guess is None and turn.state.phase == "operations"


@pytest.mark.parametrize(
    "said", ["its 9, 9 stays 9", "9 and its 9", "well its 9, that side is already the answer so it stays 9"]
)
def test_one_side_said_twice_is_no_line(said: str) -> None:
    turn = _told(_lesson("n/6 = 9"), "times 6", "n", said)
    assert turn.state.held == () and turn.state.phase == "right"


def test_never_mind_denies_nothing() -> None:
    turn = _told(_lesson("5x = 65"), "never mind. divide by 5, x = 13")
    assert len(turn.state.board) == 2 and turn.state.guess == 13
