"""Erasing and handing out a learner's records."""

import os
import re
import zipfile
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from chattutor.common.exits import CannotGoOn, LogTrouble, reason
from chattutor.session_logs import lock, register
from chattutor.session_logs.erased import put_down
from chattutor.session_logs.folder import ERASED, NOTES, files, is_kept, session_files, sessions
from chattutor.session_logs.notes import belonging, forget
from chattutor.session_logs.reader import READ_FLAGS, read_head
from chattutor.session_logs.times import changed_at, held_at
from chattutor.session_logs.transcript import transcript
from chattutor.session_logs.writer import FILE_MODE, now

NOT_IN_NAMES = re.compile(r"[^\w.-]|\.\.", re.ASCII)  # of what is in a zip, wherever it is unpacked
NO_TIME = "its clock was wrong, so its age is unknown: erase its learner's records, or delete it yourself."
BACKUPS = (
    "Copies in backups, exports or on sticks are not touched: delete those too. If logs are collected from there, "
    "these will not come back."
)


@dataclass(slots=True)
class ErasureReport:
    """What was deleted, and what was left where it is and why."""

    deleted: list[Path] = field(default_factory=list)
    bytes: int = 0
    left: list[str] = field(default_factory=list)
    packed: int = 0

    @property
    def what(self) -> list[str]:
        """The kinds of file deleted, with how many of each."""
        kinds = Counter(map(_kind, self.deleted)) + Counter({"packed files rewritten": self.packed})
        return [f"{kind}: {number}" for kind, number in kinds.items()]


@dataclass(slots=True)
class ToErase:
    """The files to erase; a sentence on each that could not be looked at, so that nobody takes it for gone; and the
    notes, by whose they are, out of which what is about some sessions goes (and, or not, all that was noted)."""

    paths: list[Path] = field(default_factory=list)
    unreached: list[str] = field(default_factory=list)
    notes: dict[str, tuple[frozenset[str], bool]] = field(default_factory=dict)


def of_learner(folder: Path, learner: str) -> ToErase:
    """Every file that is the learner's: session logs wherever they are, also those that a teacher said are this
    learner's, and all else in the learner's folder. What a teacher said is somebody else's stays, and so does the word
    that says so. Raises LogTrouble."""
    home, found = folder / learner, ToErase()
    whose = belonging(folder)
    others = _under_another(folder, whose)
    for code, names in others.items():
        mine = frozenset(name for name in names if whose[name] == learner)
        if code == learner and len(mine) < len(names):
            found.notes[code] = mine, True
        elif code != learner and mine:
            found.notes[code] = mine, False
    for path in files(folder):
        if is_kept(path) or path.name == register.NAME or _closed_folder(path, found):
            continue
        if path.name == NOTES and path.parent == home and learner in found.notes:
            continue
        header = read_head(path)
        if (header is None and home in path.parents) or (
            header is not None and whose.get(header.id, header.learner) == learner
        ):
            found.paths.append(path)
        elif header is None and path.suffix == ".jsonl" and (why := unreadable(path)):
            found.unreached.append(f"{path}: {why}; its learner is unknown.")
    return found


def _under_another(folder: Path, whose: dict[str, str]) -> dict[str, set[str]]:
    """The sessions that are somebody else's, by the code they were held under."""
    found: dict[str, set[str]] = {}
    heads = (read_head(path) for path in session_files(folder)) if whose else ()
    for head in heads:
        if head is not None and whose.get(head.id, head.learner) != head.learner:
            found.setdefault(head.learner, set()).add(head.id)
    return found


def days_ago(days: int) -> str:
    """That time, as the logs have it."""
    return (datetime.now(UTC) - timedelta(days=days)).isoformat()


def older_than(folder: Path, before: str, learner: str | None = None) -> ToErase:
    """Session logs begun before a time, and the notes on a learner to which nobody has added since, by the earliest
    times that can be trusted. Raises LogTrouble."""
    now, since, found = datetime.now(UTC), datetime.fromisoformat(before), ToErase()
    whose = belonging(folder)
    for path in files(folder):
        if _closed_folder(path, found):
            continue
        if path.name == NOTES:
            if learner in {None, path.parent.name}:
                _by_age(path, changed_at(path, now), since, found)
        elif path.suffix == ".jsonl":
            header = read_head(path)
            if header is None:
                if why := unreadable(path):
                    found.unreached.append(f"{path}: {why}; its age is unknown.")
            elif learner in {None, whose.get(header.id, header.learner)}:
                _by_age(path, held_at(path, header.created, now), since, found)
    return found


def _by_age(path: Path, at: datetime | None, since: datetime, found: ToErase) -> None:
    """Take the file where it is old enough, and say so where nobody knows."""
    if at is None:
        found.unreached.append(f"{path}: {NO_TIME}")
    elif at < since:
        found.paths.append(path)


def _closed_folder(path: Path, found: ToErase) -> bool:
    """Whether it is a folder that cannot be opened, which is then reported."""
    if path.is_symlink() or not path.is_dir():
        return False
    found.unreached.append(f"{path}: the folder cannot be opened; what is in it is not erased.")
    return True


