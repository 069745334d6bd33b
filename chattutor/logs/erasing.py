"""Erasing and handing out a learner's records."""

import os
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from chattutor.exits import LogTrouble, reason
from chattutor.logs import lock
from chattutor.logs.folder import files, sessions
from chattutor.logs.reader import read_session
from chattutor.logs.transcript import transcript
from chattutor.logs.writer import FILE_MODE

BACKUPS = "Copies in backups, exports or on sticks are not touched: delete those too."


@dataclass(slots=True)
class Erased:
    """What was deleted, and what was left where it is and why."""

    deleted: list[Path] = field(default_factory=list)
    bytes: int = 0
    left: list[str] = field(default_factory=list)


def of_learner(folder: Path, learner: str) -> Iterator[Path]:
    """Every file that is the learner's: session logs wherever they are, and all else in the learner's folder."""
    home = folder / learner
    for path in files(folder):
        header = read_session(path).header
        if header.learner == learner if header is not None else home in path.parents:
            yield path


def older_than(folder: Path, days: int, learner: str | None = None) -> Iterator[Path]:
    """Session logs created more than so many days ago."""
    limit = (datetime.now(UTC) - timedelta(days=days)).isoformat()
    for session in sessions(folder, learner):
        if session.header is not None and session.header.created < limit:
            yield session.path


def erase(paths: list[Path], folder: Path) -> Erased:
    """Delete the files, and the learners' folders this empties. Links are deleted, not what they point to."""
    erased = Erased()
    for path in paths:
        if lock.in_use(path):
            erased.left.append(f"{path}: a lesson is being written to it now; end it first.")
            continue
        try:
            size = path.lstat().st_size
            path.unlink()
        except OSError as error:
            erased.left.append(f"{path}: {reason(error)}.")
            continue
        erased.deleted.append(path)
        erased.bytes += size
    for home in {path.parent for path in erased.deleted} - {folder}:
        if not any(home.iterdir()):
            home.rmdir()
    return erased


def export(folder: Path, learner: str, target: Path) -> int:
    """A zip of the learner's logs, each also as readable text; how many sessions. Raises LogTrouble."""
    found = list(sessions(folder, learner))
    if not found:
        raise LogTrouble(f"There is no session of learner {learner} in {folder}.")
    try:
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), FILE_MODE)
        with open(handle, "wb") as out, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for number, session in enumerate(found, 1):
                name = f"{number:03}-{session.path.stem}"
                archive.write(session.path, f"{name}.jsonl")
                archive.writestr(f"{name}.txt", "\n".join(transcript(session)) + "\n")
    except FileExistsError as error:
        raise LogTrouble(f"{target} is there already; choose another name with --to.") from error
    except OSError as error:
        raise LogTrouble(f"{target} cannot be written: {reason(error)}.") from error
    return len(found)
