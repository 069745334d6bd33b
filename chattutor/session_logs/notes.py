"""A teacher's notes on a learner and changed judgements: kept beside the logs, which are never rewritten.

``DIR/CODE/teacher.notes`` holds one JSON object a line, only ever added to, so that two teachers can write at once::

    {"at", "note": "text"}
    {"at", "override": {"session": "id", "turn": 3, "judgement": "right|wrong|withdraw|<error id>"}}

The latest word on a turn counts. The file goes with the learner's folder when that is erased.
"""

import json
import os
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import msgspec

from chattutor.common.exits import USAGE, CannotGoOn, LogTrouble, reason
from chattutor.session_logs.folder import NOTES as NAME
from chattutor.session_logs.learner import CODE, learner_code
from chattutor.session_logs.reader import Session
from chattutor.session_logs.schema import TurnLine
from chattutor.session_logs.writer import FILE_MODE, now
from dialogue.algebra.misconceptions import error_table
from dialogue.turn_record import Answered

NO_LINK = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
MOST = 4_000_000  # bytes read of one learner's notes
LONGEST = 2_000  # characters of one note
WORDS = ("right", "wrong", "withdraw")


@dataclass(slots=True)
class Notes:
    """What teachers wrote of one learner; ``unread``: lines that could not be read."""

    notes: list[tuple[str, str]] = field(default_factory=list)
    overrides: dict[tuple[str, int], str] = field(default_factory=dict)
    unread: int = 0


def add_note(folder: Path, learner: str, text: str) -> Path:
    """Add a note; where it is kept. Raises CannotGoOn."""
    words = " ".join(text.split())
    if not 0 < len(words) <= LONGEST:
        raise CannotGoOn(f"A note has 1 to {LONGEST:,} characters.", USAGE)
    return _append(folder, learner, {"note": words})


def add_override(folder: Path, found: Session, turn: int, judgement: str) -> Path:
    """Judge a turn otherwise from now on; where that is kept. Raises CannotGoOn."""
    if judgement not in WORDS and judgement not in error_table():
        raise CannotGoOn(f"{judgement!r} is no judgement: say {', '.join(WORDS)} or the id of an error.", USAGE)
    steps = {line.number for line in found.turns if isinstance(line.record, Answered) and line.record.steps}
    if found.header is None or turn not in steps:
        judged = ", ".join(map(str, sorted(steps))) or "none"
        raise CannotGoOn(f"No step was judged in turn {turn} of that session; in these one was: {judged}.", USAGE)
    body = {"session": found.header.id, "turn": turn, "judgement": judgement}
    return _append(folder, found.header.learner, {"override": body})


def read_notes(folder: Path, learner: str) -> Notes:
    """Everything written of a learner, oldest first; nothing where there is no file. Raises LogTrouble."""
    found = Notes()
    if not CODE.fullmatch(learner):  # out of a log that is none of ours: not the name of a folder
        return found
    path = folder / learner / NAME
    try:
        handle = os.open(path, os.O_RDONLY | NO_LINK)
        with open(handle, "rb") as source:
            lines = source.read(MOST).splitlines()
    except FileNotFoundError:
        return found
    except OSError as error:
        raise LogTrouble(f"The teacher's notes {path} cannot be read: {reason(error)}.") from error
    for line in lines:
        found.unread += not _take(found, line)
    return found


def marked(folder: Path, sessions: Iterator[Session]) -> Iterator[Session]:
    """The sessions as the teachers judged them."""
    kept: dict[str, Notes] = {}
    for session in sessions:
        if session.header is None:
            yield session
            continue
        learner = session.header.learner
        if learner not in kept:
            kept[learner] = read_notes(folder, learner)
        yield _judged(session, session.header.id, kept[learner])


def _judged(session: Session, name: str, notes: Notes) -> Session:
    if not notes.overrides:
        return session
    return replace(
        session,
        turns=tuple(_turn(turn, notes.overrides.get((name, turn.number), "withdraw")) for turn in session.turns),
    )


def _turn(turn: TurnLine, judgement: str) -> TurnLine:
    if judgement == "withdraw" or not isinstance(turn.record, Answered):
        return turn
    errors = (judgement,) if judgement in error_table() else ()
    right = judgement == "right"
    steps = tuple(
        msgspec.structs.replace(step, balanced=right, errors=errors, overridden=judgement, replaced=step)
        for step in turn.record.steps
    )
    return msgspec.structs.replace(turn, record=msgspec.structs.replace(turn.record, steps=steps))


def _take(found: Notes, line: bytes) -> bool:
    """Whether a line could be used."""
    try:
        read: Any = json.loads(line)
    except (ValueError, RecursionError):
        return False
    match read:
        case {"at": str(at), "note": str(text)}:
            found.notes.append((at, text))
        case {"override": {"session": str(name), "turn": int(turn), "judgement": str(judgement)}}:
            found.overrides[name, turn] = judgement
        case _:
            return False
    return True


def _append(folder: Path, learner: str, body: dict[str, Any]) -> Path:
    home = folder / learner_code(learner)
    if not home.is_dir() or home.is_symlink():
        raise LogTrouble(f"There is no learner {learner} in {folder}.")
    path = home / NAME
    line = json.dumps({"at": now()} | body, ensure_ascii=True).encode() + b"\n"
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | NO_LINK, FILE_MODE)
        try:
            written = os.write(handle, line)
            os.fsync(handle)
        finally:
            os.close(handle)
    except OSError as error:
        raise LogTrouble(f"{path} cannot be written: {reason(error)}.") from error
    if written < len(line):
        raise LogTrouble(f"{path} could be written only in part; is the disk full?")
    return path