def unreadable(path: Path) -> str:
    """Why an ordinary file cannot be opened; empty where it can be, and for what is no ordinary file."""
    try:
        if not path.is_file() or path.is_symlink():
            return ""
        os.close(os.open(path, READ_FLAGS))
    except OSError as error:
        return reason(error)
    return ""


def erase(paths: list[Path], folder: Path) -> ErasureReport:
    """Delete the files, and the learners' folders this empties. Links are deleted, not what they point to."""
    erased = ErasureReport()
    going: dict[Path, str] = {}
    for path in paths:
        if lock.in_use(path):
            erased.left.append(f"{path}: a lesson is being written to it now; end it first.")
        else:
            header = read_head(path)
            going[path] = header.id if header is not None else ""
    try:
        put_down(folder, filter(None, going.values()))  # before anything is gone
    except OSError as error:
        erased.left.append(f"{folder / ERASED}: {reason(error)}; logs collect may bring back what was erased.")
    gone: dict[Path, list[str]] = {}
    for path, name in going.items():
        if _delete(path, erased) and name:
            gone.setdefault(path.parent, []).append(name)
    for home, names in gone.items():
        try:
            register.erased(home, tuple(names), now())
        except OSError as error:
            erased.left.append(f"{home / register.NAME}: {reason(error)}; it still names what was erased.")
    if erased.deleted:
        _forget(folder, erased)
    for home in {path.parent for path in erased.deleted} - {folder}:
        _empty(home)
    return erased


def forget_notes(found: ToErase, folder: Path, erased: ErasureReport) -> None:
    """Take out of notes that stay what is about sessions that went."""
    for code, (names, words) in found.notes.items():
        try:
            forget(folder, code, names, words)
        except CannotGoOn as trouble:
            erased.left.append(trouble.sentence)


def packs(folder: Path) -> list[Path]:
    """Packed data in the folder."""
    return sorted(path for path in files(folder) if path.suffix == ".parquet" and not path.is_symlink())


def packed(
    folder: Path, elsewhere: Path | None, learner: str | None, before: str | None
) -> tuple[list[Path], list[str]]:
    """Packed data, in the folder and elsewhere, that holds sessions of the learner, or from before a time, or that are
    both; and a sentence on each file that cannot be asked. Raises CannotGoOn without the engine."""
    found = packs(folder) + (packs(elsewhere) if elsewhere is not None else [])
    if not found:
        return [], []
    from chattutor.exchange.parquet import Rows, holding

    return holding(found, Rows(learner, before))


def unpack(paths: list[Path], learner: str | None, before: str | None, erased: ErasureReport) -> None:
    """Take those sessions out of packed data."""
    if not paths:
        return
    from chattutor.exchange.parquet import Rows, take_out

    for path in paths:
        try:
            erased.bytes += take_out(path, Rows(learner, before))
        except OSError as error:
            erased.left.append(f"{path}: {reason(error)}.")
        except LogTrouble as trouble:
            erased.left.append(trouble.sentence)
        else:
            erased.packed += 1
            for home in (path.parent, path.parent.parent):  # month=..., school=...
                if "=" in home.name and not any(home.iterdir()):
                    home.rmdir()


def unmade(folder: Path | None) -> list[Path]:
    """What a packing that was killed left half made: nobody knows whose words are in it."""
    if folder is None:
        return []
    from chattutor.exchange.packed_rows import MAKING
    from chattutor.exchange.parquet import NEW

    half = (path for path in files(folder) if path.name.endswith(f".parquet{NEW}") or MAKING in str(path.parent))
    return [path for path in half if not path.is_symlink()]


def _forget(folder: Path, erased: ErasureReport) -> None:
    """Delete what reviews kept, in the folder and in those it is part of: it may hold what was erased."""
    above = [path for home in folder.resolve().parents for path in _kept_in(home)]
    for path in [*(path for path in files(folder) if is_kept(path)), *above]:
        _delete(path, erased)


def _delete(path: Path, erased: ErasureReport) -> bool:
    """Delete one file, or record why it was left."""
    try:
        size = path.lstat().st_size
        path.unlink()
    except OSError as error:
        erased.left.append(f"{path}: {reason(error)}.")
        return False
    erased.deleted.append(path)
    erased.bytes += size
    return True


def _empty(home: Path) -> None:
    """Take away a folder in which nothing is left but locks and the register of what was in it."""
    try:
        left = list(home.iterdir())
        if all(lock.is_lock(path) or path.name == register.NAME for path in left):
            for path in left:
                path.unlink()
            home.rmdir()
    except OSError:
        return  # somebody has begun to write in it


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
                name = f"{number:03}-{NOT_IN_NAMES.sub('_', session.path.stem)}"
                archive.write(session.path, f"{name}.jsonl")
                archive.writestr(f"{name}.txt", "\n".join(transcript(session)) + "\n")
            notes = folder / learner / NOTES
            if notes.is_file() and not notes.is_symlink():
                archive.write(notes, NOTES)
    except FileExistsError as error:
        raise LogTrouble(f"{target} already exists; choose another name with --to.") from error
    except OSError as error:
        target.unlink(missing_ok=True)
        raise LogTrouble(f"{target} cannot be written: {reason(error)}.") from error
    return len(found)
