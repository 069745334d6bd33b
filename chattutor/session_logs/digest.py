"""What the class page needs of one session: small enough to keep of a school's year, and to keep in a file.

``digest`` makes it from a session as read line by line. ``quick`` makes the very same straight from the bytes of a
sound log, leaving out the replies; whatever is not plainly sound it leaves to the reader, which says what is wrong.
"""

import os
import stat
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from chattutor.session_logs.lines import MAX_LINE, MAX_TURNS
from chattutor.session_logs.reader import OPEN, Session
from chattutor.session_logs.turns import ABSENT, LogRead, Read, Record, TurnRead, log_read, turn_read

HELP = ("independent", "prompted", "shown")
UNAIDED = HELP[0]
WHOLE = 16_000_000  # bytes; a longer file is read line by line
CHAIN, END = b',"chain":"', len(b',"chain":"') + 32 + len(b'"}')
CHAINED = len(CHAIN) - END
NOTHING_DONE = frozenset({"skip", "stop", "pause", "silence"})
ANY_WORDS = frozenset({"reason", "account"})  # questions whose answer is kept as it is and never judged
HELD = frozenset({"to explain", "doubtful"})  # events whose words wait: for a reason, or for a yes
LOOKED_AT = frozenset({"distress", "unclear", "unheard", "doubtful"})  # events that a teacher may want to see


class SeenTask(NamedTuple):
    """One turn worth a teacher's look. ``kinds`` has e for an error, u for unsure, t for something to tell an adult.
    ``said``: the words of the step, also where a later yes or a reason set it going."""

    kinds: str
    turn: int
    place: int
    line: str
    said: str
    errors: tuple[str, ...]


class Digest(NamedTuple):
    """One session. ``given``: place, stage and equation; ``marks``: place, touched, solved, and the most help needed.
    Without an id it is no session log."""

    id: str = ""
    learner: str = ""
    created: str = ""
    before: str = ""
    turns: int = 0
    spoken: int = 0
    corrected: int = 0
    given: tuple[tuple[int, int, str, bool], ...] = ()
    marks: tuple[tuple[int, bool, bool, int], ...] = ()
    seen: tuple[SeenTask, ...] = ()
    problems: tuple[str, ...] = ()


def digest(session: Session) -> Digest:
    """Of a session as it was read."""
    problems = tuple(problem.sentence for problem in session.problems)
    if session.header is None:
        return Digest(problems=problems)
    turns = [turn_read(turn.number, turn.said, turn.record) for turn in session.turns]
    return _fold(log_read(session.header, turns), problems)


def quick(path: Path | str, read: Read) -> Digest | None:
    """Of a sound log, read at once, its turns with ``read``; None for anything else."""
    content = _content(path)
    if content is None or not _chained(content):
        return None
    found = read(content)
    return None if found is None else _fold(found, ())


def _content(path: Path | str) -> bytes | None:
    """What an ordinary file of no great length holds."""
    try:
        handle = os.open(path, OPEN)
    except OSError:
        return None
    try:
        state = os.fstat(handle)
        if not stat.S_ISREG(state.st_mode) or state.st_size >= WHOLE:
            return None
        content = os.read(handle, state.st_size + 1)  # a buffer of just this size: reading "all" asks for far more
    except OSError:
        return None
    finally:
        os.close(handle)
    return content if len(content) == state.st_size else None  # it is growing, or was read in part


def _chained(content: bytes) -> bool:
    """Whether these are whole lines, each with the right chain at its end."""
    lines = content.split(b"\n")
    if len(lines) < 2 or lines.pop() or len(lines) > MAX_TURNS:
        return False
    chain = b""
    for line in lines:
        if line[-END:CHAINED] != CHAIN or line[-2:] != b'"}' or len(line) >= MAX_LINE:
            return False
        if sha256(chain + line[:-END]).hexdigest()[:32].encode() != (chain := line[-34:-2]):
            return False
    return True


def _fold(log: LogRead, problems: tuple[str, ...]) -> Digest:
    given: dict[int, tuple[int, int, str, bool]] = {}
    for number, task in enumerate(log.tasks if isinstance(log.tasks, list) else ()):
        _give(given, number, task)
    marks: dict[int, list[Any]] = {}
    seen: list[SeenTask] = []
    spoken = corrected = said_turns = 0
    held = ""
    for at, turn in enumerate(log.turns):
        said, record = turn.said, turn.record
        place = record.task
        if said is None:
            if isinstance(place, int) and record.given is not None:
                _give(given, place, record.given)
            continue
        said_turns += 1
        if record.channel == "spoken":
            spoken += 1
        if record.corrected is True:
            corrected += 1
        event = record.event
        if type(event) is not str:
            event = str(event)
        if event in HELD:
            held = str(said.text)
        if not isinstance(place, int):
            continue
        mark = marks.get(place)
        if mark is None:
            mark = marks[place] = [place, False, False, 0]
        if event not in NOTHING_DONE:
            mark[1] = True
        if record.solved is not ABSENT:
            mark[2] = True
        if record.level != UNAIDED and record.level in HELP:
            mark[3] = max(mark[3], HELP.index(record.level))
        if record.errors or event in LOOKED_AT:
            kinds, named = _kinds(event, record, log.turns[at + 1 : at + 2])
            if kinds:
                words = held if record.then is not ABSENT else str(said.text)
                seen.append(SeenTask(kinds, turn.turn, place, str(record.line), words, named))
    return Digest(
        log.id, log.learner, log.created, log.before, said_turns, spoken, corrected,
        tuple(given.values()), tuple(tuple(each) for each in marks.values()), tuple(seen), problems,
    )  # fmt: skip


def _kinds(event: str, record: Record, following: Sequence[TurnRead]) -> tuple[str, tuple[str, ...]]:
    """Why the turn is worth a look, and the errors that explain it."""
    named = tuple(map(str, record.errors)) if isinstance(record.errors, list) else ()
    kinds = "e" if named else ""
    kinds += "t" if event == "distress" else ""
    kinds += "u" if _unsure(event, record, following) else ""
    return kinds, named


def _give(given: dict[int, tuple[int, int, str, bool]], place: int, task: object) -> None:
    """An equation of the plan, or one given in the course of a lesson."""
    if isinstance(task, dict) and place not in given:
        stage = task.get("stage")
        placing = task.get("purpose") == "place"
        given[place] = (place, stage if isinstance(stage, int) else 0, str(task.get("equation")), placing)


def _unsure(event: str, record: Record, following: Sequence[TurnRead]) -> bool:
    """Whether what was said stayed unsure."""
    if event == "unclear":
        return str(record.phase) not in ANY_WORDS
    confirmed = any(turn.record.event == "yes" for turn in following)
    return event == "unheard" or (event == "doubtful" and not confirmed)
