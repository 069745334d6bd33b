"""Session logs of schema 1, which kept of a turn the words and one meaning, read as the lines of today.

Their records were flat, with spaces in some keys; what they lack (the acts) is None, so that a replay understands
their words anew.
"""

import json
from typing import Any

import msgspec
from msgspec import UNSET, Struct, UnsetType

from chattutor.session_logs.schema import Continues, EndLine, Header, LogLine, Settings, TurnLine
from dialogue.acts import Disclosure, to_json
from dialogue.turn_record import (
    Answered,
    BoardRecord,
    DiagnosisRecord,
    Given,
    JsonAct,
    JudgedStep,
    Marked,
    Opened,
    PlanRecord,
    Record,
    ReplyRecord,
    Resumed,
    Said,
    SlipRecord,
    TaskRecord,
)

SPACED = {
    name: name.replace("_", " ")
    for name in ("first_try", "taken_back", "reason_given", "taken_for", "tell_apart")
}  # fmt: skip


class _Header(Struct, gc=False, tag_field="chattutor", tag="session"):
    schema: int
    id: str
    learner: str
    created: str
    version: str
    plan: PlanRecord
    settings: Settings
    continues: Continues | None = None


class _Said(Struct, gc=False):
    text: str = ""
    channel: str = "typed"
    doubt: str = "none"
    withheld: bool = False


class FlatRecord(Struct, gc=False, rename=SPACED):
    """A turn's record, everything in one object."""

    event: str = ""
    task: int | None = None
    stage: int = 0
    phase: str = ""
    line: str = ""
    next: str | None = None
    level: str = ""
    then: tuple[str, ...] = ()
    held: JsonAct | None = None
    reason_given: str = ""
    step: JsonAct | None = None
    balanced: bool | UnsetType | None = UNSET
    closer: bool | None = None
    errors: tuple[str, ...] = ()
    reason: str | None = None
    first_try: bool = False
    corrected: bool = False
    taken_back: JsonAct | None = None
    board: tuple[BoardRecord, ...] | None = None
    solved: str = ""
    asked: str = ""
    hypotheses: dict[str, float] = {}
    taken_for: str = ""
    tell_apart: dict[str, float] = {}
    game: SlipRecord | None = None
    pattern: str = ""
    given: TaskRecord | None = None
    purpose: str = ""
    minutes: float = 0.0
    after: str = ""
    steps: tuple[JudgedStep, ...] = ()  # not in a file of schema 1, where a turn held one step at most


class _Line(Struct, gc=False):
    """A turn (with its record) or the closing line (with its ``end``)."""

    at: str
    turn: int = 0
    said: _Said | None = None
    record: FlatRecord | None = None
    replies: tuple[ReplyRecord, ...] = ()
    end: str | None = None
    turns: int = 0


_header, _line = msgspec.json.Decoder(_Header).decode, msgspec.json.Decoder(_Line).decode


def header(line: bytes) -> Header:
    """The first line. Raises what msgspec raises."""
    read = _header(_sound(line))
    return Header(
        read.schema, read.id, read.learner, read.created, read.version, read.plan, read.settings, read.continues
    )


def line(line: bytes) -> LogLine:
    """A line after the first. Raises what msgspec raises."""
    read = _line(_sound(line))
    if read.end is not None:
        return EndLine(read.end, read.at, read.turns)
    if read.record is None:
        raise msgspec.ValidationError("it has neither a record nor an end")
    said = read.said
    words = None
    if said is not None:
        hidden = said.withheld or read.record.event == "distress"
        acts = (to_json(Disclosure(), exact=True),) if hidden else None
        words = Said("" if hidden else said.text, said.channel, said.doubt, hidden, acts, hidden)
    return TurnLine(read.turn, read.at, today(read.record), words, read.replies)


def today(flat: FlatRecord) -> Record:
    """The record as it is kept today."""
    board = flat.board
    match flat.event:
        case "begin":
            return Opened(flat.next or "", board or ())
        case "given":
            return Given(
                flat.task or 0, flat.given, flat.purpose, flat.reason or "", flat.minutes, flat.next or "", board or ()
            )
        case "go on":
            return Resumed(flat.after)
    diagnosis = DiagnosisRecord(flat.asked, flat.hypotheses, flat.taken_for, flat.tell_apart)
    kind = Marked if flat.event == "paper" else Answered
    return kind(
        flat.event, flat.task, flat.stage, flat.phase, flat.line, flat.next or "", flat.level, flat.then, flat.held,
        flat.reason_given, _steps(flat), flat.corrected, flat.taken_back, board, flat.solved,
        diagnosis if diagnosis != DiagnosisRecord() else None, flat.game, flat.pattern,
    )  # fmt: skip


def _steps(flat: FlatRecord) -> tuple[JudgedStep, ...]:
    if flat.steps:
        return flat.steps
    if flat.balanced is UNSET:
        return ()
    return (
        JudgedStep(
            flat.step or {}, flat.line, flat.balanced, flat.closer, flat.errors, flat.reason, flat.first_try
        ),
    )  # fmt: skip


def _sound(line: bytes) -> bytes:
    """The line; half a surrogate pair, which was once written as it is escaped, becomes a question mark."""
    if b"\\ud" not in line.lower():
        return line
    try:
        given: Any = json.loads(line)
    except (ValueError, RecursionError):
        return line
    return json.dumps(given, ensure_ascii=False).encode("utf-8", "replace")
