"""The opening scene: what it asks, what it understands, that nothing in it is marked, and every way out of it."""

import random

import pytest
from talking import DISTRESS, HINT, NO, PAUSE, SKIP, STOP, STUCK, UNCLEAR, YES, respond
from test_walks import says

from dialogue.acts import Meaning, Seen, SeenWhat
from dialogue.algebra.equation import read_equation
from dialogue.learner.records import GivenTask, attempts
from dialogue.turn_record import Answered
from dialogue.tutor.activities.balance_scene import LOOSE, RIGHT, picture
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step

EQUATION = read_equation("n + 17 = 45")


def opened(seed: int = 0) -> Turn:
    return begin(Plan((Task(EQUATION, 1, scene=True),), seed))


def told(*texts: str, channel: str = "typed") -> list[Turn]:
    turns = [opened()]
    for text in texts:
        turns.append(step(turns[-1].state, Utterance(text, channel)))  # type: ignore[arg-type]
    return turns


def keys(turn: Turn) -> list[str]:
    return [reply.key for reply in turn.replies]


def test_it_begins_with_the_balance_and_not_with_the_equation() -> None:
    turn = opened()
    assert keys(turn) == ["welcome", "scene", "scene other side", "scene picture", "ask scene tips"]
    assert turn.state.phase == "scene tips"
    assert turn.replies[3].spoken == "" and "[bag] ●●●" in turn.replies[3].text


# invented, as an eleven-year-old or a returning adult might say it; (unsure) where a careful tutor would ask again
TIPS = (
    "it tips", "goes down on the right", "the right goes down", "the right side will go down", "left goes up",
    "it will tip to the right", "it tips over", "it won't be balanced", "it's not level any more", "not balanced",
    "the right is heavier", "the left is lighter", "right", "the right side", "unbalanced", "one side goes down",
    "it isn't equal now", "it falls to the right", "I think the right side goes down", "um the right gets heavier",
    "the left side goes up because it is lighter", "it leans to the right", "it goes wonky", "the other side goes down",
    "it will be uneven", "the bag goes up",
)  # fmt: skip
NOT_TIPS = ("nothing", "it stays level", "the left goes down", "the left side", "nothing happens", "it stays the same",
            "it doesn't move", "it is still balanced", "the right goes up")  # fmt: skip
LEVELS = (
    "take the same off the other side", "take 3 off the right", "take three off the right side",
    "take three marbles off the right", "take 3 from the right", "remove three from the other side",
    "take the same amount away from the right", "take 3 off both sides", "do the same to the other side",
    "do the same on the right", "subtract 3 from the right", "get rid of three on the right", "three off the right",
    "take three away on the right side", "take off 3 on the other side too", "minus 3 on the right",
    "you could take three from the other side", "take three from the right hand side",
)  # fmt: skip
BACK = ("put them back", "put the three back", "put the marbles back on the left", "add 3 to the left",
        "put three marbles on the left side", "put it back")  # fmt: skip
NOT_LEVEL = ("add 3 to the right", "put three more on the right", "take 8 off the right", "take 3 off the left",
             "take the bag off")  # fmt: skip


@pytest.mark.parametrize("text", TIPS)
def test_it_tips(text: str) -> None:
    turn = told(text)[-1]
    assert (turn.record.event, turn.state.phase) == ("scene right", "scene level")


@pytest.mark.parametrize("text", NOT_TIPS)
def test_it_does_not_stay(text: str) -> None:
    turn = told(text)[-1]
    assert (turn.record.event, turn.state.phase) == ("scene wrong", "scene tips")
    assert keys(turn) == ["scene count", "ask scene tips"]


@pytest.mark.parametrize("text", LEVELS)
def test_level_again(text: str) -> None:
    turn = told("it tips", text)[-1]
    assert (turn.record.event, turn.state.phase) == ("scene right", "operations")
    assert keys(turn) == ["scene levelled", "scene picture", "scene over", "line", "ask operations"]


@pytest.mark.parametrize("text", BACK)
def test_putting_them_back_is_level_too(text: str) -> None:
    turn = told("it tips", text)[-1]
    assert (turn.record.event, turn.state.phase) == ("scene back", "scene level")
    assert keys(turn) == ["scene put back"]


@pytest.mark.parametrize("text", NOT_LEVEL)
def test_not_level(text: str) -> None:
    turn = told("it tips", text)[-1]
    assert (turn.record.event, turn.state.phase) == ("scene wrong", "scene level")


