"""What cannot be opened: whoever reads logs says so, and leaves no learner out in silence."""

import json
import os
from pathlib import Path

import pytest
from logs import written

from chattutor.__main__ import main
from chattutor.session_logs.verifying import Checked, verify


@pytest.fixture
def closed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Logs of A1 and B2, of which A1's folder is closed. The account of these tests may open everything: the system's
    answer stands in for a folder that it may not."""
    folder = tmp_path / "logs"
    written(folder).close()
    written(folder, learner="B2").close()
    real = os.scandir

    def scandir(path: "str | os.PathLike[str]") -> object:
        if Path(path) == folder / "A1":
            raise PermissionError(13, "Permission denied")
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    return folder


@pytest.mark.parametrize("words", [["list"], ["xapi"], ["export", "B2", "--to", "b.zip"]], ids=lambda words: words[0])
def test_what_was_not_looked_at_is_named(
    words: list[str], closed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["logs", *words, "--logs", str(closed)]) == 1
    out, errors = capsys.readouterr()
    assert "B2" in out
    assert errors == f"chattutor: {closed / 'A1'}: the folder cannot be opened; what is in it was not looked at.\n"


def test_what_was_not_copied_is_named(closed: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["logs", "collect", str(closed), "--logs", str(tmp_path / "all")]) == 1
    assert capsys.readouterr().out.splitlines() == [
        "B2: 1 new",
        f"Into {tmp_path / 'all'}: 1 new, 0 longer, 0 here already, 1 left out.",
        f"! {closed / 'A1'}: the folder cannot be opened; what is in it was not looked at.",
    ]


@pytest.mark.parametrize("more", [[], ["--since", "2020-01-01"]], ids=["all", "some days"])
def test_a_review_counts_it_among_the_files_with_something_wrong(
    more: list[str], closed: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["review", str(closed), "--json", *more]) == 0
    page = json.loads(capsys.readouterr().out)
    assert [row["code"] for row in page["learners"]] == ["B2"]
    assert [row["file"] for row in page["files_with_faults"]] == [str(closed / "A1")]


def test_notes_that_are_a_pipe_are_named(tmp_path: Path) -> None:
    os.mkfifo(written(tmp_path).path.with_name("teacher.notes"))
    assert [(found.path.name, found.kind) for found in verify(tmp_path, Checked())] == [("teacher.notes", "unreadable")]
