"""What reviewing needs of a turn and of a session's beginning, flat: read off a log, or off where that was packed."""

from collections.abc import Iterable
from typing import NamedTuple, TypeAlias, assert_never

from chattutor.session_logs.schema import Header, TurnLine
from chattutor.session_logs.transcript import kept_words
from dialogue.acts import Ask, Say, stated_in, to_json
from dialogue.learner.records import HELP
from dialogue.turn_record import Answered, DiagnosisRecord, Given, Opened, Resumed, Said, TaskRecord

GivenEquation: TypeAlias = tuple[int, int, str, bool]  # place, stage, equation, whether of the pre-check
PLACING = "place"  # the purpose of an equation of the pre-check
ACCOUNT = "account"  # the event of an answer that tells something of a wrong line; any other leaves all errors open
HELP_ACTS = (to_json(Say("stuck"), exact=True), to_json(Ask("hint"), exact=True))  # for help


class Head(NamedTuple):
    """What a session started from. ``before``: the id of the sitting it goes on with; ``given``: its equations, those
    of the plan first, in order."""

    id: str
    learner: str
    created: str
    before: str
    given: tuple[GivenEquation, ...]


class TurnFacts(NamedTuple):
    """One turn; one that is not ``answered`` has only a number and a time. ``help``: a place in HELP; ``broke``: a step
    of it breaks the balance; ``stated``: the line of the step it is looked at for, whose own line and errors are
    ``step_line`` and ``step_errors``; ``told``: the errors that its answer left of the wrong step before it; ``calls``:
    it was taken for a call for help."""

    number: int
    at: str
    answered: bool = False
    place: int | None = None
    event: str = ""
    phase: str = ""
    line: str = ""
    channel: str = ""
    said: str = ""
    help: int = 0
    solved: bool = False
    broke: bool = False
    corrected: bool = False
    then: bool = False
    calls: bool = False
    stated: str = ""
    step_line: str = ""
    errors: tuple[str, ...] = ()
    step_errors: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


def head_of(header: Header, turns: Iterable[TurnLine]) -> Head:
    """Of a session as it was read."""
    given = [_given(number, task) for number, task in enumerate(header.plan.tasks)]
    for turn in turns:
        record = turn.record
        if isinstance(record, Given) and record.given is not None:
            given.append(_given(record.task, record.given))
    before = header.continues.id if header.continues else ""
    return Head(header.id, header.learner, header.created, before, tuple(given))


def facts(turn: TurnLine) -> TurnFacts:
    """Of a turn as it was read."""
    record = turn.record
    match record:
        case Opened() | Resumed() | Given():
            return TurnFacts(turn.number, turn.at)
        case Answered():
            return _answered(turn, record, turn.said or Said())
        case _:
            assert_never(record)


def _answered(turn: TurnLine, record: Answered, said: Said) -> TurnFacts:
    judged = record.judged
    level = record.level
    return TurnFacts(
        turn.number, turn.at, True, record.task, record.event, record.phase, record.line, said.channel,
        kept_words(said),
        HELP.index(level) if level in HELP else 0, bool(record.solved),
        any(each.balanced is False for each in record.steps), record.corrected, bool(record.then),
        _calls_for_help(said), "" if judged is None else stated_in(judged.act), "" if judged is None else judged.line,
        record.errors, () if judged is None else judged.errors,
        () if record.diagnosis is None or record.event != ACCOUNT else _told(record.diagnosis),
    )  # fmt: skip


def _given(place: int, task: TaskRecord) -> GivenEquation:
    return place, task.stage, task.equation, task.purpose == PLACING


def _told(diagnosis: DiagnosisRecord) -> tuple[str, ...]:
    """One error, or those that are still as likely, the likeliest first."""
    if not diagnosis.taken_for:
        return ()
    return tuple(sorted(diagnosis.tied, key=lambda error: -diagnosis.tied[error])) or (diagnosis.taken_for,)


def _calls_for_help(said: Said) -> bool:
    """Whether it was taken for a call for help, however unsure the hearing."""
    return any(act in HELP_ACTS for act in said.acts or ())
