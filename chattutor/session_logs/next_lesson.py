"""The equations a teacher set one learner for the next lesson: a table, in a folder of logs or anywhere else.

Columns ``code``, ``equation`` and, where it is known, ``stage``; a row an equation, in order. In a folder of logs each
learner's is ``DIR/CODE/next-lesson.csv``, and serves until a lesson has begun after it was ``made``.
"""

import csv
import io
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from chattutor.common.exits import CannotGoOn, LogTrouble, reason
from chattutor.common.files import opened, write_whole
from chattutor.session_logs.folder import NEXT, session_files
from chattutor.session_logs.reader import read_head

HEADS = ("code", "equation", "stage", "why", "made")
MOST = 100_000  # bytes of one learner's file
LARGEST = 20_000_000  # bytes of a table for a class


class SetEquation(NamedTuple):
    """One row."""

    code: str
    equation: str
    stage: int = 0
    why: str = ""


def as_table(rows: Iterable[SetEquation], made: str) -> str:
    """The rows as CSV (RFC 4180)."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADS)
    writer.writerows((*row, made) for row in rows)
    return out.getvalue()


def keep_next(folder: Path, code: str, rows: Iterable[SetEquation], made: str) -> None:
    """Set a learner's next lesson, in place of one set before. Raises LogTrouble."""
    path = folder / code / NEXT
    try:
        write_whole(path, as_table(rows, made).encode("utf-8", "replace"))
    except OSError as error:
        raise LogTrouble(f"{path} cannot be written: {reason(error)}.") from error


def next_set(folder: Path, code: str) -> list[SetEquation]:
    """What is set for the learner's next lesson; nothing where nothing is, or it has been begun."""
    path = folder / code / NEXT
    try:
        with io.TextIOWrapper(opened(path, MOST), encoding="utf-8-sig", newline="") as source:
            rows = list(csv.DictReader(source))
    except (CannotGoOn, OSError, UnicodeDecodeError, csv.Error):
        return []
    made = max((row.get("made") or "" for row in rows), default="")
    heads = map(read_head, session_files(folder / code))
    if any(head is not None and head.learner == code and head.created > made for head in heads):
        return []
    return [
        SetEquation(code, row.get("equation") or "", _number(row.get("stage")), row.get("why") or "")
        for row in rows
        if row.get("code") == code
    ]


def rows_by_code(path: Path) -> list[SetEquation] | None:
    """The rows of a table that has a column of codes and one of equations; None for any other file."""
    try:
        with io.TextIOWrapper(opened(path, LARGEST), encoding="utf-8-sig", newline="") as source:
            table = csv.DictReader(source)
            heads = {str(name).strip().lower(): str(name) for name in table.fieldnames or ()}
            if not {"code", "equation"} <= heads.keys():
                return None
            return [
                SetEquation(
                    (row[heads["code"]] or "").strip(),
                    row[heads["equation"]] or "",
                    _number(row.get(heads.get("stage", "stage"))),
                )
                for row, _ in zip(table, range(MOST), strict=False)
            ]
    except (CannotGoOn, OSError, UnicodeDecodeError, csv.Error):
        return None  # whoever reads it as a file of equations says why


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdecimal() and len(text) < 3 else 0
