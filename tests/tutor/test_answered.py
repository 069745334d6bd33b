"""What a learner asks, wishes or believes beside a step gets its own answer, with the numbers of the line; the turns are
invented."""

import pytest
from talking import Talk, line, move, value

from dialogue.acts import Comment, Say
from dialogue.tutor.core.state import Plan, Task, Turn, Utterance
from dialogue.tutor.session import begin, step
from dialogue.algebra.equation import read_equation


def _played(equation: str, *turns: str, after: str = "5n = 35", open_: bool = False) -> list[Turn]:
    """A lesson of typed turns, where what happens to the unknown need not be asked."""
    tasks = (Task(read_equation(equation)), *((Task(read_equation(after)),) if not open_ else ()))
    played = [begin(Plan(tasks, 1, (("operations", 4), ("first", 2)), open=open_))]
    for said in turns:
        played.append(step(played[-1].state, Utterance(said)))
    return played


def _said(turn: Turn) -> str:
    return " ".join(reply.text for reply in turn.replies)


# -- nothing empty ----------------------------------------------------------------------------------------------------

EMPTY = ("I hear", "I heard", "Point taken", "I am listening", "have heard that", "Keep that", "Hold on to that", "a little more")


def test_an_objection_gets_the_line_and_nothing_empty() -> None:
    talk = Talk("3x + 2 = 14")
    talk.turn(Comment("object"))
    assert "3x + 2 = 14" in talk.turns[-1].replies[0].text
    talk.turn(move("subtract", "2"), Comment("object"))
    assert talk.keys[0] == "take move"


def test_the_side_worked_out_is_named() -> None:
    talk = Talk("3x + 2 = 2x + 6")
    talk.turn(value("4"))
    talk.turn(value("14"))
    assert "14" in talk.turns[-1].replies[0].text


def test_a_reply_begins_with_a_capital() -> None:
    said = _said(_played("n/6 = 9", "times 6", "why")[-1])
    assert "both sides times 6" not in said or "Both sides times 6" in said
