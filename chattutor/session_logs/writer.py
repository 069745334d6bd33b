"""Writing one session log: appended and synced a line at a time, by the one process that created the file."""

import os
import secrets
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from chattutor.common.exits import LogTrouble, reason
from chattutor.session_logs import lock, register
from chattutor.session_logs.hash_chain import chained
from chattutor.session_logs.learner_code import learner_code
from chattutor.session_logs.saved import reply_records, said_record
from chattutor.session_logs.schema import SCHEMA, Continues, EndLine, Header, LogLine, Settings, TurnLine
from dialogue.turn_record import PlanRecord, Record, ReplyRecord, Said

if TYPE_CHECKING:
    from filelock import BaseFileLock
from dialogue.tutor.core.state import Turn, Utterance

NOT_WRITTEN = (
    "The session log {path} cannot be written: {reason}. What was written before is kept; once that is fixed, start "
    "the lesson again to carry on from there."
)
FILE_MODE, FOLDER_MODE = 0o600, 0o700
FRESH = os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


def now() -> str:
    """The time, UTC, ISO 8601, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class SessionLog:
    """An open session log. A failed write raises LogTrouble and leaves all earlier lines whole."""

    def __init__(self, folder: Path, header: Header) -> None:
        self.header = header
        self.turns = 0
        self.ended = False
        self.path, self._file, self._lock = _create(folder, header)
        self._chain = ""
        self._size = 0
        try:
            self._append(header)
        except LogTrouble:
            self._forget()
            raise
        for holding in (self.path.parent, folder, folder.parent):  # each may be new, and is a name in the next
            _sync_folder(holding)

    def turn(self, turn: Turn, said: Utterance | None = None) -> None:
        """Write a turn of the tutor's; once this returns it is on the disk."""
        words = None if said is None else said_record(said, turn)
        self.write(turn.record, words, reply_records(turn.replies))

    def write(self, record: Record, said: Said | None = None, replies: tuple[ReplyRecord, ...] = ()) -> None:
        """Write one turn; once this returns it is on the disk."""
        self._append(TurnLine(self.turns, now(), record, said, replies))
        self.turns += 1

    def end(self, why: str) -> None:
        """Write the closing line, once, and let the file go."""
        if not self.ended:
            self._append(EndLine(why, now(), self.turns))
        self.close()

    def close(self) -> None:
        """Let the file go without a closing line: the sitting can be resumed."""
        if not self.ended:
            self.ended = True
            os.close(self._file)
            lock.let_go(self._lock)
            register.close(self.path.parent, self.header.id, self.turns, self._chain, now())

    def _append(self, body: Header | LogLine) -> None:
        line, chain = chained(body, self._chain)
        try:
            left = memoryview(line)
            while left:
                left = left[os.write(self._file, left) :]
            os.fsync(self._file)
        except OSError as error:
            self._take_back()
            raise LogTrouble(NOT_WRITTEN.format(path=self.path, reason=reason(error))) from error
        self._chain = chain
        self._size += len(line)

    def _forget(self) -> None:
        """Leave no empty file where not even the first line could be written."""
        self.ended = True
        os.close(self._file)
        lock.let_go(self._lock)
        with suppress(OSError):
            self.path.unlink()

    def _take_back(self) -> None:
        """Cut off a line written in part, whose reply nobody has seen: what is left is whole."""
        try:
            os.ftruncate(self._file, self._size)
        except OSError:
            return  # whoever reads the log leaves half a line out


def new_header(
    learner: str, plan: PlanRecord, settings: Settings, version: str, continues: Continues | None = None
) -> Header:
    """A header for a sitting that starts now. Raises LogTrouble for a code that is none."""
    return Header(SCHEMA, secrets.token_hex(8), learner_code(learner), now(), version, plan, settings, continues)


def make_folder(folder: Path) -> None:
    """The folder and those that it is in, each that is new for its owner only. Raises OSError."""
    for each in (*reversed(folder.parents), folder):
        if not each.is_dir():
            each.mkdir(mode=FOLDER_MODE, exist_ok=True)


def _create(folder: Path, header: Header) -> "tuple[Path, int, BaseFileLock | None]":
    home = folder / learner_code(header.learner)
    stamp = "".join(each for each in header.created[:23] if each.isalnum())  # names sort by time
    path = home / f"{stamp}-{header.id}.jsonl"
    held: BaseFileLock | None = None
    try:
        make_folder(folder)
        if home.is_symlink():
            raise LogTrouble(f"{home} is a link to somewhere else; logs are only written to real folders.")
        home.mkdir(mode=FOLDER_MODE, exist_ok=True)
        held = lock.hold(path)
        register.begin(home, header.id, path.name, header.created)
        return path, os.open(path, FRESH, FILE_MODE), held
    except OSError as error:
        lock.let_go(held)
        if isinstance(error, FileExistsError) and path.exists():
            raise LogTrouble(f"{path} already exists and is never overwritten; please start again.") from error
        raise LogTrouble(
            f"No session log can be made in {home}: {reason(error)}. Choose another folder with --logs."
        ) from error


def _sync_folder(folder: Path) -> None:
    """So that the new names in it survive a power cut too; not every file system can."""
    if not hasattr(os, "O_DIRECTORY"):
        return
    try:
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        return
    finally:
        os.close(handle)
