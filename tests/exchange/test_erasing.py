"""Handing out and erasing a learner's records: everything of one learner, nothing of anybody else."""

import os
import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from logs import NO_PLAN, in_bytes, record, said, written
from processes import chattutor

from chattutor.__main__ import main
from chattutor.exchange.erasing import NO_TIME
from chattutor.session_logs.notes import add_belongs, add_note, sessions_of
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.schema import SCHEMA, Header, TurnLine


def test_export_hands_out_one_learner_whole(tmp_path: Path) -> None:
    log = written(tmp_path / "logs")
    written(tmp_path / "logs", learner="B2")
    done = chattutor("logs", "export", "A1", "--logs", tmp_path / "logs", "--to", tmp_path / "a.zip")
    assert done.returncode == 0, done.stderr
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        assert archive.read(f"001-{log.path.stem}.jsonl") == log.path.read_bytes()
        assert b"Learner: add 1" in archive.read(f"001-{log.path.stem}.txt")
        assert len(archive.namelist()) == 2
    again = chattutor("logs", "export", "A1", "--logs", tmp_path / "logs", "--to", tmp_path / "a.zip")
    assert (again.returncode, "already exists" in again.stderr) == (1, True)


def test_erase_deletes_one_learner_and_nobody_else(tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    mine, other = written(folder), written(folder, learner="B2")
    (folder / "moved").mkdir()
    mine.path.rename(folder / "moved" / "x.jsonl")
    written(folder)
    (folder / "A1" / "torn.jsonl").write_bytes(b'{"chattutor":"session","sch')
    (folder / "A1" / "outside").symlink_to(other.path)
    asked = chattutor("logs", "erase", "A1", "--logs", folder)
    assert (asked.returncode, asked.stderr) == (
        1, "chattutor: 4 files would be deleted for good; add --yes to do it.\n",
    )  # fmt: skip
    done = chattutor("logs", "erase", "A1", "--logs", folder, "--yes")
    assert done.returncode == 0
    assert done.stdout.startswith("Deleted 4 files, ")
    assert "backups" in done.stdout
    assert list(folder.rglob("*.jsonl")) == [other.path]
    assert not (folder / "A1").exists()


def test_erase_leaves_a_running_lesson_and_the_young(tmp_path: Path) -> None:
    running = written(tmp_path, end=None)
    done = chattutor("logs", "erase", "A1", "--logs", tmp_path, "--yes")
    assert done.returncode == 1
    assert "end it first" in done.stderr
    running.close()
    done = chattutor("logs", "erase", "--older-than", "1", "--logs", tmp_path, "--yes")
    assert (done.returncode, done.stdout) == (0, f"There is nothing to erase in {tmp_path}.\n")
    assert running.path.exists()


@pytest.mark.parametrize("words", [["list"], ["verify"], ["show", "x"], ["export", "A1"], ["erase", "A1", "--yes"]])
def test_a_folder_that_is_not_there_is_one_clear_line(words: list[str], tmp_path: Path) -> None:
    done = chattutor("logs", *words, "--logs", tmp_path / "none")
    assert done.returncode == 1
    assert done.stderr == f"chattutor: There is no folder {tmp_path / 'none'}.\n"


def dated(folder: Path, name: str, created: str, turns: list[str], changed: datetime | None = None) -> Path:
    """A log with these times in it."""
    header = Header(SCHEMA, name, "A1", created, "0", NO_PLAN)
    lines = [TurnLine(number, at, record(event="hint"), said()) for number, at in enumerate(turns)]
    home = folder / "A1"
    home.mkdir(parents=True, exist_ok=True)
    path = home / f"{name}.jsonl"
    path.write_bytes(in_bytes(header, lines, None))
    if changed is not None:
        os.utime(path, (changed.timestamp(), changed.timestamp()))
    return path


def test_whatever_the_clock_said_age_is_by_the_earliest_time_that_can_be_trusted(tmp_path: Path) -> None:
    now = datetime.now(UTC)
    old, young = now - timedelta(days=500), now - timedelta(days=3)
    behind, ahead = "1999-12-31T09:00:00.000Z", (now + timedelta(days=9000)).isoformat()
    kept = [
        dated(tmp_path, "young", young.isoformat(), []),
        dated(tmp_path, "behind", behind, [behind, young.isoformat()]),  # the clock was set right in the lesson
        dated(tmp_path, "by-file", behind, [behind], young),
        dated(tmp_path, "unknown", ahead, [ahead], now + timedelta(days=9000)),
    ]
    dated(tmp_path, "old", old.isoformat(), [old.isoformat()])
    dated(tmp_path, "ahead", ahead, [ahead], old)
    done = chattutor("logs", "erase", "--older-than", "365", "--logs", tmp_path, "--yes")
    assert sorted(path.name for path in tmp_path.rglob("*.jsonl")) == sorted(path.name for path in kept)
    assert done.returncode == 1 and done.stdout.startswith("Deleted 2 files, ")
    assert done.stderr == f"Not deleted: {kept[-1]}: {NO_TIME}\n"


def test_a_pipe_in_a_learners_folder_holds_nobody_up(tmp_path: Path) -> None:
    written(tmp_path)
    os.mkfifo(tmp_path / "A1" / "pipe")
    os.mkfifo(tmp_path / "A1" / "pipe.jsonl")
    os.mkfifo(tmp_path / "A1" / ".pipe.jsonl.lock")
    done = chattutor("logs", "erase", "A1", "--logs", tmp_path, "--yes")
    assert (done.returncode, done.stderr) == (0, "")
    assert not (tmp_path / "A1").exists()


@pytest.mark.parametrize("words", [["A1"], ["--older-than", "0"]])
def test_what_cannot_be_looked_at_is_never_said_to_be_gone(
    words: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The account of these tests may open everything: the system's answer stands in for a folder that it may not."""
    written(tmp_path)
    real = os.scandir

    def scandir(path: "str | os.PathLike[str]") -> object:
        if os.fspath(path).endswith("A1"):
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    assert main(["logs", "erase", *words, "--logs", str(tmp_path), "--yes"]) == 1
    out, errors = capsys.readouterr()
    assert out == ""
    assert errors == f"Not deleted: {tmp_path / 'A1'}: the folder cannot be opened; what is in it is not erased.\n"


def test_one_file_is_one_file(tmp_path: Path) -> None:
    written(tmp_path)
    done = chattutor("logs", "erase", "A1", "--logs", tmp_path)
    assert done.stderr.startswith("chattutor: 1 file would be deleted")


def test_a_session_that_is_somebody_elses_goes_with_them_and_not_with_its_code(tmp_path: Path) -> None:
    mine, other = written(tmp_path), written(tmp_path)
    add_note(tmp_path, "A1", "See on Monday.")
    theirs = read_session(other.path)
    assert theirs.header is not None
    add_belongs(tmp_path, theirs, "B2")
    notes = tmp_path / "A1" / "teacher.notes"

    done = chattutor("logs", "erase", "A1", "--logs", tmp_path, "--yes")
    assert (done.returncode, done.stderr) == (0, "")
    assert not mine.path.exists() and other.path.exists()
    assert b"Monday" not in notes.read_bytes()
    assert [one.header.learner for one in sessions_of(tmp_path, "B2") if one.header] == ["B2"]
    assert chattutor("logs", "verify", tmp_path).returncode == 0

    done = chattutor("logs", "erase", "B2", "--logs", tmp_path, "--yes")
    assert (done.returncode, done.stderr) == (0, "")
    assert not other.path.exists() and b"B2" not in notes.read_bytes()
