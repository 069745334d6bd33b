"""Bringing session logs together from sticks, shares and other computers into one folder, and what was new in them.

Nothing is ever overwritten but by a longer copy of itself, nothing is deleted, and the places they come from are only
read. What was erased here is not brought back.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from chattutor.common.exits import CannotGoOn, LogTrouble, reason
from chattutor.common.files import content, write_whole
from chattutor.session_logs import register
from chattutor.session_logs.erased import erased_from, hashed
from chattutor.session_logs.folder import NOTES, closed_folders, session_files
from chattutor.session_logs.learner_code import CODE
from chattutor.session_logs.notes import bring
from chattutor.session_logs.reader import Session, read_head, read_session
from chattutor.session_logs.writer import FILE_MODE, FOLDER_MODE, make_folder, now

MOST = 300_000_000  # bytes of one log
SPOILT = frozenset({"altered", "foreign", "newer", "too long", "unreadable", "not a file"})


@dataclass(slots=True)
class Collected:
    """What came of it: by learner how many sessions are new, how many longer than before, and how many lines of a
    teacher's notes are new; how many sessions were here already; a sentence on each file that was left."""

    new: Counter[str] = field(default_factory=Counter)
    longer: Counter[str] = field(default_factory=Counter)
    notes: Counter[str] = field(default_factory=Counter)
    known: int = 0
    left: list[str] = field(default_factory=list)


def collect(sources: Iterable[Path], folder: Path) -> Collected:
    """Copy what is new in these folders. Raises LogTrouble where the folder cannot be written, or a source not read."""
    found = Collected()
    try:
        make_folder(folder)
    except OSError as error:
        raise LogTrouble(f"{folder} cannot be made: {reason(error)}.") from error
    here = {head.id: path for path in session_files(folder) if (head := read_head(path)) is not None}
    gone = erased_from(folder)
    for source in sources:
        if source.resolve() == folder.resolve():
            raise LogTrouble(f"{source} is the folder to collect into.")
        for path in session_files(source):
            _take(path, folder, here, gone, found)
        for notes in sorted(source.rglob(NOTES)):
            _take_notes(notes, folder, here, found)
        found.left += closed_folders(source)
    return found


def report(found: Collected, folder: Path) -> Iterator[str]:
    """The report, a line each."""
    for code in sorted({*found.new, *found.longer, *found.notes}):
        parts = [f"{found.new[code]} new"] if found.new[code] else []
        parts += [f"{found.longer[code]} longer than before"] if found.longer[code] else []
        parts += [f"{found.notes[code]} of a teacher's notes"] if found.notes[code] else []
        yield f"{code}: {', '.join(parts)}"
    new, longer = found.new.total(), found.longer.total()
    yield f"Into {folder}: {new} new, {longer} longer, {found.known} here already, {len(found.left)} left out."
    yield from (f"! {sentence}" for sentence in found.left)


def _take(path: Path, folder: Path, here: dict[str, Path], gone: set[str], found: Collected) -> None:
    session = read_session(path)
    header = session.header
    faults = [problem for problem in session.problems if problem.kind in SPOILT]
    if header is None or faults or not CODE.fullmatch(header.learner):
        why = (session.problems[0].sentence if session.problems else "") or "It does not name a learner's code."
        found.left.append(f"{path}: {why}")
        return
    if hashed(header.id) in gone:
        found.left.append(f"{path}: It was erased here, so it is not copied again; delete it there too.")
        return
    target = here.get(header.id) or folder / header.learner / _name(path, header.id)
    try:
        text = content(path, MOST)
        before = content(target, MOST) if target.exists() else b""
        if before and (before == text or before.startswith(text)):
            found.known += 1
            return
        if not text.startswith(before):
            found.left.append(f"{path}: It is another version of {target}; compare them, and keep one.")
            return
        _write(target, text, session, new=not before)
    except CannotGoOn as trouble:
        found.left.append(trouble.sentence)
        return
    except OSError as error:
        raise LogTrouble(f"{target} cannot be written: {reason(error)}. What was collected so far is kept.") from error
    here[header.id] = target
    (found.longer if before else found.new)[header.learner] += 1


def _take_notes(path: Path, folder: Path, here: dict[str, Path], found: Collected) -> None:
    """What a teacher said elsewhere, of a learner who has logs here: nothing comes back of a learner who was erased."""
    learner = path.parent.name
    if not CODE.fullmatch(learner) or path.is_symlink() or all(one.parent.name != learner for one in here.values()):
        return
    try:
        if count := bring(path, folder, learner):
            found.notes[learner] += count
    except CannotGoOn as trouble:
        found.left.append(f"{path}: {trouble.sentence}")


def _write(target: Path, text: bytes, session: Session, new: bool) -> None:
    """The file, and its line in the register of its folder."""
    assert session.header is not None
    home = target.parent
    if home.is_symlink():
        raise LogTrouble(f"{home} is a link to somewhere else; logs are only written to real folders.")
    home.mkdir(mode=FOLDER_MODE, exist_ok=True)
    write_whole(target, text, FILE_MODE)
    if new:
        register.begin(home, session.header.id, target.name, now())
    register.close(home, session.header.id, len(session.turns), session.chain, now())


def _name(path: Path, name: str) -> str:
    return path.name if path.stem.endswith(name) else f"{name}.jsonl"
