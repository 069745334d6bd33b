"""The cautions on first use of the review: once for each person, never in the way of a program."""

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from test_review import session, wrong


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    session(tmp_path / "logs", "bob1", [wrong(0, "n = 48")])
    return tmp_path / "logs"


def at_a_terminal(home: Path, *words: object) -> tuple[str, str]:
    """Standard output, and what a terminal shows of standard error."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "chattutor", *map(str, words)]
    environment = os.environ | {"XDG_DATA_HOME": str(home), "HOME": str(home)}
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=theirs, env=environment, timeout=120, check=True)
    os.close(theirs)
    os.set_blocking(ours, False)
    try:
        shown = os.read(ours, 100_000).decode()
    except OSError:  # nothing was written
        shown = ""
    os.close(ours)
    return done.stdout.decode(), shown


def test_they_are_said_once_and_the_folder_of_logs_is_left_as_it_was(logs: Path, tmp_path: Path) -> None:
    home, before = tmp_path / "home", sorted(logs.rglob("*"))
    out, shown = at_a_terminal(home, "review", logs, "--json")
    assert json.loads(out) and "policy" not in shown and not home.exists()
    out, shown = at_a_terminal(home, "review", logs)
    assert "bob1" in out and "policy" not in out
    for part in ("records of children", "stay on this computer", str(logs), "school's policy", "law", "safeguarding"):
        assert part in " ".join(shown.split())
    assert at_a_terminal(home, "review", logs, "--learner", "bob1")[1] == ""
    assert sorted(logs.rglob("*")) == before
    assert (home / "chattutor").stat().st_mode & 0o077 == 0


def test_where_nothing_can_be_remembered_they_are_said_again_without_a_fault(logs: Path, tmp_path: Path) -> None:
    home = tmp_path / "no folder"
    home.write_text("in the way", "utf-8")
    for _ in range(2):
        out, shown = at_a_terminal(home, "review", logs)
        assert "bob1" in out and "policy" in shown and "Traceback" not in shown


def test_a_program_is_not_told(logs: Path, tmp_path: Path) -> None:
    environment = os.environ | {"XDG_DATA_HOME": str(tmp_path / "home")}
    command = [sys.executable, "-m", "chattutor", "review", str(logs)]
    done = subprocess.run(command, capture_output=True, env=environment, timeout=120, check=True)
    assert done.stderr == b"" and not (tmp_path / "home").exists()
