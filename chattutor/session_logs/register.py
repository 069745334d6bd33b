"""The register of a learner's sessions: which were begun, how each was left, which were erased; only ever added to.

``DIR/CODE/sessions.list`` is JSON lines, chained as a session log's are::

    {"entry": "began", "id", "file", "at", "chain"}
    {"entry": "closed", "id", "turns", "seal", "at", "chain"}    ``seal`` is the last chain of the log
    {"entry": "erased", "ids", "at", "chain"}

A log whose end is cut off, that is gone, or that came from elsewhere differs from it. A sitting that was killed is
closed, as it was found, when the next one begins.
"""

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeAlias, assert_never

import msgspec
from msgspec import Struct

from chattutor.common.exits import CannotGoOn
from chattutor.common.files import content
from chattutor.session_logs import lock
from chattutor.session_logs.hash_chain import NotALine, chained, link, split
from chattutor.session_logs.reader import read_session

NAME = "sessions.list"
LOCK = f".sessions{lock.ENDING}"
MOST = 16_000_000  # bytes: some hundred thousand sittings
MODE = 0o600
ADD = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


class Began(Struct, frozen=True, tag_field="entry", tag="began"):
    """A sitting began in this file."""

    id: str
    file: str
    at: str


class Closed(Struct, frozen=True, tag_field="entry", tag="closed"):
    """How a sitting was left: so many turns, and the last chain of its log."""

    id: str
    turns: int
    seal: str
    at: str


class Erased(Struct, frozen=True, tag_field="entry", tag="erased"):
    """Sittings that were erased, as was asked for."""

    ids: tuple[str, ...]
    at: str


Entry: TypeAlias = Began | Closed | Erased
_decode = msgspec.json.Decoder(Began | Closed | Erased).decode


@dataclass(slots=True)
class Register:
    """What a register says: the file of each session, how it was left, which were erased, and the lines altered."""

    files: dict[str, str] = field(default_factory=dict)
    closed: dict[str, Closed] = field(default_factory=dict)
    altered: list[int] = field(default_factory=list)
    erased: set[str] = field(default_factory=set)
    chain: str = ""
    whole: int = 0  # bytes, up to the end of the last whole line

    def take(self, entry: Entry) -> None:
        """One line of it."""
        match entry:
            case Began(id=name, file=file):
                self.files[name] = file
            case Closed(id=name):
                self.closed[name] = entry
            case Erased(ids=names):
                self.erased.update(names)
                for name in names:
                    self.files.pop(name, None)
                    self.closed.pop(name, None)
            case _:
                assert_never(entry)


def read_register(home: Path) -> Register | None:
    """The register of a learner's folder; None where there is none that can be read."""
    try:
        lines = content(home / NAME, MOST)
    except CannotGoOn:
        return None
    found = Register()
    for number, line in enumerate(lines.split(b"\n")[:-1], 1):
        found.whole += len(line) + 1
        try:
            start, chain = split(line)
            found.take(_decode(line))
        except (NotALine, msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
            found.altered.append(number)
            continue
        if link(start, found.chain) != chain:
            found.altered.append(number)
        found.chain = chain
    return found


def begin(home: Path, name: str, file: str, at: str) -> None:
    """A sitting begins; those that were killed are closed as they are found. Raises OSError."""
    with _adding(home) as (register, add):
        for other, other_file in register.files.items():
            path = home / other_file
            if other in register.closed or lock.in_use(path):
                continue
            session = read_session(path)
            found = session.header is not None and session.header.id == other
            add(Closed(other, len(session.turns) if found else 0, session.chain if found else "", at))
        add(Began(name, file, at))


def close(home: Path, name: str, turns: int, seal: str, at: str) -> None:
    """A sitting is left so. Where that cannot be written, the next one that begins does it."""
    with suppress(OSError), _adding(home) as (_, add):
        add(Closed(name, turns, seal, at))


def erased(home: Path, names: tuple[str, ...], at: str) -> None:
    """These sittings were erased. Raises OSError."""
    if names and (home / NAME).exists():
        with _adding(home) as (_, add):
            add(Erased(names, at))


class _Adder:
    def __init__(self, handle: int, chain: str) -> None:
        self._handle, self._chain = handle, chain

    def __call__(self, entry: Entry) -> None:
        line, self._chain = chained(entry, self._chain)
        os.write(self._handle, line)


@contextmanager
def _adding(home: Path) -> Iterator[tuple[Register, _Adder]]:
    """The register and what adds to it, while nobody else does; on the disk once this is left."""
    with lock.alone(home, LOCK):
        register = read_register(home)
        if register is None and os.path.lexists(home / NAME):
            raise OSError(errno.EIO, "it is not a register", str(home / NAME))
        register = register or Register()
        handle = os.open(home / NAME, ADD, MODE)
        try:
            os.ftruncate(handle, register.whole)  # half a line that was being written when the power went off
            yield register, _Adder(handle, register.chain)
            os.fsync(handle)
        finally:
            os.close(handle)
