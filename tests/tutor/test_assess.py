"""The event that a meaning is, exactly: its kind, and the step and judgement that go into the record."""

from dataclasses import replace

import pytest
from talking import CHECK, REPEAT, SLOWER, STUCK, UNCLEAR, UNDO, WHERE, WORDING, YES, Talk, line, move, told, value

from dialogue.acts import Meaning, Seen, Unclear
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Move, Rewrite, Verdict
from dialogue.algebra.writing import write
from dialogue.judgement import judge
from dialogue.tutor.activities.compare_routes import _factor
from dialogue.tutor.assess import decide
from dialogue.tutor.core.events import Counted, Moved, NotClear, Rewritten

BIG = "9" * 9


def at(*meanings: Meaning, texts: tuple[str, ...] = ("3x + 2 = 11",), fresh: bool = False) -> Talk:
    """A talk that has come so far."""
    talk = Talk(*texts, fresh=fresh)
    talk.say(*meanings)
    return talk


HALF = at(move("subtract", "2"))  # asked for the left side
DESCRIBING = Talk("3x + 2 = 11", fresh=True)
NAMING = at(told(move("multiply", "3"), move("add", "2")), fresh=True)  # asked for the term to begin with
WHOLE = at(Rewrite("expand"), texts=("2(x + 3) = 10",))  # asked for the whole line
TILTED = at(move("subtract", "2", "left"))


@pytest.mark.parametrize(
    ("talk", "meaning", "kind"),
    [
        (HALF, value("3x"), "value right"),
        (HALF, value("3x + 2 - 2"), "value unworked"),
        (HALF, value("9"), "value of other side"),
        (HALF, value("4x"), "value wrong"),
        (HALF, value("x*x"), "unclear"),
        (WHOLE, value("2x + 6"), "value right"),
        (WHOLE, value("7"), "value unasked"),
        (Talk("3x + 2 = 11"), value("2"), "answer"),
        (Talk("3x + 2 = 11"), value("3x"), "value unasked"),
        (Talk("3x + 2 = 11"), told(move("multiply", "3")), "term named"),
        (Talk("3x + 2 = 11"), told(move("multiply", "7")), "term unknown"),
        (Talk("3x + 2 = 11"), told(), "term unknown"),
        (DESCRIBING, told(move("multiply", "3"), move("add", "2")), "described"),
        (DESCRIBING, told(move("multiply", "3")), "described part"),
        (DESCRIBING, told(move("multiply", "7")), "described wrong"),
        (NAMING, value("3x"), "term named"),
        (NAMING, value("9"), "answer"),
        (HALF, Seen("tips"), "comment"),
        (HALF, YES, "yes"), (HALF, STUCK, "stuck"), (HALF, UNDO, "undo"), (HALF, CHECK, "check"),
        (HALF, REPEAT, "repeat"), (HALF, SLOWER, "slower"), (HALF, WORDING, "wording"),
    ],
)  # fmt: skip
def test_what_is_no_step(talk: Talk, meaning: Meaning, kind: str) -> None:
    event = decide(talk.state, meaning)
    assert (event.kind, event.act) == (kind, meaning)


def test_a_question_of_the_understanding_is_kept() -> None:
    assert decide(HALF.state, Unclear("grouping")) == NotClear("unclear", Unclear("grouping"), "grouping")


@pytest.mark.parametrize(
    ("step", "kind"),
    [
        (move("subtract", "2"), "move closer"),
        (move("add", "2"), "move level"),
        (move("subtract", "2", "right"), "move one side"),
        (move("multiply", "0"), "move by zero"),
        (move("multiply", "x"), "move by unknown"),
        (move("divide", "x"), "move by unknown"),
        (move("divide", "0"), "move divides by zero"),
        (move("transfer", "2"), "move names nothing"),
        (Rewrite("swap"), "rewrite closer"),
        (Rewrite("collect"), "rewrite idle"),
        (Verdict("none"), "verdict early"),
    ],
)
def test_steps(step: Move | Rewrite | Verdict, kind: str) -> None:
    state = Talk("3x + 2 = 11").state
    event = decide(state, step)
    assert isinstance(event, Moved | Rewritten | Counted)
    assert (event.kind, event.act, event.step, event.judgement) == (kind, step, step, judge(state.equation, step))


@pytest.mark.parametrize(
    ("text", "said", "kind"),
    [
        ("3x + 4 = 3x + 9", "none", "verdict right"),
        ("3x + 4 = 3x + 9", "every", "verdict wrong"),
        ("2(x + 1) = 2x + 2", "every", "verdict early"),
        ("4 = 9", "none", "verdict right"),
    ],
)
def test_verdicts(text: str, said: str, kind: str) -> None:
    state, step = Talk(text).state, Verdict(said)  # type: ignore[arg-type]
    event = decide(state, step)
    assert isinstance(event, Moved | Rewritten | Counted)
    assert (event.kind, event.act, event.step, event.judgement) == (kind, step, step, judge(state.equation, step))


def test_the_other_half_of_a_move_makes_it_whole() -> None:
    half, whole = move("subtract", "2", "right"), move("subtract", "2")
    assert decide(TILTED.state, half) == Moved("move other side", half, whole, judge(TILTED.state.equation, whole))
    again = move("subtract", "2", "left")
    assert decide(TILTED.state, again).kind == "move one side"
    assert decide(TILTED.state, move("subtract", "1", "right")).kind == "move one side"
    assert decide(TILTED.state, move("add", "2", "right")).kind == "move one side"


def test_a_move_that_makes_long_numbers_is_asked_about() -> None:
    state = Talk(f"{BIG}x = {BIG}").state
    big, small = move("multiply", BIG), move("multiply", "2")
    assert decide(state, big) == NotClear("unclear", big, "too big")
    assert decide(state, small).kind == "move level"
    assert decide(state, move("divide", BIG)).kind == "move closer"
    assert decide(Talk("100000x = 1").state, move("multiply", "999999")).kind == "move level"  # 12 digits
    assert decide(Talk("1000000x = 1").state, move("multiply", "1000000")).kind == "unclear"
    assert decide(Talk("x/1000000 = 1").state, move("divide", "1000000")).kind == "unclear"


def test_only_sayings_not_followed_in_a_row_are_counted() -> None:
    talk = Talk("3x + 2 = 11")
    talk.say(UNCLEAR)
    assert talk.state.doubts == 1
    talk.say(WHERE)
    assert talk.state.doubts == 0
    talk.say(UNCLEAR, None)
    assert talk.state.doubts == 1, "silence is not being followed"


def test_repeating_counts_and_changes_nothing_else() -> None:
    for talk in (HALF, DESCRIBING, TILTED, at(line("3x = 13"))):
        before = talk.state
        after = talk.say(REPEAT).state
        assert after.repeats == before.repeats + 1
        kept = replace(
            after, repeats=before.repeats, turn=before.turn, last=before.last, idle=before.idle, said=before.said,
            asked=before.asked, shown=before.shown, since_line=before.since_line,
        )  # fmt: skip
        assert kept == before


@pytest.mark.parametrize("text", ["4(n + 3) = 44", "44 = 4(n + 3)"])
def test_the_other_route_is_seen_either_way_round(text: str) -> None:
    equation = read_equation(text)
    assert write(_factor(equation)) == "4"
    assert _factor(read_equation("4(n + 3) = 4n")) is None
    assert _factor(read_equation("4(1 + 3) = n")) is None
