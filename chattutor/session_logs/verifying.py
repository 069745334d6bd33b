"""Checking a folder of logs: every file that is not a sound session log, and why."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from chattutor.common.exits import CannotGoOn
from chattutor.session_logs.folder import DIGESTS, ERASED, HALF_TERMS, NEXT, NOTES, files, is_kept
from chattutor.session_logs.notes import planted
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.register import NAME as REGISTER
from chattutor.session_logs.register import Register, read_register
from chattutor.session_logs.schema import SCHEMA
from chattutor.session_logs.signed_lines import unsigned


@dataclass(frozen=True, slots=True)
class LogFinding:
    """What is wrong with one file: the kinds of Problem, or duplicate, misplaced, unlisted, gone, or incomplete."""

    path: Path
    kind: str
    sentence: str


@dataclass(slots=True)
class Checked:
    """What a check of a folder found, filled in as it goes."""

    sound: int = 0
    unfinished: int = 0
    faulty: int = 0


def verify(folder: Path, checked: Checked) -> Iterator[LogFinding]:
    """Every finding, file by file; ``checked`` counts along. Raises LogTrouble for a folder that cannot be read."""
    first_with: dict[str, Path] = {}
    wanted: dict[str, Path] = {}
    registers: dict[Path, Register | None] = {}
    for path in files(folder):
        if (
            path.name in {NEXT, HALF_TERMS, ERASED}
            or path.suffix == ".parquet"
            or (is_kept(path) and path.name != DIGESTS)
        ):
            continue
        if path.name in BESIDE:
            findings = list(BESIDE[path.name](path))
            checked.faulty += bool(findings)
            yield from findings
            continue
        session = read_session(path)
        findings = [LogFinding(path, problem.kind, problem.sentence) for problem in session.problems]
        findings += _placed(session, first_with)
        if not findings:
            findings += _registered(session, registers)
        yield from findings
        if session.header is not None and session.header.continues is not None:
            wanted[session.header.continues.id] = path
        checked.faulty += bool(findings)
        checked.sound += not findings
        checked.unfinished += session.header is not None and session.end is None
    for name, path in wanted.items():
        if name not in first_with:
            checked.faulty += 1
            yield LogFinding(path, "incomplete", "It continues an earlier session that is not in this folder.")


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
        yield LogFinding(
            session.path, "misplaced", f"It belongs to learner {header.learner}, but is in the folder {home}."
        )


def _registered(session: Session, registers: dict[Path, Register | None]) -> Iterator[LogFinding]:
    """Whether the register of its folder has the session, and has it so. Logs of schema 1 had none, nor have invented
    ones."""
    header, home = session.header, session.path.parent
    if header is None or header.schema < SCHEMA or header.settings.invented:
        return
    if home not in registers:
        registers[home] = read_register(home)
    register = registers[home]
    if register is None or header.id not in register.files:
        yield LogFinding(session.path, "unlisted", "Its folder's register does not list it: it came from elsewhere.")
        return
    closed = register.closed.get(header.id)
    if closed is not None and (closed.turns, closed.seal) != (len(session.turns), session.chain):
        were = f"{closed.turns} turns then, {len(session.turns)} now"
        yield LogFinding(session.path, "altered", f"It has changed since it was closed: {were}.")


def _register_itself(path: Path) -> Iterator[LogFinding]:
    """Lines of a register that were altered, and sessions in it whose file is gone."""
    register = read_register(path.parent)
    if register is None:
        yield LogFinding(path, "unreadable", "The register of the sessions cannot be read.")
        return
    for number in register.altered:
        yield LogFinding(path, "altered", f"Line {number} of the register was altered, or lines before it are missing.")
    for name, closed in register.closed.items():
        file = register.files.get(name)
        if file is not None and closed.seal and not (path.parent / Path(file).name).exists():
            yield LogFinding(
                path.parent / Path(file).name,
                "gone",
                f"It had {closed.turns} turns and is missing, but it was not erased.",
            )


def _notes(path: Path) -> Iterator[LogFinding]:
    try:
        for number in planted(path):
            yield LogFinding(path, "altered", f"Line {number} of the notes was changed or put in; it is not used.")
    except CannotGoOn as trouble:
        yield LogFinding(path, "unreadable", f"The notes were not read: {trouble.sentence}")


def _digests(path: Path) -> Iterator[LogFinding]:
    for number in unsigned(path):
        yield LogFinding(
            path, "altered", f"Line {number} was not written by a review on this computer; it is not used."
        )


BESIDE: dict[str, Callable[[Path], Iterator[LogFinding]]] = {
    NOTES: _notes,
    REGISTER: _register_itself,
    DIGESTS: _digests,
}
