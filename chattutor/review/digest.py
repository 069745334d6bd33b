"""What the class page needs of one session: small enough to keep of a school's year, and to keep in a file.

``digest`` makes it from a session as read line by line. ``quick`` makes the very same straight from the bytes of a
sound log, leaving out the replies; whatever is not plainly sound it leaves to the reader, which says what is wrong.
"""

import os
import stat
from collections.abc import Iterable
from contextlib import suppress
from hashlib import sha256
from json import loads
from pathlib import Path
from typing import Any, NamedTuple

from chattutor.logs.lines import MAX_LINE, MAX_TURNS, SCHEMA, Header, NotALine, read_header
from chattutor.logs.reader import OPEN, Session
from chattutor.review.turns import Read, TurnRead

HELP = ("independent", "prompted", "shown")
NO_LINK = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
WHOLE = 16_000_000  # bytes; a longer file is read line by line
CHAIN, END = b',"chain":"', len(b',"chain":"') + 32 + len(b'"}')
NOTHING_DONE = frozenset({"skip", "stop", "pause", "silence"})
HELD = frozenset({"to explain", "doubtful"})  # events whose words wait: for a reason, or for a yes


class Seen(NamedTuple):
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
    seen: tuple[Seen, ...] = ()
    problems: tuple[str, ...] = ()


def digest(session: Session) -> Digest:
    """Of a session as it was read."""
    problems = tuple(problem.sentence for problem in session.problems)
    if session.header is None:
        return Digest(problems=problems)
    return _fold(session.header, [(turn.number, turn.said, turn.record) for turn in session.turns], problems)


def quick(path: Path, read: Read) -> Digest | None:
    """Of a sound log, read at once, its turns with ``read``; None for anything else."""
    with suppress(OSError):
        handle = os.open(path, OPEN)
        with open(handle, "rb") as source:
            state = os.fstat(handle)
            if stat.S_ISREG(state.st_mode) and state.st_size < WHOLE:
                return _of_bytes(source.read(WHOLE), read)
    return None


def from_json(given: list[Any]) -> Digest:
    """A digest that was kept in a file. Raises TypeError for anything else."""
    found = Digest(*given)
    return found._replace(seen=tuple(Seen(*each) for each in found.seen))


def _of_bytes(content: bytes, read: Read) -> Digest | None:
    lines = content.split(b"\n")
    if len(lines) < 2 or lines.pop() or len(lines) > MAX_TURNS:
        return None
    chain, turns = b"", []
    header: Header | None = None
    last = len(lines) - 1
    for place, line in enumerate(lines):
        start = line[:-END]
        if line[-END : 10 - END] != CHAIN or len(line) >= MAX_LINE or line[-2:] != b'"}':
            return None
        written, chain = line[-34:-2], sha256(chain + start).hexdigest()[:32].encode()
        if written != chain:
            return None
        if header is None:
            try:
                header = read_header(start + b"}")
            except NotALine:
                return None
            if header.schema > SCHEMA:
                return None
            continue
        found = read(start)
        if found is not None:
            turns.append(found)
        elif place != last or not _ends(start, len(turns)):
            return None
    return None if header is None else _fold(header, turns, ())


def _ends(start: bytes, turns: int) -> bool:
    """Whether the line is a closing line after so many turns."""
    try:
        given = loads(start + b"}")
    except (ValueError, RecursionError):
        return False
    match given:
        case {"end": str(), "at": str(), "turns": int(counted)}:
            return counted == turns
    return False


def _fold(header: Header, turns: list[TurnRead], problems: tuple[str, ...]) -> Digest:
    given: dict[int, tuple[int, int, str, bool]] = {}
    tasks = header.plan.get("tasks")
    for number, task in enumerate(tasks if isinstance(tasks, list) else ()):
        _give(given, number, task)
    marks: dict[int, list[Any]] = {}
    seen: list[Seen] = []
    spoken = corrected = said_turns = 0
    held = ""
    for at, (number, said, record) in enumerate(turns):
        place = record.get("task")
        if said is None:
            if isinstance(place, int) and record.get("given") is not None:
                _give(given, place, record["given"])
            continue
        said_turns += 1
        spoken += record.get("channel") == "spoken"
        corrected += record.get("corrected") is True
        event, level, errors = str(record.get("event")), record.get("level"), record.get("errors")
        words = str(said.get("text", ""))
        held = words if event in HELD else held
        if not isinstance(place, int):
            continue
        mark = marks.setdefault(place, [place, False, False, 0])
        mark[1] = mark[1] or event not in NOTHING_DONE
        mark[2] = mark[2] or "solved" in record
        mark[3] = max(mark[3], HELP.index(level) if level in HELP else 0)
        named = tuple(map(str, errors)) if isinstance(errors, list) else ()
        kinds = "e" if named else ""
        kinds += "t" if event == "distress" else ""
        kinds += "u" if _unsure(event, record, turns[at + 1 : at + 2]) else ""
        if kinds:
            line, words = str(record.get("line", "")), held if "then" in record else words
            seen.append(Seen(kinds, number, place, line, words, named))
    before = header.continues["id"] if header.continues else ""
    return Digest(
        header.id, header.learner, header.created, before, said_turns, spoken, corrected,
        tuple(given.values()), tuple(tuple(each) for each in marks.values()), tuple(seen), problems,
    )  # fmt: skip


def _give(given: dict[int, tuple[int, int, str, bool]], place: int, task: object) -> None:
    """An equation of the plan, or one given in the course of a lesson."""
    if isinstance(task, dict) and place not in given:
        stage = task.get("stage")
        placing = task.get("purpose") == "place"
        given[place] = (place, stage if isinstance(stage, int) else 0, str(task.get("equation")), placing)


def _unsure(event: str, record: dict[str, Any], following: Iterable[TurnRead]) -> bool:
    """Whether what was said stayed unsure."""
    if event == "unclear":
        return record.get("phase") != "reason"  # a reason is kept in any words
    confirmed = any(record.get("event") == "yes" for _, _, record in following)
    return event == "unheard" or (event == "doubtful" and not confirmed)
