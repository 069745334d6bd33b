"""Packed rows into what class pages are made of: each learner from their own rows, each school from its learners."""

import gc
import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any, NamedTuple

import msgspec

from chattutor.review.class_page import Totals, together
from chattutor.review.evidence import Evidence
from chattutor.review.learner_part import LearnerPart, part_of
from chattutor.session_logs.digest import digest_of
from chattutor.session_logs.turn_facts import Head, TurnFacts


class PackedRow(NamedTuple):
    """The columns that a page needs, in the order and by the names of ``packed_rows.COLUMNS``."""

    kind: str
    nth: int
    row_number: int
    learner: str
    session: str | None
    lesson: str | None
    created: str | None
    before: str | None
    file: str | None
    note: str | None
    problems: Sequence[str] | None
    stage: int | None
    equation: str | None
    placed: bool | None
    turn: int | None
    said_at: str | None
    place: int | None
    event: str | None
    phase: str | None
    line: str | None
    channel: str | None
    said: str | None
    help: int | None
    solved: bool | None
    broke: bool | None
    corrected: bool | None
    went_on: bool | None
    calls: bool | None
    stated: str | None
    step_line: str | None
    errors: Sequence[str] | None
    step_errors: Sequence[str] | None
    told: Sequence[str] | None


NEEDED = PackedRow._fields


class Fault(NamedTuple):
    """Something wrong with a file, and its place among all of a school's."""

    nth: int
    row: int
    file: str
    problem: str


class Found(msgspec.Struct, frozen=True):
    """What a learner's rows hold; ``part`` is None where they are of no session."""

    part: LearnerPart | None
    sessions: int
    turns: int
    faults: tuple[Fault, ...]


def packed_learner(columns: Mapping[str, Sequence[Any]]) -> bytes:
    """All rows of one learner of a school, by column and in any order, into what ``school_page`` takes."""
    gc.disable()  # many small things are made and none of them in circles
    try:
        rows = map(PackedRow._make, zip(*(columns[name] for name in NEEDED), strict=True))
        found = _found(sorted(rows, key=lambda row: row[1:3]))
        return json.dumps(msgspec.to_builtins(found)).encode("ascii")  # a file's name may be what UTF-8 cannot hold
    finally:
        gc.enable()


def school_page(learners: Iterable[bytes]) -> dict[str, Any]:
    """The class page of a school from all of its learners, who come in any order."""
    found = [msgspec.convert(json.loads(each), Found) for each in learners]
    parts = sorted((each.part for each in found if each.part is not None), key=lambda part: part.code)
    faults = sorted((fault for each in found for fault in each.faults), key=lambda fault: fault[:2])
    sessions, turns = sum(each.sessions for each in found), sum(each.turns for each in found)
    return together(parts, Totals(sessions, turns, [(fault.file, fault.problem) for fault in faults]))


def _found(rows: Sequence[PackedRow]) -> Found:
    evidence = Evidence()
    faults: list[Fault] = []
    note = ""
    for _, each in groupby(rows, key=lambda row: row.nth):
        own = list(each)
        faults += [
            Fault(row.nth, row.row_number, json.loads(row.file or '""'), why)
            for row in own
            for why in row.problems or ()
        ]
        note = next((row.note for row in own if row.note), note)
        if own[0].kind == "session":
            _take(evidence, own)
    learner = next(iter(evidence.learners.values()), None)
    if learner is not None:
        learner.note = note
    part = None if learner is None else part_of(learner)
    return Found(part, evidence.sessions, evidence.turns, tuple(faults))


def _take(evidence: Evidence, rows: Sequence[PackedRow]) -> None:
    """Fold in one session."""
    first, *rest = rows
    given = tuple(
        (row.place or 0, row.stage or 0, row.equation or "", bool(row.placed)) for row in rest if row.kind == "given"
    )
    head = Head(first.session or "", first.learner, first.created or "", first.before or "", given)
    turns = [_facts(row) for row in rest if row.kind == "turn"]
    evidence.fold(json.loads(first.file or '""'), digest_of(head, turns, ()), first.lesson or "")


def _facts(row: PackedRow) -> TurnFacts:
    if row.event is None:
        return TurnFacts(row.turn or 0, row.said_at or "")
    return TurnFacts(
        row.turn or 0, row.said_at or "", True, row.place, row.event, row.phase or "", row.line or "",
        row.channel or "", row.said or "", row.help or 0, bool(row.solved), bool(row.broke), bool(row.corrected),
        bool(row.went_on), bool(row.calls), row.stated or "", row.step_line or "", tuple(row.errors or ()),
        tuple(row.step_errors or ()), tuple(row.told or ()),
    )  # fmt: skip
