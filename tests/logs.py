"""Session logs for tests: records spelt flat, as schema 1 had them, since few words then say what a test is about."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import msgspec

from chattutor.session_logs.hash_chain import chained
from chattutor.session_logs.reader import Session
from chattutor.session_logs.saved import reply_records, said_record
from chattutor.session_logs.schema import Continues, EndLine, Header, Settings, TurnLine
from chattutor.session_logs.schema_1 import FlatRecord, today
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.turn_record import Answered, PlanRecord, Record, ReplyRecord, Said
from dialogue.tutor.core.state import Turn, Utterance

NO_PLAN, USUAL = PlanRecord(), Settings()


def plan(**given: Any) -> PlanRecord:
    """A plan."""
    return msgspec.convert(given, PlanRecord)


def record(**given: Any) -> Record:
    """A record, its keys with _ for a space."""
    return record_from({key.replace("_", " "): value for key, value in given.items()})


def record_from(given: dict[str, Any]) -> Record:
    """A record of a flat object."""
    return today(msgspec.convert(given, FlatRecord))


def said(text: str = "", **more: Any) -> Said:
    """Something said, with the one act it was taken for, if any, as ``meaning``."""
    meaning = more.pop("meaning", None)
    return Said(text, **{"acts": () if meaning is None else (meaning,)} | more)


def log_of(
    folder: Any, learner: str, tasks: PlanRecord = NO_PLAN, settings: Settings = USUAL, continues: str = ""
) -> SessionLog:
    """A log begun."""
    after = Continues(continues) if continues else None
    return SessionLog(folder, new_header(learner, tasks, settings, "0", after))


def add(log: SessionLog, given: dict[str, Any], words: Said | None = None, replies: Sequence[ReplyRecord] = ()) -> None:
    """Write one turn of a flat record."""
    log.write(record_from(given), words, tuple(replies))


def turn_line(number: int, at: str, turn: Turn, utterance: Utterance | None = None) -> TurnLine:
    """A turn of the tutor's as its line."""
    words = None if utterance is None else said_record(utterance, turn)
    return TurnLine(number, at, turn.record, words, reply_records(turn.replies))


def in_bytes(header: Header, turns: Sequence[TurnLine], end: EndLine | None) -> bytes:
    """A whole file."""
    chain, lines = "", []
    for body in (header, *turns, *((end,) if end is not None else ())):
        line, chain = chained(body, chain)
        lines.append(line)
    return b"".join(lines)


def answered(session: Session) -> list[tuple[int, Answered]]:
    """The turns in which the learner had the word: number and record."""
    return [(turn.number, turn.record) for turn in session.turns if isinstance(turn.record, Answered)]


PLAN = plan(tasks=[{"equation": "3x + 2 = 14", "stage": 6}], seed=1)
REPLY = ReplyRecord("k", "Yes − ½ 🙂", "Yes")


def written(folder: Path, turns: int = 3, learner: str = "A1", end: str | None = "stopped") -> SessionLog:
    """A log of so many turns."""
    log = SessionLog(folder, new_header(learner, PLAN, Settings(), "0.1.0"))
    for number in range(turns):
        log.write(record(event="hint" if number else "begin"), said(f"add {number}") if number else None, (REPLY,))
    if end is not None:
        log.end(end)
    return log
