"""A folder of session logs: where it is, what is in it, and which sitting a learner can resume."""

import os
from collections.abc import Iterator
from pathlib import Path

from platformdirs import user_data_path

from chattutor.common.exits import LogTrouble, reason
from chattutor.session_logs import lock
from chattutor.session_logs.reader import Session, read_head, read_session
from dialogue.turn_record import Answered, Given

NOTES = "teacher.notes"  # a learner's, written in review, beside the session logs
NEXT = "next-lesson.csv"  # what a teacher set the learner for the next lesson
HALF_TERMS = "half-terms.txt"  # when they begin, as a teacher set it for all in the folder
ERASED = ".erased"  # the sessions that were erased, so that no copy is brought back
DIGESTS, PAGE = ".review-digests", ".review-page"  # kept by a review of many logs, to be made anew at any time
MAX_DEPTH = 6  # folders inside folders; a school's year needs two or three


def default_folder() -> Path:
    """Where logs are kept unless told otherwise: in the person's own data folder."""
    named = os.environ.get("CHATTUTOR_LOGS")
    return Path(named) if named else own_folder() / "logs"


def own_folder() -> Path:
    """What the program keeps of a person who uses it on this computer."""
    return user_data_path("chattutor", appauthor=False)


def files(folder: Path) -> Iterator[Path]:
    """Every file in a folder but locks, in order of name; links are included but not followed, and so is a folder
    that cannot be opened. Raises LogTrouble where the folder itself cannot be read."""
    check_folder(folder)
    for entry in _below(folder, MAX_DEPTH):
        if not lock.is_lock(path := Path(entry)):
            yield path


def check_folder(folder: Path) -> None:
    """Raises LogTrouble where there is none, or it cannot be read."""
    if not folder.is_dir():
        raise LogTrouble(f"There is no folder {folder}.")
    try:
        os.scandir(folder).close()
    except OSError as error:
        raise LogTrouble(f"The folder {folder} cannot be read: {reason(error)}.") from error


def _below(folder: Path | str, depth: int) -> Iterator["Path | str | os.DirEntry[str]"]:
    try:
        with os.scandir(folder) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except OSError:
        yield folder  # whoever reads it finds out why
        return
    for entry in entries:
        if not entry.is_dir(follow_symlinks=False):
            yield entry
        elif depth:
            yield from _below(entry.path, depth - 1)


def closed_folders(folder: Path) -> list[str]:
    """A sentence on each folder in it that cannot be opened, so that nobody takes what is in it for looked at. Raises
    LogTrouble."""
    check_folder(folder)
    closed = (entry for entry in _below(folder, MAX_DEPTH) if not isinstance(entry, os.DirEntry))
    return [f"{path}: the folder cannot be opened; what is in it was not looked at." for path in closed]


def is_kept(path: Path) -> bool:
    """Whether a review made the file only to be quicker next time."""
    return path.name.startswith((DIGESTS, PAGE))


def session_files(folder: Path) -> Iterator[Path]:
    """The files that are named like session logs and are ordinary files. Raises LogTrouble."""
    check_folder(folder)
    for entry in _below(folder, MAX_DEPTH):
        if isinstance(entry, os.DirEntry) and entry.name.endswith(".jsonl") and entry.is_file(follow_symlinks=False):
            yield Path(entry)


def sessions(folder: Path, learner: str | None = None, name: str = "") -> Iterator[Session]:
    """Every session log in a folder (of one learner; with an id that begins so), oldest file name first in each
    learner's folder."""
    for path in session_files(folder):
        if learner is not None or name:  # of most files one line is enough
            head = read_head(path)
            if head is None or learner not in {None, head.learner} or not head.id.startswith(name):
                continue
        session = read_session(path)
        if session.header is not None and learner in {None, session.header.learner}:
            yield session


def unfinished(folder: Path, learner: str) -> Session | None:
    """The learner's latest sitting that was interrupted, is not being written now, and was not resumed."""
    if not (folder / learner).is_dir() or (folder / learner).is_symlink():
        return None
    found = list(sessions(folder / learner, learner))
    resumed = {session.header.continues.id for session in found if session.header and session.header.continues}
    for session in sorted(found, key=lambda one: one.header.created if one.header else "", reverse=True):
        if session.header is None or session.end is not None or session.header.id in resumed:
            continue
        if any(problem.kind != "torn" for problem in session.problems) or _is_over(session):
            continue
        begun = len(session.turns) > 1 or session.header.continues is not None  # one that resumes may have no line
        if begun and not lock.in_use(session.path):
            return session
    return None


def _is_over(session: Session) -> bool:
    """Whether its last turn ended the lesson, so that nothing but the closing line is missing."""
    last = session.turns[-1].record if session.turns else None
    return isinstance(last, Answered | Given) and last.next == "done"


def is_resumed(home: Path, name: str) -> bool:
    """Whether a sitting in a learner's folder resumes the session of this id. Raises LogTrouble."""
    heads = map(read_head, session_files(home))
    return any(head is not None and head.continues is not None and head.continues.id == name for head in heads)


def in_another_window(folder: Path, learner: str) -> bool:
    """Whether a lesson of the learner is being written now. Raises LogTrouble."""
    home = folder / learner
    return home.is_dir() and not home.is_symlink() and any(map(lock.in_use, session_files(home)))
