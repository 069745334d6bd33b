"""The class page from packed logs is the page from the logs, to the byte, whatever else lies in the folder."""

import os
import sys
from collections import defaultdict
from pathlib import Path
from typing import Any

import duckdb
import pytest

sys.path[:0] = [str(Path(__file__).parents[1] / "review")]

from test_every_way_of_reading import mixed  # noqa: E402, F401 - a fixture: a class, and all that may lie beside it

from chattutor.district.from_rows import NEEDED, packed_learner, school_page  # noqa: E402
from chattutor.exchange.parquet import pack  # noqa: E402
from chattutor.review.class_reading import as_json, class_json  # noqa: E402
from chattutor.session_logs.folder import sessions  # noqa: E402
from chattutor.session_logs.notes import add_belongs, add_note  # noqa: E402


def page_of(packed: Path) -> bytes:
    """The page of the one school in a folder of packed logs, without an engine for many computers."""
    ask = f"SELECT learner AS whose, {', '.join(NEEDED)} FROM read_parquet('{packed}/**/*.parquet')"  # noqa: S608
    rows = duckdb.connect(":memory:").execute(f"{ask} ORDER BY hash(row_number, nth)").fetchall()  # in any order
    of: dict[str, list[Any]] = defaultdict(list)
    for whose, *row in rows:
        of[whose].append(row)
    return as_json(
        school_page(packed_learner(dict(zip(NEEDED, zip(*own, strict=True), strict=True))) for own in of.values())
    )


def test_the_page_is_the_same_to_the_byte(mixed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    monkeypatch.chdir(mixed)
    pack(Path(), tmp_path / "packed", "north")
    assert page_of(tmp_path / "packed") == class_json(Path())


def test_so_is_that_of_a_session_that_is_somebody_elses(
    mixed: Path,  # noqa: F811
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(mixed)
    one = next(session for session in sessions(Path()) if session.sound)
    add_belongs(Path(), one, "other")
    assert one.header is not None
    add_note(Path(), one.header.learner, "Ask about Monday.")
    pack(Path(), tmp_path / "packed", "north")
    page = page_of(tmp_path / "packed")
    assert page == class_json(Path()) and b'"other"' in page and b"Ask about Monday." in page
    os.unlink(one.path.parent / "teacher.notes")
