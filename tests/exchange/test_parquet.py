"""Logs packed into Parquet: the class query gives what the class page says, and erasing reaches in."""

import json
import os
import stat
from datetime import UTC, datetime
from pathlib import Path

import duckdb
import pytest
from logs import add, in_bytes, log_of, plan, record, said
from processes import ROOT, chattutor
from school import a_folder

from chattutor.common.exits import CannotGoOn
from chattutor.exchange.parquet import pack
from chattutor.session_logs.notes import add_note
from chattutor.session_logs.schema import SCHEMA, Header, TurnLine

PLAN = plan(tasks=[{"equation": "3x + 2 = 14", "stage": 6}], seed=1)
WAYS = ("independent", "right after wrong steps", "prompted", "shown", "not yet", "not attempted")


CLASS_QUERY = """\
WITH equations AS (
    SELECT school, learner, lesson, place, max(stage) AS stage, max(help) AS help,
           bool_or(solved) AS solved, bool_or(touched) AS touched, bool_or(wrong) AS wrong
    FROM turns GROUP BY school, learner, lesson, place HAVING max(stage) IS NOT NULL
)
SELECT school, learner, stage,
       count(*) FILTER (WHERE solved AND help = 0 AND NOT wrong) AS independent,
       count(*) FILTER (WHERE solved AND help = 0 AND wrong) AS right_after_wrong_steps,
       count(*) FILTER (WHERE solved AND help = 1) AS prompted,
       count(*) FILTER (WHERE solved AND help = 2) AS shown,
       count(*) FILTER (WHERE touched AND NOT solved) AS not_yet,
       count(*) FILTER (WHERE NOT touched AND NOT solved) AS not_attempted
FROM equations GROUP BY school, learner, stage ORDER BY school, learner, stage"""


