"""Looking over a folder of logs: every file that is not a sound session log, and why."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from chattutor.session_logs.folder import NEXT, NOTES, files, is_kept
from chattutor.session_logs.reader import Session, read_session


@dataclass(frozen=True, slots=True)
class LogFinding:
    """What is wrong with one file: the kinds of Problem, or duplicate, misplaced, or incomplete."""

    path: Path
    kind: str
    sentence: str


@dataclass(slots=True)
class Checked:
    """What a look over a folder found, filled in as it goes."""

    sound: int = 0
    unfinished: int = 0
    faulty: int = 0


def verify(folder: Path, checked: Checked) -> Iterator[LogFinding]:
    """Every finding, file by file; ``checked`` counts along. Raises LogTrouble for a folder that cannot be read."""
    first_with: dict[str, Path] = {}
    wanted: dict[str, Path] = {}
    for path in files(folder):
        if path.name in {NOTES, NEXT} or path.suffix == ".parquet" or is_kept(path):
            continue
        session = read_session(path)
        findings = [LogFinding(path, problem.kind, problem.sentence) for problem in session.problems]
        findings += _placed(session, first_with)
        yield from findings
        if session.header is not None and session.header.continues is not None:
            wanted[session.header.continues.id] = path
        checked.faulty += bool(findings)
        checked.sound += not findings
        checked.unfinished += session.header is not None and session.end is None
    for name, path in wanted.items():
        if name not in first_with:
            checked.faulty += 1
            yield LogFinding(path, "incomplete", "It goes on with an earlier session that is not in this folder.")


def _placed(session: Session, first_with: dict[str, Path]) -> Iterator[LogFinding]:
    """Whether the file is a copy of another, or stands in another learner's folder."""
    header = session.header
    if header is None:
        return
    first = first_with.setdefault(header.id, session.path)
    if first != session.path:
        yield LogFinding(session.path, "duplicate", f"It has the same session as {first}.")
    home = session.path.parent.name
    if home != header.learner and session.path.name.endswith(f"{header.id}.jsonl"):
        yield LogFinding(session.path, "misplaced", f"It is learner {header.learner}'s, in the folder {home}.")
