"""A teacher's notes on a learner and changed judgements: kept beside the logs, which are never rewritten.

``DIR/CODE/teacher.notes`` holds one JSON object a line, only ever added to, and chained as a session log is::

    {"at", "note": "text", "chain"}
    {"at", "override": {"session": "id", "turn": 3, "judgement": "right|wrong|withdraw|<error id>"}, "chain"}
    {"at", "belongs": {"session": "id", "learner": "the code of whose it is"}, "chain"}

The latest word on a turn counts. A line put in without the right chain is not used; lines of earlier versions, which
had none, stand before the first that has one, beside a log of such a version. The file goes with the learner's folder
when that is erased.
"""

import json
import os
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import msgspec

from chattutor.common.exits import USAGE, CannotGoOn, LogTrouble, reason
from chattutor.common.files import content, write_whole
from chattutor.session_logs import lock
from chattutor.session_logs.folder import NOTES as NAME
from chattutor.session_logs.folder import check_folder, session_files, sessions
from chattutor.session_logs.hash_chain import NotALine, chained, link, split
from chattutor.session_logs.learner_code import CODE, learner_code
from chattutor.session_logs.reader import Session, read_head
from chattutor.session_logs.schema import SCHEMA, TurnLine
from chattutor.session_logs.writer import FILE_MODE, now
from dialogue.algebra.misconceptions import error_table
from dialogue.turn_record import Answered

NO_LINK = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
LOCK = f".notes{lock.ENDING}"
MOST = 4_000_000  # bytes of one learner's notes
LONGEST = 2_000  # characters of one note
JUDGEMENT_WORDS = ("right", "wrong", "withdraw")


@dataclass(slots=True)
class Notes:
    """What teachers wrote of one learner; ``belongs``: whose a session under this code is, by its id; ``unread``: lines
    that could not be read."""

    notes: list[tuple[str, str]] = field(default_factory=list)
    overrides: dict[tuple[str, int], str] = field(default_factory=dict)
    belongs: dict[str, str] = field(default_factory=dict)
    unread: int = 0


def add_note(folder: Path, learner: str, text: str) -> Path:
    """Add a note; where it is kept. Raises CannotGoOn."""
    words = " ".join(text.split())
    if not 0 < len(words) <= LONGEST:
        raise CannotGoOn(f"A note has 1 to {LONGEST:,} characters.", USAGE)
    return _append(folder, learner, {"note": words})


def add_override(folder: Path, found: Session, turn: int, judgement: str) -> Path:
    """Judge a turn otherwise from now on; where that is kept. Raises CannotGoOn."""
    if judgement not in JUDGEMENT_WORDS and judgement not in error_table():
        listed = ", ".join([*JUDGEMENT_WORDS, *error_table()])
        raise CannotGoOn(
            f"{judgement!r} is not a judgement. Choose one of these (list says what each is): {listed}.", USAGE
        )
    steps = {line.number for line in found.turns if isinstance(line.record, Answered) and line.record.steps}
    if found.header is None or turn not in steps:
        judged = ", ".join(map(str, sorted(steps))) or "none"
        raise CannotGoOn(
            f"No step was judged in turn {turn} of that session. Turns with a judged step: {judged}.", USAGE
        )
    body = {"session": found.header.id, "turn": turn, "judgement": judgement}
    return _append(folder, found.header.learner, {"override": body})


def add_belongs(folder: Path, found: Session, learner: str) -> Path:
    """Count a session as another learner's from now on; where that is kept. The log stays as it is. Raises
    CannotGoOn."""
    if found.header is None:
        raise CannotGoOn(f"{found.path} is not a session log.", USAGE)
    body = {"session": found.header.id, "learner": learner_code(learner)}
    return _append(folder, found.header.learner, {"belongs": body})


def sessions_of(folder: Path, learner: str) -> Iterator[Session]:
    """The sessions that are the learner's, as teachers judged them: under the learner's own code, and under another's
    where a teacher said so. Raises LogTrouble."""
    others = [
        home.name
        for home in sorted(folder.iterdir())
        if home.name != learner and home.is_dir() and learner in read_notes(folder, home.name).belongs.values()
    ]
    for code in (learner, *others):
        for session in marked(folder, sessions(folder, code)):
            if session.header is not None and session.header.learner == learner:
                yield session


def belonging(folder: Path) -> dict[str, str]:
    """Whose sessions are that teachers said are another's than the code they were held under, by id; notes that cannot
    be read say nothing. Raises LogTrouble."""
    check_folder(folder)
    found: dict[str, str] = {}
    for home in sorted(folder.iterdir()):
        if home.is_dir() and not home.is_symlink():
            with suppress(LogTrouble):
                found |= read_notes(folder, home.name).belongs
    return found