def rows(packed: Path, query: str = CLASS_QUERY) -> list[tuple[object, ...]]:
    """What the query says of everything packed."""
    connection = duckdb.connect(":memory:")
    connection.execute(f"CREATE VIEW turns AS SELECT * FROM read_parquet('{packed}/**/*.parquet')")  # noqa: S608
    return connection.execute(query).fetchall()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The invented sessions, and one of somebody else."""
    home = a_folder(tmp_path / "logs")
    log = log_of(home, "other", PLAN)
    add(log, {"event": "begin"})
    add(log, {"task": 0, "event": "move closer", "level": "prompted", "line": "3*x + 2 = 14"}, said("take 2 off"))
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
    pack(folder, out, "north")
    pack(folder, out, "south")
    pack(folder, out, "south")  # again: made anew, not doubled
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
    assert "packed files rewritten: 2" in done.stdout
    for packed in (folder / "packed", tmp_path / "elsewhere"):
        assert rows(packed, "SELECT DISTINCT learner FROM turns") == [("invented",)]
        assert b"take 2 off" not in b"".join(path.read_bytes() for path in packed.rglob("*.parquet"))
    assert chattutor("logs", "verify", folder).returncode == 0
    assert "nothing to erase" in chattutor(*words).stdout


def aged(folder: Path) -> str:
    """A session of long ago, before any of the invented ones; its learner."""
    header = Header(SCHEMA, "e" * 16, "early", "2024-09-02T09:00:00.000Z", "0", PLAN)
    moved = record(task=0, event="move closer", level="independent", line="3*x + 2 = 14")
    turn = TurnLine(0, "2024-09-02T09:00:10.000Z", moved, said("take off the two"))
    home = folder / "early"
    home.mkdir()
    (home / "20240902-early.jsonl").write_bytes(in_bytes(header, [turn], None))
    return "early"


def test_old_sessions_are_taken_out_of_what_was_packed(folder: Path, tmp_path: Path) -> None:
    aged(folder)
    elsewhere = tmp_path / "elsewhere"
    for to in (folder / "packed", elsewhere):
        chattutor("logs", "pack", folder, "--school", "north", "--to", to)
    everybody = set(rows(elsewhere, "SELECT DISTINCT learner FROM turns"))
    assert everybody == {("early",), ("invented",), ("other",)}
    days = (datetime.now(UTC) - datetime(2025, 1, 1, tzinfo=UTC)).days
    words = ("logs", "erase", "--older-than", str(days), "--logs", folder, "--packed", elsewhere, "--yes")
    done = chattutor(*words)
    assert (done.returncode, done.stderr) == (0, "")
    assert "session logs: 1, packed files rewritten: 2" in done.stdout
    for packed in (folder / "packed", elsewhere):
        assert set(rows(packed, "SELECT DISTINCT learner FROM turns")) == everybody - {("early",)}
        assert b"take off the two" not in b"".join(path.read_bytes() for path in packed.rglob("*.parquet"))
        assert not (packed / "school=north" / "month=2024-09").exists()
    assert not (folder / "early").exists()
    assert "nothing to erase" in chattutor(*words).stdout


def test_old_sessions_of_one_learner_leave_the_others(folder: Path) -> None:
    chattutor("logs", "pack", folder, "--school", "north")
    before = rows(folder / "packed", "SELECT count(*) FROM turns WHERE learner = 'other'")
    done = chattutor("logs", "erase", "invented", "--older-than", "0", "--logs", folder, "--yes")
    assert done.returncode == 0, done.stderr
    assert rows(folder / "packed", "SELECT learner, count(*) FROM turns GROUP BY learner") == [("other", before[0][0])]
    assert not (folder / "invented").exists() and (folder / "other").exists()


def test_notes_nobody_added_to_go_with_old_sessions(folder: Path) -> None:
    add_note(folder, "invented", "See on Monday.")
    add_note(folder, "other", "See on Tuesday.")
    long_ago = 1_600_000_000
    os.utime(folder / "invented" / "teacher.notes", (long_ago, long_ago))
    done = chattutor("logs", "erase", "--older-than", "2000", "--logs", folder, "--yes")
    assert (done.returncode, done.stderr) == (0, "")
    assert not (folder / "invented" / "teacher.notes").exists()
    assert (folder / "other" / "teacher.notes").exists()


def test_packed_data_that_is_not_ours_or_spoiled_holds_up_no_erasing(folder: Path) -> None:
    duckdb.connect(":memory:").execute(f"COPY (SELECT 1 AS x) TO '{folder}/mine.parquet' (FORMAT parquet)")
    (folder / "spoiled.parquet").write_bytes(b"PAR1 no more")
    done = chattutor("logs", "erase", "other", "--logs", folder, "--yes")
    assert (done.returncode, done.stdout.startswith("Deleted 1 file,")) == (1, True)
    assert done.stderr.count("\n") == 2 and "mine.parquet" in done.stderr and "spoiled.parquet" in done.stderr
    assert not (folder / "other").exists()


def test_what_a_killed_packing_left_is_erased_too(folder: Path) -> None:
    half = folder / "packed" / ".making-x"
    half.mkdir(parents=True)
    (half / "rows.jsonl").write_text('{"said": "take 2 off"}\n', encoding="utf-8")
    (folder / "packed" / "a.parquet.new").write_bytes(b"half")
    done = chattutor("logs", "erase", "other", "--logs", folder, "--yes")
    assert (done.returncode, done.stderr) == (0, "")
    assert [path for path in (folder / "packed").rglob("*") if path.is_file()] == []


def test_a_school_is_named_like_a_learner(folder: Path, tmp_path: Path) -> None:
    with pytest.raises(CannotGoOn, match="Name the school with"):
        pack(folder, tmp_path, "../x")


def test_the_page_for_contributors_shows_the_query_that_runs() -> None:
    assert CLASS_QUERY in (ROOT / "chattutor/exchange/MANY_LOGS.md").read_text(encoding="utf-8")
