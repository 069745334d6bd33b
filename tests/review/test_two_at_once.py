"""Two children under one code: noticed where two sessions went on together, and told apart by a teacher's word."""

import json
from pathlib import Path
from typing import Any

import pytest
from processes import chattutor
from test_over_time import on
from test_review import session, solved, wrong

DAY = "2026-09-07"


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """Under one code two sessions of the same minutes that say different things; under another two on two days."""
    folder = tmp_path / "logs"
    on(DAY, session(folder, "ann", [wrong(0, "n is 48"), wrong(1, "n is 78"), solved(1)]))
    on(DAY, session(folder, "ann", [solved(0), solved(1), solved(2)]))
    on(DAY, session(folder, "bob", [solved(0), solved(1)]))
    on("2026-09-08", session(folder, "bob", [solved(0), solved(1)]))
    return folder


def read(folder: Path) -> dict[str, Any]:
    """The class page."""
    page: dict[str, Any] = json.loads(chattutor("review", folder, "--json").stdout)
    return page


def test_two_sessions_at_once_are_noticed(logs: Path) -> None:
    (row,) = read(logs)["two_at_once"]
    assert row["code"] == "ann"
    assert {each["equation"]: sorted(each["went"]) for each in row["equations"]} == {
        "4n = 52": ["independent", "not yet"], "6n = 84": ["independent", "right after wrong steps"],
    }  # fmt: skip
    text = chattutor("review", logs).stdout
    assert "Two learners under one code?" in text and "--belongs SESSION CODE" in text


def test_a_session_is_told_apart_and_the_log_stays_as_it_is(logs: Path, tmp_path: Path) -> None:
    before = {path: path.read_bytes() for path in logs.rglob("*.jsonl")}
    names = {row["id"]: row for row in map(json.loads, chattutor("logs", "list", logs, "--json").stdout.splitlines())}
    both = read(logs)["two_at_once"][0]["sessions"]
    right = next(name for name in both if b'"solved":"3n = 39"' in Path(names[name]["file"]).read_bytes())
    done = chattutor("review", logs, "--belongs", right[:8], "cat")
    assert done.returncode == 0, done.stderr
    page = read(logs)
    assert page["two_at_once"] == []
    assert {row["code"]: row["patterns"] for row in page["learners"]} == {
        "ann": ["subtract-coefficient"], "bob": [], "cat": [],
    }  # fmt: skip
    assert [len(json.loads(chattutor("review", logs, "--learner", code, "--json").stdout)["sessions"])
            for code in ("ann", "cat")] == [1, 1]  # fmt: skip
    assert {path: path.read_bytes() for path in logs.rglob("*.jsonl")} == before


def test_a_code_that_is_none_is_refused(logs: Path) -> None:
    name = read(logs)["two_at_once"][0]["sessions"][0]
    assert chattutor("review", logs, "--belongs", name, "../x").returncode != 0
