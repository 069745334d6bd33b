"""What a learner's own session logs say that the choice of the next equation needs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from chattutor.session_logs.folder import sessions
from chattutor.session_logs.reader import Session
from chattutor.session_logs.saved import NotSaved, tasks_given, tasks_of
from chattutor.session_logs.schema import Header
from dialogue.learner.choice import EARLIER, Now, TaskChoice, ahead
from dialogue.learner.history import Attempt, History
from dialogue.learner.records import GivenTask, attempts
from dialogue.turn_record import Answered
from dialogue.tutor.core.state import Task

BEGINNING = 3  # equations of a lesson, of which one at least is of the stage in hand


@dataclass(frozen=True, slots=True)
class Past:
    """Every attempt, oldest first; how many lessons there were; whether the opening scene has been shown."""

    history: History = ()
    lessons: int = 0
    scene: bool = False


def past_of(folder: Path, learner: str, but: str = "") -> Past:
    """The learner's past in a folder of logs. Sessions that cannot be read count for nothing; nor do the sittings of
    the lesson that the session ``but`` belongs to, which is still going on."""
    home = folder / learner
    if not home.is_dir() or home.is_symlink():
        return Past()
    return past(list(sessions(home, learner)), but)


def past(found: Sequence[Session], but: str = "") -> Past:
    """The past in these sessions; the sittings of one lesson interrupted count as one lesson."""
    lessons = sittings_by_lesson(found, but)
    history: list[Attempt] = []
    scene = False
    for number, sittings in enumerate(lessons.values(), 1):
        tasks = _tasks(sittings)
        scene |= any(task.scene for task in tasks)
        history += _attempts(tasks, sittings, number)
    return Past(tuple(history), len(lessons), scene)


def sittings_by_lesson(found: Sequence[Session], but: str = "") -> dict[str, list[Session]]:
    """The lessons, oldest first, by the id of their first sitting; each with its sittings as one goes on with another,
    whatever the clock said meanwhile. A copy of a session counts for nothing, nor does the lesson ``but`` is of."""
    headers: dict[str, Header] = {}
    own: list[Session] = []
    for session in found:
        if session.header is not None and session.header.id not in headers:
            headers[session.header.id] = session.header
            own.append(session)
    placed = sorted((_place(session.header, headers), number) for number, session in enumerate(own) if session.header)
    lessons: dict[str, list[Session]] = {}
    for (_, first, _), number in placed:
        lessons.setdefault(first, []).append(own[number])
    if but in headers:
        but = _place(headers[but], headers)[1]
    lessons.pop(but, None)
    return lessons


def _place(header: Header, headers: Mapping[str, Header]) -> tuple[str, str, int]:
    """When a sitting's lesson began, the id of its first sitting, and how many came before this one."""
    before: list[str] = []
    while header.continues is not None and header.continues.id in headers and header.id not in before:
        before.append(header.id)
        header = headers[header.continues.id]
    return header.created, header.id, len(before)


def coming_up(found: Sequence[Session], count: int) -> list[TaskChoice]:
    """What the next lesson's equations would be, and why; none where there is nothing yet to choose from."""
    known = past(found)
    return ahead(known.history, Now(known.lessons + 1, today()), count) if known.history else []


def in_hand(found: Sequence[Session]) -> TaskChoice | None:
    """What the next lesson is about: not the equation that it may begin with, of an earlier stage or to find out where
    to begin."""
    choices = coming_up(found, BEGINNING)
    return next((each for each in choices if each.purpose not in {*EARLIER, "place"}), next(iter(choices), None))


def today() -> int:
    """The day, counted as the history counts it."""
    return datetime.now(UTC).date().toordinal()


def given_for(task: Task) -> GivenTask:
    """The task as the history keeps it."""
    return GivenTask(task.equation, task.stage, task.purpose or "asked")


def _tasks(sittings: list[Session]) -> tuple[Task, ...]:
    """The equations of a lesson: those of its first sitting's plan, and all given in any sitting."""
    try:
        return (*tasks_of(sittings[0]), *(task for later in sittings[1:] for task in tasks_given(later.turns)))
    except NotSaved:
        return ()


def _attempts(tasks: tuple[Task, ...], sittings: list[Session], number: int) -> list[Attempt]:
    header = sittings[0].header
    try:
        day = date.fromisoformat(header.created[:10] if header else "").toordinal()
    except ValueError:
        return []
    records = [turn.record for sitting in sittings for turn in sitting.turns if isinstance(turn.record, Answered)]
    return list(attempts(list(map(given_for, tasks)), records, number, day))