@pytest.mark.parametrize("meaning", [HINT, STUCK, UNCLEAR, Seen("level"), YES])
def test_whoever_does_not_see_it_is_told_and_gets_to_the_equation(meaning: Meaning) -> None:
    turn, said = opened(), 0
    while turn.state.phase.startswith("scene"):
        turn, said = respond(turn.state, Utterance("given"), meaning), said + 1
    assert said <= 8
    assert turn.state.phase == "operations" and keys(turn)[-2:] == ["line", "ask operations"]


def test_nothing_in_it_is_marked_and_it_is_no_attempt() -> None:
    turns = told("nothing", "the left goes down", "add 3 to the right", "take 3 off the left", "stop")
    records = [turn.record for turn in turns[1:]]
    answered = [record for record in records if isinstance(record, Answered)]
    assert not any(record.steps for record in answered)
    assert list(attempts([GivenTask(EQUATION, 1)], answered, 1, 0)) == []
    assert turns[-1].state.seen == ()


def test_skip_goes_straight_to_the_equation() -> None:
    for turn in (told("skip")[-1], told("it tips", "skip")[-1]):
        assert keys(turn) == ["scene over", "line", "ask operations"]
        assert (turn.state.place, turn.state.phase) == (0, "operations")


def test_a_pause_and_a_message_of_distress_come_back_to_it() -> None:
    turn = respond(opened().state, Utterance("given"), PAUSE)
    assert turn.state.phase == "paused"
    turn = respond(turn.state, Utterance("given"), Seen("right down"))
    assert turn.state.phase == "scene level"
    turn = respond(turn.state, Utterance("given"), DISTRESS)
    assert turn.state.phase == "offer stop"
    turn = respond(turn.state, Utterance("given"), NO)
    assert turn.state.phase == "scene level" and "line" not in keys(turn)
    assert respond(turn.state, Utterance("given"), STOP).state.phase == "done"


@pytest.mark.parametrize("what", ["left down", "right down", "tips", "level", "same off", "back", "other"])
def test_what_was_heard_in_doubt_is_read_back_first(what: SeenWhat) -> None:
    turn = respond(opened().state, Utterance("given", "spoken", "read back"), Seen(what))
    assert keys(turn) == ["ask confirm"] and turn.state.phase == "confirm"
    turn = respond(turn.state, Utterance("given", "spoken"), YES)
    assert turn.state.phase == ("scene level" if what in {"tips", "right down"} else "scene tips")


def test_confirmed_out_of_the_scene_the_line_is_shown() -> None:
    turn = respond(opened().state, Utterance("given"), Seen("tips"))
    turn = respond(turn.state, Utterance("given", "spoken", "read back"), Seen("same off"))
    turn = respond(turn.state, Utterance("given", "spoken"), YES)
    assert "line" in keys(turn)


@pytest.mark.parametrize("seed", range(40))
def test_any_walk_through_it_gives_a_turn_and_replays(seed: int) -> None:
    rng = random.Random(seed)
    seen: list[SeenWhat] = ["tips", "left down", "level", "same off", "back", "other"]
    meanings: list[Meaning | None] = []
    turns = [opened(seed)]
    for _ in range(12):
        meaning = Seen(rng.choice(seen)) if rng.random() < 0.3 else says(rng, turns[-1].state)
        meaning = UNCLEAR if meaning == SKIP else meaning
        meanings.append(meaning)
        turns.append(respond(turns[-1].state, Utterance("given"), meaning))
    again = opened(seed)
    for meaning, turn in zip(meanings, turns[1:], strict=True):
        again = respond(again.state, Utterance("given"), meaning)
        assert again == turn


def test_the_pictures_are_true() -> None:
    """Level is drawn with both plates in one row; the lower plate is the heavier side's."""
    level, tipped, again = picture(LOOSE, RIGHT), picture(0, RIGHT), picture(0, RIGHT - LOOSE)
    assert [row.count("═") for row in level.split("\n") if "═" in row] == [26]
    assert [row.count("═") for row in again.split("\n") if "═" in row] == [26]
    rows = tipped.split("\n")
    bag, marbles = (next(place for place, row in enumerate(rows) if sign in row) for sign in ("[bag]", "●"))
    assert bag < marbles and rows[marbles].count("●") == RIGHT
    assert all(row == row.rstrip() for row in rows)
