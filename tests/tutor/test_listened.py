"""Being listened to: nothing empty is ever read back, a reading is asked back seldom and once, and a new equation is
always shown. Over every act, alone and in pairs; the turns are invented."""

from copy import copy
from itertools import pairwise, product

import pytest
from talking import HINT, NO, SKIP, STOP, STUCK, YES, Talk, line, move, told, value

from dialogue.acts import Act, Ask, Comment, Control, Describe, PartMove, Refused, Say, Term, Try, Unclear, Work
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Rewrite, Verdict
from dialogue.algebra.reading import read_expression
from dialogue.turn_record import Given
from dialogue.tutor import give
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step

TWO = "3x + 2 = 14"
NEXT = "5x - 1 = 9"
READ_BACK = ("ask meant", "ask meant move", "ask confirm")
ACTS: tuple[Act, ...] = (
    move("subtract", "2"), move("subtract", "2", "left"), move("divide", "3"), move("transfer", "2"),
    line("3x = 12"), line("3x = 16"), value("4"), value("3x"), Term(read_expression("2")), Try(read_expression("5")),
    Work(read_expression("2 + 2"), read_expression("4")), PartMove(), PartMove("divide"), PartMove(None, None, "both"),
    PartMove(None, read_expression("2")), Describe(()), told(move("add", "9")), Rewrite("swap"), Verdict("none"),
    *(Ask(what) for what in ("hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game",
                             "meaning", "answer")),
    *(Say(what) for what in ("yes", "no", "stuck", "checked")),
    *(Control(what) for what in ("undo", "skip", "stop", "pause", "restart", "slower", "easier", "harder", "lead")),
    *(Comment(kind) for kind in ("reason", "rule", "notice", "goal", "object", "feel", "aside")),
    Refused(STOP), Refused(move("subtract", "2")), Unclear(),
)  # fmt: skip
BEFORE: tuple[tuple[Act, ...], ...] = (
    (), (move("subtract", "2"),), (value("5"),), (move("subtract", "2", "left"),), (Ask("game"),), (STUCK,),
)  # fmt: skip


def _texts(talk: Talk) -> list[str]:
    return [text for reply in talk.turns[-1].replies for text in (reply.text, reply.spoken)]


@pytest.mark.parametrize("place", range(len(BEFORE)))
def test_nothing_empty_is_ever_read_back(place: int) -> None:
    """Every pair of acts, each in one of the states, and every act in every state: as a Latin square has them."""
    before = BEFORE[place]
    begun = Talk(TWO, NEXT, fresh=before == (STUCK,))
    begun.say(*before)
    pairs = product(enumerate(ACTS), enumerate(ACTS))
    for first, second in ((one, two) for (row, one), (column, two) in pairs if (row + column) % len(BEFORE) == place):
        talk = copy(begun)
        talk.turns = begun.turns[-1:]
        talk.turn(first, second, sure=False, rivals=((second,), (Unclear(),)))
        talk.turn(NO)
        for turn in talk.turns[-2:]:
            for text in (text for reply in turn.replies for text in (reply.text, reply.spoken)):
                assert ": ?" not in text and " , " not in text and ": ," not in text and "  " not in text.strip(), text
                assert "{" not in text and "some number" not in text, text


@pytest.mark.parametrize("act", ACTS, ids=str)
def test_nothing_empty_is_read_back_of_what_was_hardly_heard(act: Act) -> None:
    talk = Talk(TWO)
    talk.say(act, doubt="read back")
    assert all(": . Yes" not in text and "that ?" not in text for text in _texts(talk)), _texts(talk)


TALK = (HINT, Ask("why"), Ask("meaning"), Ask("check"), STUCK, *(act for act in ACTS if isinstance(act, Comment)))


@pytest.mark.parametrize("acts", [*((act,) for act in TALK), *product(TALK, TALK)], ids=str)
def test_talk_is_answered_and_never_read_back(acts: tuple[Act, ...]) -> None:
    for before in ((), (move("subtract", "2"),), (value("5"),)):
        talk = Talk(TWO)
        talk.say(*before)
        talk.turn(*acts, sure=False)
        assert not set(talk.keys) & set(READ_BACK) and talk.state.phase != "confirm"


