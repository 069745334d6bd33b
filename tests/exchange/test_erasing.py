"""Handing out and erasing a learner's records: everything of one learner, nothing of anybody else."""

import zipfile
from pathlib import Path

import pytest
from processes import chattutor
from test_logs import written


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
    assert (again.returncode, "is there already" in again.stderr) == (1, True)


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
    assert [path for path in folder.rglob("*") if path.is_file()] == [other.path]
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
