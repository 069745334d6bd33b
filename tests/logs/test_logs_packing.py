"""Logs packed into Parquet: the class query gives what the class page says, and erasing reaches in."""

import json
import stat
from pathlib import Path

import duckdb
import pytest
from processes import ROOT, chattutor
from school import a_folder

from chattutor.exits import CannotGoOn
from chattutor.logs.folder import sessions
from chattutor.logs.packing import CLASS_QUERY, pack
from chattutor.logs.writer import SessionLog, new_header

WAYS = ("independent", "prompted", "shown", "not yet", "not attempted")


def rows(packed: Path, query: str = CLASS_QUERY) -> list[tuple[object, ...]]:
    """What the query says of everything packed."""
    connection = duckdb.connect(":memory:")
    connection.execute(f"CREATE VIEW turns AS SELECT * FROM read_parquet('{packed}/**/*.parquet')")  # noqa: S608
    return connection.execute(query).fetchall()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The invented sessions, and one of somebody else."""
    home = a_folder(tmp_path / "logs")
    plan = {"tasks": [{"equation": "3x + 2 = 14", "stage": 6, "exit": False}], "seed": 1, "faded": [], "spoken": False}
    log = SessionLog(home, new_header("other", plan, {}, "0"))
    log.turn(None, {"turn": 0}, [])
    said = {"text": "take 2 off", "channel": "typed", "doubt": "none"}
    log.turn(said, {"task": 0, "event": "move closer", "level": "prompted", "line": "3*x + 2 = 14"}, [])
    log.end("stopped")
    return home


def test_the_class_query_says_what_the_class_page_says(folder: Path) -> None:
    done = chattutor("logs", "pack", folder, "--school", "north")
    assert done.returncode == 0, done.stderr
    page = json.loads(chattutor("review", folder, "--json").stdout)
    on_page = {
        ("north", learner["code"], int(stage), *(row.get(way, 0) for way in WAYS))
        for learner in page["learners"]
        for stage, row in learner["stages"].items()
    }
    assert set(rows(folder / "packed")) == on_page


def test_parts_are_by_school_and_month_and_for_their_owner_only(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "packed"
    pack(sessions(folder), out, "north")
    pack(sessions(folder), out, "south")
    pack(sessions(folder), out, "south")  # again: made anew, not doubled
    parts = sorted(str(path.parent.relative_to(out)) for path in out.rglob("*.parquet"))
    assert "school=north/month=2026-01" in parts
    count = "SELECT school, count(*) FROM turns GROUP BY school ORDER BY school"
    (north, a), (south, b) = rows(out, count)
    assert (north, south, a) == ("north", "south", b)
    assert {stat.S_IMODE(path.stat().st_mode) for path in out.rglob("*.parquet")} == {0o600}
    assert {stat.S_IMODE(path.stat().st_mode) for path in out.rglob("*") if path.is_dir()} == {0o700}
    assert not list(out.glob(".making*"))


def test_erasing_takes_a_learner_out_of_what_was_packed(folder: Path, tmp_path: Path) -> None:
    chattutor("logs", "pack", folder, "--school", "north")
    chattutor("logs", "pack", folder, "--school", "north", "--to", tmp_path / "elsewhere")
    words = ("logs", "erase", "other", "--logs", folder, "--packed", tmp_path / "elsewhere", "--yes")
    done = chattutor(*words)
    assert done.returncode == 0, done.stderr
    assert "packed files written anew: 2" in done.stdout
    for packed in (folder / "packed", tmp_path / "elsewhere"):
        assert rows(packed, "SELECT DISTINCT learner FROM turns") == [("invented",)]
        assert b"take 2 off" not in b"".join(path.read_bytes() for path in packed.rglob("*.parquet"))
    assert chattutor("logs", "verify", folder).returncode == 0
    assert "nothing to erase" in chattutor(*words).stdout


def test_a_school_is_named_like_a_learner(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(CannotGoOn, match="A school is named by"):
        pack(sessions(folder), tmp_path, "../x")


def test_the_page_for_contributors_shows_the_query_that_runs() -> None:
    assert CLASS_QUERY in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
