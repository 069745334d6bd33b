"""The equations of a session: those of its plan, and those given one by one where the plan grows."""

from collections.abc import Iterable

from chattutor.session_logs.reader import Session
from chattutor.session_logs.saved import NotSaved, plan_of, task_of
from chattutor.session_logs.schema import TurnLine
from dialogue.turn_record import Given
from dialogue.tutor.core.state import Task


def tasks_given(turns: Iterable[TurnLine]) -> Iterable[Task]:
    """The equations given in these turns, in order. Raises NotSaved."""
    for turn in turns:
        if isinstance(turn.record, Given) and turn.record.given is not None:
            yield task_of(turn.record.given)


def tasks_of(session: Session) -> tuple[Task, ...]:
    """Every equation of the session, by the place that its records call ``task``. Raises NotSaved."""
    if session.header is None:
        raise NotSaved("it has no header")
    return (*plan_of(session.header.plan).tasks, *tasks_given(session.turns))