SCRIPTS: tuple[tuple[Act, ...], ...] = (
    (line("3x = 16"), NO, line("3x = 16"), line("3x = 15"), NO, line("3x = 11"), line("3x = 16")),
    (move("subtract", "2", "left"), NO, move("subtract", "2", "left"), move("divide", "3", "left"), NO, HINT),
    (line("3x = 16"), STUCK, line("3x = 15"), STUCK, line("3x = 11"), STUCK, line("3x = 16"), NO),
    (line("3x = 16"), YES, move("add", "2", "left"), YES, line("3x = 15"), Unclear(), line("3x = 16")),
)


@pytest.mark.parametrize("script", SCRIPTS, ids=str)
def test_at_most_one_reading_is_asked_back_in_three_turns_and_never_in_the_same_words(script: tuple[Act, ...]) -> None:
    talk = Talk(TWO)
    asked: list[int] = []
    words: list[str] = []
    for place, act in enumerate(script):
        talk.turn(act, sure=isinstance(act, Say))
        found = [reply.text for reply in talk.turns[-1].replies if reply.key in READ_BACK]
        asked += [place] * len(found)
        words += found
    assert asked and all(after - before >= 3 for before, after in pairwise(asked)), asked
    assert len(words) == len(set(words))


# -- the equation is shown --------------------------------------------------------------------------------------------


def _shows(turn: Turn) -> bool:
    equation = turn.state.task.equation.text()
    shown = [reply for reply in turn.replies if reply.key == "line"]
    return any(read_equation(reply.text.replace("\u2212", "-")).text() == equation for reply in shown) and all(
        reply.spoken for reply in shown
    )


WAYS: tuple[tuple[Act, ...], ...] = (
    (SKIP,), (YES, SKIP), (SKIP, YES), (Comment("feel", "thanks"), SKIP), (Control("harder"),), (Control("easier"),),
    (value("4"),), (line("3x = 12"), line("x = 4")), (HINT,) * 30, (Ask("answer"),) * 30,
)  # fmt: skip


@pytest.mark.parametrize("sure", [True, False])
@pytest.mark.parametrize("given", [False, True])
@pytest.mark.parametrize("way", WAYS, ids=str)
def test_every_way_to_a_new_equation_shows_it(way: tuple[Act, ...], given: bool, sure: bool) -> None:
    tasks = (Task(read_equation(TWO)), Task(read_equation(NEXT)))
    talk = Talk(TWO, NEXT)
    talk.turns = [begin(Plan(tasks[:1] if given else tasks, 3, (("operations", 4), ("first", 2)), open=given))]
    together = len(way) < 5 and SKIP in way
    for acts in [way] if together else [(act,) for act in way]:
        talk.turn(*acts, sure=sure)
        while talk.state.phase in {"check left", "check right", "reason"}:
            talk.turn(value("14"))
        while talk.state.phase in {"confirm", "compare"}:
            talk.turn(YES)
        if talk.state.phase == "between":
            talk.turns.append(give(talk.state, tasks[1], Given()))
        if talk.state.place == 1:
            break
    assert talk.state.place == 1 and _shows(talk.turns[-1])


def test_a_new_equation_waits_for_the_answer_whether_to_stop() -> None:
    talk = Talk(TWO, NEXT)
    talk.say(value("4"))
    talk.turn(value("14"), STOP, sure=False)
    assert talk.state.phase == "offer stop" and "line" not in talk.keys
    talk.turn(NO)
    assert _shows(talk.turns[-1])


@pytest.mark.parametrize("text", ["show me the equation", "what is the equation now", "what's an equation"])
def test_whoever_asks_for_the_equation_sees_it(text: str) -> None:
    state = begin(Plan((Task(read_equation(TWO)),), 3, (("operations", 4), ("first", 2)))).state
    for before in ((), ("hint", "hint")):
        for said in before:
            state = step(state, Utterance(said)).state
        assert _shows(step(state, Utterance(text)))


def test_whoever_only_talks_does_not_lose_sight_of_the_equation() -> None:
    talk = Talk(TWO)
    talk.say(Comment("notice"), Comment("object"), Comment("notice"))
    assert any(_shows(turn) for turn in talk.turns[1:])
