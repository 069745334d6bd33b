"""Whole lessons that were typed through the product, line by line, and then kept: what the learner types and every
reply.

A file of ``typed_lessons`` has the stage, the seed and the learner's lines; the learners are invented. ``python
tests/lesson/test_typed_lessons.py`` writes the replies beside it, in a ``.txt``; the difference shows what a change
does to a conversation.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from chattutor.lesson.beside_the_set import beside_plan
from chattutor.lesson.plans import plan_of_stage
from chattutor.lesson.session_loop import next_equation
from dialogue.tutor.core.state import Turn, Utterance
from dialogue.tutor.session import begin, step

FOLDER = Path(__file__).with_name("typed_lessons")


def turns(path: Path) -> Iterator[tuple[str, Turn]]:
    """Each turn with what was typed before it; empty where an equation is given."""
    first, second, *lines = path.read_text("utf-8").splitlines()
    plan = plan_of_stage(int(first.removeprefix("stage: ")), int(second.removeprefix("seed: ")))
    chooser, turn = beside_plan(plan), begin(plan)
    yield "", turn
    for line in lines:
        turn = step(turn.state, Utterance(line))
        yield line, turn
        while turn.state.phase == "between":
            turn = next_equation(turn.state, chooser)
            yield "", turn


def played(path: Path) -> str:
    """The lesson as text."""
    lines: list[str] = []
    for typed, turn in turns(path):
        lines += [f"Learner: {typed}"] if typed else []
        lines += [f"Tutor:   {reply.text}" for reply in turn.replies]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.typed")), ids=lambda path: path.stem)
def test_a_lesson_is_as_it_was_read(path: Path) -> None:
    assert played(path) == path.with_suffix(".txt").read_text("utf-8")


if __name__ == "__main__":
    for each in sorted(FOLDER.glob("*.typed")):
        each.with_suffix(".txt").write_text(played(each), "utf-8")
