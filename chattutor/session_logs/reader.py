"""Reading one session log: what is sound in it, and in plain words what is not. Never changes a file."""

import os
import stat
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO, Literal, TypeAlias

from chattutor.common.exits import reason
from chattutor.session_logs import lock
from chattutor.session_logs.hash_chain import NotALine, link, split
from chattutor.session_logs.lines import NewerSchema, read_header, read_line
from chattutor.session_logs.schema import MAX_LINE, MAX_TURNS, EndLine, Header, TurnLine

ProblemKind: TypeAlias = Literal["foreign", "newer", "torn", "altered", "too long", "unreadable", "not a file"]
USUAL_HEAD = 8192  # bytes; few first lines are longer
READ_FLAGS = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong with a file: which kind, and a sentence. ``line`` counts from 1; 0 is the file as a whole."""

    kind: ProblemKind
    sentence: str
    line: int = 0


@dataclass(frozen=True, slots=True)
class Session:
    """What could be read of a file. Without a header it is no session log, or not one that can be used."""

    path: Path
    header: Header | None = None
    turns: tuple[TurnLine, ...] = ()
    end: EndLine | None = None
    problems: tuple[Problem, ...] = ()
    chain: str = ""

    @property
    def sound(self) -> bool:
        """Whether nothing at all is wrong."""
        return self.header is not None and not self.problems


def read_session(path: Path) -> Session:
    """Read a file, whatever it turns out to be. Links are not followed; raises nothing for bad content."""
    try:
        handle = os.open(path, READ_FLAGS)
    except OSError as error:
        kind: ProblemKind = "not a file" if path.is_symlink() else "unreadable"
        said = "it is a link, and links are not followed" if path.is_symlink() else reason(error)
        return Session(path, problems=(Problem(kind, f"It was not read: {said}."),))
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        return Session(path, problems=(Problem("not a file", "It is not an ordinary file."),))
    with open(handle, "rb") as source:
        try:
            return _while_written(_read(path, source))
        except OSError as error:
            return Session(path, problems=(Problem("unreadable", f"It cannot be read: {reason(error)}."),))


def read_head(path: Path | str) -> Header | None:
    """The header that ``read_session`` finds, from the first line alone; None where it finds none."""
    try:
        handle = os.open(path, READ_FLAGS)
    except OSError:
        return None
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            return None
        start = os.read(handle, USUAL_HEAD)
        while b"\n" not in start and len(start) < MAX_LINE and (more := os.read(handle, MAX_LINE - len(start))):
            start += more
        first = start[: start.find(b"\n") + 1 or None]
        split(first)
        return read_header(first)
    except (OSError, NotALine):
        return None
    finally:
        os.close(handle)


def _while_written(session: Session) -> Session:
    """The session without complaint of a half-written line, where its writer is at it now."""
    if all(problem.kind != "torn" for problem in session.problems) or not lock.in_use(session.path):
        return session
    return replace(session, problems=tuple(problem for problem in session.problems if problem.kind != "torn"))


def _read(path: Path, source: BinaryIO) -> Session:
    first = source.readline(MAX_LINE)
    if not first:
        return Session(path, problems=(Problem("torn", "It is empty: not even its first line was written.", 1),))
    try:
        header = read_header(first)
        start, chain = split(first)
    except NewerSchema as newer:
        return Session(path, problems=(Problem("newer", str(newer), 1),))
    except NotALine as error:
        if first.startswith(b'{"chattutor":"session"') and not first.endswith(b"\n"):
            return Session(path, problems=(Problem("torn", "Its first line was only half written.", 1),))
        return Session(path, problems=(Problem("foreign", f"It is not a session log: {error}.", 1),))
    problems: list[Problem] = []
    if link(start, "") != chain:
        problems.append(Problem("altered", "Its first line was altered after it was written.", 1))
    return _turns(Session(path, header, chain=chain), source, problems)


def _turns(session: Session, source: BinaryIO, problems: list[Problem]) -> Session:
    turns: list[TurnLine] = []
    end: EndLine | None = None
    chain = session.chain
    schema = session.header.schema if session.header is not None else 0
    number = 1
    while line := source.readline(MAX_LINE):
        number += 1
        if len(line) == MAX_LINE or number > MAX_TURNS + 2:
            problems.append(Problem("too long", f"It is longer than any session, from line {number} on.", number))
            break
        try:
            read = read_line(line, schema)
            start, written = split(line)
        except NotALine as error:
            problems.append(_unreadable(line, number, str(error)))
            continue
        if link(start, chain) != written:
            problems.append(Problem("altered", f"Line {number} was altered, or lines before it are missing.", number))
        chain = written
        if end is not None:
            problems.append(Problem("altered", f"Line {number} comes after the closing line.", number))
        elif isinstance(read, EndLine):
            end = read
            if read.turns != len(turns):
                problems.append(Problem("altered", f"It has {len(turns)} turns of {read.turns}.", number))
        else:
            turns.append(read)
    return Session(session.path, session.header, tuple(turns), end, tuple(problems), chain)


def _unreadable(line: bytes, number: int, why: str) -> Problem:
    if not line.endswith(b"\n"):
        return Problem("torn", f"Line {number}, the last, was only half written and is left out.", number)
    return Problem("altered", f"Line {number} cannot be read: {why}.", number)
