"""What is right is never called wrong, and nobody is credited with what they did not do.

Sums done aloud one after the other are right if any ordinary reading is ("6x4 is 24 + 36 = 60"): Kieran 1981 has the
running reading of the sign of equality. The rest is common practice, no source; all turns are invented.
"""

import pytest
from talking import YES, Talk, line, meant, move, value

from dialogue.acts import Act, PartMove, Say, Value, Work
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Move
from dialogue.algebra.tree import constant
from dialogue.turn_record import Answered
from dialogue.tutor import session
from dialogue.tutor.core.line_in_hand import is_true
from dialogue.tutor.core.state import Plan, State, Task, Turn, Utterance
from dialogue.understanding.interpret import interpret
from dialogue.understanding.running_sums import running_sums

WRONG = frozenset(
    {"sum wrong", "work it out again", "check arithmetic", "line breaks", "answer fails", "look at the sum"}
)
CHECKED = Say("checked")


def running(a: int, x: int, b: int, words: int) -> str:
    """A child's check of ax + b, in one of several ways of saying it."""
    ways = (
        "{a}x{x} is {ax} + {b} = {end}",
        "{a} times {x} is {ax} plus {b} is {end}",
        "{a} times {x} is {ax}, add {b} is {end}",
        "{a} * {x} = {ax} + {b} = {end}",
        "{a} x {x} is {ax} and {b} is {end}",
        "{a} times {x} is {ax} and then add {b} makes {end}",
        "{a} times {x} plus {b} is {end}",
        "{a} times {x} = {ax}, {ax} + {b} = {end}",
    )
    return ways[words % len(ways)].format(a=a, x=x, ax=a * x, b=b, end=a * x + b)


NUMBERS = [(a, x, b) for a in (3, 4, 6, 9) for x in (2, 5, 12) for b in (2, 36)]


@pytest.mark.parametrize("words", range(8))
def test_a_running_sum_is_read_as_right(words: int) -> None:
    for a, x, b in NUMBERS:
        said = running(a, x, b, words)
        assert any(one.is_right and one.result == a * x + b for one in running_sums(said, "n")), said


@pytest.mark.parametrize(("a", "x", "b"), NUMBERS)
@pytest.mark.parametrize("way", range(3))
def test_a_running_sum_is_never_called_wrong(a: int, x: int, b: int, way: int) -> None:
    """In a lesson: each of the numbers in three of the ways of saying it, of which neighbours have others."""
    words = 3 * way + NUMBERS.index((a, x, b))
    said = running(a, x, b, words)
    first = f"{a}n + {b} = {a * x + b}"
    for before in ([], [value(str(x), "n")]):
        state = opened(first, before)
        turn = session.step(state, Utterance(said))
        assert not WRONG & {reply.key for reply in turn.replies}, said
        assert not is_broken(turn)


def is_broken(turn: Turn) -> bool:
    """Whether a step of the turn was judged to break the balance."""
    return isinstance(turn.record, Answered) and any(step.balanced is False for step in turn.record.steps)


def opened(first: str, before: list[Act]) -> State:
    """The lesson on an equation once these acts were said."""
    talk = Talk(first)
    for act in before:
        talk.turn(act)
    return talk.state


@pytest.mark.parametrize(("a", "x", "b"), NUMBERS[::3])
def test_a_running_sum_that_no_reading_makes_right_is_not_taken_for_right(a: int, x: int, b: int) -> None:
    said = f"{a} times {x} is {a * x + 1} plus {b} is {a * x + b}"
    assert not any(one.is_right for one in running_sums(said, "n"))


@pytest.mark.parametrize("text", ["2 + 3 times 4 is 20", "2 + 3 times 4 is 14", "so 5n = 60 and 60/5 = 12"])
def test_from_left_to_right_and_multiplying_first_are_both_ordinary(text: str) -> None:
    assert not any(
        isinstance(act, Work) and not is_true(act.left, act.right) for act in interpret(text, "move", "n").acts
    )


@pytest.mark.parametrize("answer", ["4", "5"])
def test_an_answer_said_again_in_the_same_breath_is_no_value_of_a_side(answer: str) -> None:
    for again in (value(answer, "n"), YES):
        talk = Talk("3n = 12")
        talk.turn(value(answer, "n"), again, value(answer, "n"))
        assert talk.state.phase == "check left" and talk.state.tries == 0
        assert not WRONG & set(talk.keys)


