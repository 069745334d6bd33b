"""A folder of session logs as flat rows: all that a class page needs, so that one can be made without the logs.

Rows of four kinds: a ``session`` (the file, what is wrong with it), each equation ``given`` and each ``turn`` in it,
and a learner's ``notes`` by teachers. ``nth`` and ``row_number`` are the order in which a review takes them.
"""

import json
import os
from collections.abc import Iterator
from functools import cache
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any

import chattutor
from chattutor.session_logs.equation_marks import went_wrong
from chattutor.session_logs.file_stamps import stamps
from chattutor.session_logs.folding_order import Sittings, is_stray, notes_by_learner
from chattutor.session_logs.notes import Notes, as_judged
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.schema import TurnLine
from chattutor.session_logs.turn_facts import facts, head_of
from dialogue.learner.records import NOTHING_DONE
from dialogue.turn_record import Answered

COLUMNS = {
    "school": "VARCHAR", "month": "VARCHAR", "learner": "VARCHAR", "session": "VARCHAR", "lesson": "VARCHAR",
    "created": "VARCHAR", "turn": "INTEGER", "said_at": "VARCHAR", "place": "INTEGER", "stage": "INTEGER",
    "equation": "VARCHAR", "line": "VARCHAR", "phase": "VARCHAR", "event": "VARCHAR", "channel": "VARCHAR",
    "help": "INTEGER", "wrong": "BOOLEAN", "touched": "BOOLEAN", "solved": "BOOLEAN",
    "balanced": "BOOLEAN", "closer": "BOOLEAN", "errors": "VARCHAR[]", "said": "VARCHAR",
    "kind": "VARCHAR", "nth": "INTEGER", "row_number": "INTEGER", "file": "VARCHAR", "before": "VARCHAR",
    "placed": "BOOLEAN", "broke": "BOOLEAN", "corrected": "BOOLEAN", "went_on": "BOOLEAN", "calls": "BOOLEAN",
    "stated": "VARCHAR", "step_line": "VARCHAR", "step_errors": "VARCHAR[]", "told": "VARCHAR[]",
    "problems": "VARCHAR[]", "note": "VARCHAR", "packed_by": "VARCHAR",
}  # fmt: skip
MAKING = ".making-"  # how the folder begins that packing writes to, until all is whole
BEFORE_ALL = -1  # what stands before every session
WHAT_MAKES_ROWS = (("dialogue", ""), ("chattutor", "session_logs"), ("chattutor", "exchange/packed_rows.py"))


@cache
def packed_by() -> str:
    """The program's version and what the code is that decides what rows hold: one for each change of it, the same on
    every computer."""
    found = sha256()
    for package, part in WHAT_MAKES_ROWS:
        home = Path(str(import_module(package).__file__)).parent
        inside = home / part
        for path in [inside] if inside.is_file() else sorted(inside.rglob("*")):
            if path.suffix in {".py", ".toml"}:
                found.update(path.relative_to(home).as_posix().encode())
                found.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return f"{chattutor.__version__} {found.hexdigest()[:12]}"


def rows_of(folder: Path) -> Iterator[dict[str, Any]]:
    """Every row, in order, as a teacher judged it. Raises LogTrouble."""
    logs, notes = stamps(folder)
    said_of, faulty = notes_by_learner(folder, notes)
    yield from _notes(said_of, faulty)
    ordered = _ordered(folder, [log.name for log in logs if MAKING not in log.name], said_of)
    for nth, (name, session, lesson) in enumerate(ordered):
        yield from _session(nth, name, session, lesson)


def _ordered(
    folder: Path,
    names: list[str],
    said_of: dict[str, Notes],
) -> Iterator[tuple[str, Session, str]]:
    sittings: Sittings[tuple[str, Session]] = Sittings()
    strays: list[tuple[str, Session]] = []
    for name in names:
        session = read_session(folder / name)
        if session.header is not None and session.header.learner in said_of:
            session = as_judged(session, said_of[session.header.learner])
        learner = session.header.learner if session.header is not None else ""
        if is_stray(str(folder / name), learner, not session.sound):
            strays.append((name, session))
        else:
            yield from _taken(sittings, name, session)
    for name, session in strays:
        yield from _taken(sittings, name, session)
    for (name, session), lesson in sittings.rest():
        yield name, session, lesson


def _taken(sittings: Sittings[tuple[str, Session]], name: str, session: Session) -> Iterator[tuple[str, Session, str]]:
    header = session.header
    own = header.id if header is not None else ""
    before = header.continues.id if header is not None and header.continues else ""
    for (each, its), lesson in sittings.take((name, session), own, before):
        yield each, its, lesson


def _notes(said_of: dict[str, Notes], faulty: list[tuple[str, str]]) -> Iterator[dict[str, Any]]:
    for number, (name, why) in enumerate(faulty):
        yield {
            "kind": "notes", "nth": BEFORE_ALL, "row_number": number, "learner": _home(name), "file": _file(name),
            "problems": [why],
        }  # fmt: skip
    for learner, found in said_of.items():
        if found.notes:
            at, text = found.notes[-1]
            yield {"kind": "notes", "nth": BEFORE_ALL, "row_number": 0, "learner": learner, "created": at, "note": text}


def _session(nth: int, name: str, session: Session, lesson: str) -> Iterator[dict[str, Any]]:
    """Of a copy only what is wrong with it."""
    problems = [problem.sentence for problem in session.problems]
    header = session.header
    if header is None or not lesson:
        if problems:
            learner = header.learner if header is not None else _home(name)
            yield {
                "kind": "session",
                "nth": nth,
                "row_number": 0,
                "learner": learner,
                "file": _file(name),
                "problems": problems,
            }
        return
    head = head_of(header, session.turns)
    same = {"nth": nth, "learner": head.learner, "session": head.id, "lesson": lesson, "created": head.created}
    yield {**same, "kind": "session", "row_number": 0, "file": _file(name), "before": head.before, "problems": problems}
    row = 0
    for place, stage, equation, placing in head.given:
        row += 1
        yield same | {
            "kind": "given", "row_number": row, "place": place, "stage": stage, "equation": equation, "placed": placing,
            "help": 0, "wrong": False, "touched": False, "solved": False,
        }  # fmt: skip
    for turn in session.turns:
        row += 1
        yield same | {"kind": "turn", "row_number": row} | _turn(turn)


def _turn(turn: TurnLine) -> dict[str, Any]:
    found = facts(turn)
    if not found.answered:
        return {"turn": found.number, "said_at": found.at}
    judged = turn.record.judged if isinstance(turn.record, Answered) else None
    return {
        "turn": found.number, "said_at": found.at, "place": found.place, "line": found.line, "phase": found.phase,
        "event": found.event, "channel": found.channel, "help": found.help,
        "wrong": went_wrong(found.event, found.phase, found.broke), "touched": found.event not in NOTHING_DONE,
        "solved": found.solved, "balanced": judged.balanced if judged else None,
        "closer": judged.closer if judged else None, "errors": list(found.errors), "said": found.said,
        "broke": found.broke, "corrected": found.corrected, "went_on": found.then, "calls": found.calls,
        "stated": found.stated, "step_line": found.step_line, "step_errors": list(found.step_errors),
        "told": list(found.told),
    }  # fmt: skip


def _file(name: str) -> str:
    """A name in the folder, in which anything may stand, as text that stands anywhere."""
    return json.dumps(name)


def _home(name: str) -> str:
    """The folder that a file lies in: whose it may be, where the file does not say."""
    return os.path.dirname(name)
