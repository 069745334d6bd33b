"""Erasing and handing out a learner's records."""

import os
import zipfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from chattutor.exits import LogTrouble, reason
from chattutor.logs import lock
from chattutor.logs.folder import NOTES, files, is_kept, sessions
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
    packed: int = 0

    @property
    def what(self) -> list[str]:
        """The kinds of file deleted, with how many of each."""
        kinds = Counter(map(_kind, self.deleted)) + Counter({"packed files written anew": self.packed})
        return [f"{kind}: {number}" for kind, number in kinds.items()]


def of_learner(folder: Path, learner: str) -> Iterator[Path]:
    """Every file that is the learner's: session logs wherever they are, and all else in the learner's folder."""
    home = folder / learner
    for path in files(folder):
        if is_kept(path):
            continue
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
        _delete(path, erased)
    if erased.deleted:
        _forget(folder, erased)
    for home in {path.parent for path in erased.deleted} - {folder}:
        if not any(home.iterdir()):
            home.rmdir()
    return erased


def packs(folder: Path) -> list[Path]:
    """Packed data in the folder."""
    return sorted(path for path in files(folder) if path.suffix == ".parquet" and not path.is_symlink())


def packed(folder: Path, elsewhere: Path | None, learner: str) -> list[Path]:
    """Packed data that holds the learner, in the folder and elsewhere. Raises CannotGoOn without the engine."""
    found = packs(folder) + (packs(elsewhere) if elsewhere is not None else [])
    if not found:
        return []
    from chattutor.logs.packing import holding

    return holding(found, learner)


def unpack(paths: list[Path], learner: str, erased: Erased) -> None:
    """Take the learner out of packed data."""
    if not paths:
        return
    from chattutor.logs.packing import take_out

    for path in paths:
        try:
            erased.bytes += take_out(path, learner)
        except OSError as error:
            erased.left.append(f"{path}: {reason(error)}.")
            continue
        erased.packed += 1


def _forget(folder: Path, erased: Erased) -> None:
    """Delete what reviews kept, in the folder and in those it is part of: it may hold what was erased."""
    above = [path for home in folder.resolve().parents for path in _kept_in(home)]
    for path in [*(path for path in files(folder) if is_kept(path)), *above]:
        _delete(path, erased)


def _delete(path: Path, erased: Erased) -> None:
    """Delete one file, or put down why it was left."""
    try:
        size = path.lstat().st_size
        path.unlink()
    except OSError as error:
        erased.left.append(f"{path}: {reason(error)}.")
        return
    erased.deleted.append(path)
    erased.bytes += size


def _kept_in(home: Path) -> list[Path]:
    try:
        return [home / name for name in os.listdir(home) if is_kept(home / name)]
    except OSError:
        return []


def _kind(path: Path) -> str:
    if is_kept(path):
        return "kept by reviews"
    return "teachers' notes" if path.name == NOTES else "session logs" if path.suffix == ".jsonl" else "other files"


def export(folder: Path, learner: str, target: Path) -> int:
    """A zip of the learner's logs, each also as readable text, and of what teachers wrote; how many sessions. Raises
    LogTrouble."""
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
            notes = folder / learner / NOTES
            if notes.is_file() and not notes.is_symlink():
                archive.write(notes, NOTES)
    except FileExistsError as error:
        raise LogTrouble(f"{target} is there already; choose another name with --to.") from error
    except OSError as error:
        raise LogTrouble(f"{target} cannot be written: {reason(error)}.") from error
    return len(found)