SIDES = [("6n + 36 = 9n + 24", 4, 60), ("5(n + 6) = 70", 8, 70), ("n/10 = 7", 70, 7), ("33 = 4n + 5", 7, 33)]


@pytest.mark.parametrize(("first", "answer", "side"), SIDES)
def test_both_sides_of_a_check_given_at_once_are_taken(first: str, answer: int, side: int) -> None:
    for check in (
        (Value(constant(side)), Value(constant(side))),
        (Value(constant(side)), CHECKED),
        (Work(constant(side), constant(side)),),
    ):
        talk = Talk(first, "5n - 1 = 9")
        talk.turn(line(f"n = {answer}"), *check)
        assert talk.state.solved == (0,), check
        talk = Talk(first, "5n - 1 = 9")
        talk.turn(line(f"n = {answer}"))
        talk.turn(*check)
        assert talk.state.solved == (0,), check


def test_the_same_is_the_value_of_the_other_side() -> None:
    state = opened("5n + 65 = 9n + 25", [value("10", "n"), value("115", "n")])
    assert state.phase == "check right"
    assert session.step(state, Utterance("same")).state.solved == (0,)
    wrong = opened("5n + 65 = 9n + 25", [value("9", "n"), value("110", "n")])
    assert session.step(wrong, Utterance("same")).state.solved == ()


def test_a_check_that_does_not_come_out_is_not_taken() -> None:
    talk = Talk("6n + 36 = 9n + 24", "5n - 1 = 9")
    talk.turn(line("n = 5"), value("60", "n"), CHECKED)
    assert talk.state.solved == ()
    talk = Talk("6n + 36 = 9n + 24", "5n - 1 = 9")
    talk.turn(line("n = 4"), value("61", "n"), CHECKED)
    assert talk.state.solved == ()


def ended(first: str, stage: int, *turns: tuple[Act, ...]) -> list[str]:
    """The texts that a lesson of one equation of a stage ends with."""
    turn = session.begin(Plan((Task(read_equation(first), stage=stage),), faded=(("operations", 4), ("first", 2))))
    for acts in turns:
        turn = session.respond(turn.state, Utterance("given"), meant(*acts))
    assert turn.state.phase == "done"
    return [reply.text for reply in turn.replies]


def test_the_end_credits_undoing_only_where_something_was_undone() -> None:
    guessed = ended("n + 36 = 76", 1, (value("40", "n"),), (value("76", "n"),))
    assert not any("undid" in text for text in guessed), guessed
    assert any("solved one equation" in text for text in guessed), guessed
    undone = ended("n + 36 = 76", 1, (move("subtract", "36", letter="n"),), (line("n = 40"),), (value("76", "n"),))
    assert any("undid adding 36" in text for text in undone), undone


ONE_SIDED = [
    ("n/10 = 5", "i times the n side by 10, the 5 i leave", "left"),
    ("n/6 = 7", "times it by 6. just the n side tho", "left"),
    ("62 = n + 15", "take 15 off just the n side", "right"),
    ("n - 5 = 9", "only the left add 5", "left"),
    ("n - 5 = 9", "add 5 on the left side only", "left"),
]


@pytest.mark.parametrize(("first", "said", "side"), ONE_SIDED)
def test_a_move_on_one_side_is_never_credited_as_one_on_both(first: str, said: str, side: str) -> None:
    turn = session.step(opened(first, []), Utterance(said))
    assert turn.state.phase == "mend" and is_broken(turn)
    assert isinstance(turn.state.pending, Move) and turn.state.pending.sides == side
    assert any(reply.key == "tilt" for reply in turn.replies)


@pytest.mark.parametrize("said", ["add 5 to both sides", "add 5 to the left side and the other side too"])
def test_a_move_on_both_sides_is_not_taken_for_one_on_one(said: str) -> None:
    assert session.step(opened("n - 5 = 9", []), Utterance(said)).state.phase != "mend"


def test_a_part_of_a_side_left_out_is_asked_about_as_what_it_is() -> None:
    talk = Talk("33 = 4n + 13")
    talk.turn(move("divide", "4", letter="n"))
    turn = talk.turn(value("n + 13", "n"))
    assert turn.state.phase == "right" and turn.state.seen[-1][1] == "divide-one-term-only"


def test_an_operation_seen_is_no_move_begun() -> None:
    talk = Talk("2n = 40")
    talk.turn(PartMove("multiply"))
    assert talk.state.phase == "move" and talk.state.part is None
    assert "still true" not in talk.keys
