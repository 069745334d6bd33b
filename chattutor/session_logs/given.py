"""The equations of a session: those of its plan, and those given one by one where the plan grows.

An equation is given in a turn in which nothing was said; its record has the equation under ``given`` (null at the end
of the lesson), and why it was chosen: ``purpose``, ``reason``, and the ``minutes`` into the lesson.
"""

from collections.abc import Iterable

from chattutor.session_logs.lines import TurnLine
from chattutor.session_logs.reader import Session
from chattutor.session_logs.saved import NotSaved, plan_from_json, task_from_json
from dialogue.tutor.core.state import Task

GIVEN = "given"
WHY = ("purpose", "reason", "minutes")


def tasks_given(turns: Iterable[TurnLine]) -> Iterable[Task]:
    """The equations given in these turns, in order. Raises NotSaved."""
    for turn in turns:
        if turn.said is None and turn.record.get(GIVEN) is not None:
            yield task_from_json(turn.record[GIVEN])


def tasks_of(session: Session) -> tuple[Task, ...]:
    """Every equation of the session, by the place that its records call ``task``. Raises NotSaved."""
    if session.header is None:
        raise NotSaved("it has no header")
    return (*plan_from_json(session.header.plan).tasks, *tasks_given(session.turns))