def bring(source: Path, folder: Path, learner: str) -> int:
    """Add what notes elsewhere say and the learner's here do not; how many lines. Raises CannotGoOn."""
    path = folder / learner / NAME
    here = content(path, MOST).splitlines() if path.exists() else []
    known = {_without_chain(line) for line in here}
    new = [line for line, own in _lines(source) if own and _take(Notes(), line) and _without_chain(line) not in known]
    for line in new:
        _add(folder, learner, json.loads(_without_chain(line)))
    return len(new)


def _without_chain(line: bytes) -> str:
    try:
        return json.dumps({name: value for name, value in json.loads(line).items() if name != "chain"})
    except (ValueError, RecursionError, AttributeError):
        return ""


def forget(folder: Path, learner: str, gone: frozenset[str], words: bool) -> None:
    """Take out of a learner's notes what is about these sessions; with ``words`` the notes themselves too. Raises
    LogTrouble."""
    path = folder / learner / NAME
    kept, last = b"", ""
    for line, own in _lines(path):
        found = Notes()
        if own and _take(found, line) and not (found.notes and words) and gone.isdisjoint(_about(found)):
            linked, last = chained(json.loads(_without_chain(line)), last)
            kept += linked
    try:
        write_whole(path, kept, FILE_MODE)
    except OSError as error:
        raise LogTrouble(f"{path} cannot be written: {reason(error)}.") from error


def _about(found: Notes) -> set[str]:
    return {*found.belongs, *(name for name, _ in found.overrides)}


def judgements() -> list[str]:
    """What a turn can be judged to be, a line each."""
    words = {"right": "the step is right", "wrong": "it is wrong, for no reason in the list", "withdraw": "as judged"}
    found = words | {error: entry.name for error, entry in error_table().items()}
    return [f"  {name:<30} {what}" for name, what in found.items()]


def read_notes(folder: Path, learner: str) -> Notes:
    """Everything written of a learner, oldest first; nothing where there is no file. Raises LogTrouble."""
    found = Notes()
    if not CODE.fullmatch(learner):  # out of a log that is none of ours: not the name of a folder
        return found
    path = folder / learner / NAME
    if not os.path.lexists(path):
        return found
    try:
        lines = _lines(path)
    except CannotGoOn as trouble:
        raise LogTrouble(f"The teacher's notes {trouble.sentence}") from trouble
    for line, own in lines:
        found.unread += not (own and _take(found, line))
    return found


def planted(path: Path) -> list[int]:
    """The numbers of the lines of a notes file that were changed or put in. Raises CannotGoOn."""
    return [number for number, (_, own) in enumerate(_lines(path), 1) if not own]


def _lines(path: Path) -> list[tuple[bytes, bool]]:
    """Each line, and whether its chain is right. Raises CannotGoOn."""
    found: list[tuple[bytes, bool]] = []
    chain = ""
    old: bool | None = None
    for line in content(path, MOST).splitlines():
        try:
            start, written = split(line)
        except NotALine:
            old = _of_an_earlier_version(path.parent) if old is None else old
            found.append((line, old and not chain))
            continue
        found.append((line, link(start, chain) == written))
        chain = written
    return found


def _of_an_earlier_version(home: Path) -> bool:
    """Whether a learner has a log of the version in which notes had no chain."""
    heads = map(read_head, session_files(home))
    return any(head is not None and head.schema < SCHEMA for head in heads)


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
        yield as_judged(session, kept[learner])


def as_judged(session: Session, notes: Notes) -> Session:
    """The session as the notes on its learner judge it, and under the code of whose it is."""
    header = session.header
    if header is None:
        return session
    if header.id in notes.belongs:
        session = replace(session, header=msgspec.structs.replace(header, learner=notes.belongs[header.id]))
    if not notes.overrides:
        return session
    return replace(
        session,
        turns=tuple(_turn(turn, notes.overrides.get((header.id, turn.number), "withdraw")) for turn in session.turns),
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
        case {"belongs": {"session": str(name), "learner": str(learner)}} if CODE.fullmatch(learner):
            found.belongs[name] = learner
        case _:
            return False
    return True


def _append(folder: Path, learner: str, body: dict[str, Any]) -> Path:
    return _add(folder, learner, {"at": now()} | body)


def _add(folder: Path, learner: str, body: dict[str, Any]) -> Path:
    home = folder / learner_code(learner)
    if not home.is_dir() or home.is_symlink():
        raise LogTrouble(f"There is no learner {learner} in {folder}.")
    path = home / NAME
    try:
        with lock.alone(home, LOCK):
            handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | NO_LINK, FILE_MODE)
            try:
                line, _ = chained(body, _last_chain(path))
                written = os.write(handle, line)
                os.fsync(handle)
            finally:
                os.close(handle)
    except OSError as error:
        raise LogTrouble(f"{path} cannot be written: {reason(error)}.") from error
    if written < len(line):
        raise LogTrouble(f"{path} could be written only in part; is the disk full?")
    return path


def _last_chain(path: Path) -> str:
    """The chain that the next line follows."""
    for line in reversed(content(path, MOST).splitlines()):
        try:
            return split(line)[1]
        except NotALine:
            continue
    return ""
