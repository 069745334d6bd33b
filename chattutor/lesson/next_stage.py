"""Which stage a lesson is of where nobody says: the choice made from the learner's own session logs."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path

from chattutor.logs.folder import sessions
from chattutor.logs.reader import Session
from chattutor.logs.saved import NotSaved, plan_from_json
from dialogue.learner.choice import Choice, Now, choose
from dialogue.learner.history import Attempt
from dialogue.learner.records import Given, attempts

FIRST = 1  # a newcomer's: the pre-check that would place them higher is not part of a lesson yet


def next_stage(folder: Path, learner: str) -> int:
    """The stage of the next lesson. Sessions that cannot be read count for nothing."""
    home = folder / learner
    choice = next_choice(list(sessions(home, learner))) if home.is_dir() and not home.is_symlink() else None
    return choice.stage if choice else FIRST


def next_choice(found: Sequence[Session]) -> Choice | None:
    """What the next lesson begins with and why; None where there is nothing yet to choose from."""
    history = _history(found)
    if not history:
        return None
    return choose(history, Now(history[-1].lesson + 1, datetime.now(UTC).date().toordinal()))


def _history(found: Sequence[Session]) -> tuple[Attempt, ...]:
    """Every attempt, oldest first; the sittings of one lesson broken off count as one lesson."""
    lessons: dict[str, list[Session]] = {}
    first_of: dict[str, str] = {}
    for session in sorted(found, key=lambda one: one.header.created if one.header else ""):
        if session.header is not None:
            before = session.header.continues["id"] if session.header.continues else session.header.id
            first_of[session.header.id] = first_of.get(before, session.header.id)
            lessons.setdefault(first_of[session.header.id], []).append(session)
    return tuple(
        attempt for number, sittings in enumerate(lessons.values(), 1) for attempt in _attempts(sittings, number)
    )


def _attempts(sittings: list[Session], number: int) -> list[Attempt]:
    header = sittings[0].header
    try:
        plan = plan_from_json(header.plan if header else {})
        day = date.fromisoformat(header.created[:10] if header else "").toordinal()
    except (NotSaved, ValueError):
        return []
    given = [Given(task.equation, task.stage, "exit" if task.exit else "practice") for task in plan.tasks]
    records = [turn.record for sitting in sittings for turn in sitting.turns if turn.said is not None]
    return list(attempts(given, records, number, day))
