"""Logs brought together from sticks and shares: what is new is copied, nothing is lost, and the report is true."""

from pathlib import Path

import pytest
from logs import written
from processes import chattutor

from chattutor.session_logs.erased import hashed
from chattutor.session_logs.folder import sessions
from chattutor.session_logs.notes import add_belongs, add_note, read_notes


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A stick with two learners' logs."""
    for code in ("A1", "A1", "B2"):
        written(tmp_path / "stick", learner=code)
    return tmp_path / "stick"


def collected(folder: Path, *sources: Path) -> list[str]:
    """The report."""
    done = chattutor("logs", "collect", *sources, "--logs", folder)
    assert done.stderr == "" and done.returncode == ("!" in done.stdout)
    return done.stdout.splitlines()


def contents(folder: Path) -> dict[str, bytes]:
    """Every log by its name."""
    return {path.name: path.read_bytes() for path in folder.rglob("*.jsonl")}


def test_what_is_new_is_copied_once_and_the_source_is_left_alone(stick: Path, tmp_path: Path) -> None:
    before = contents(stick)
    folder = tmp_path / "logs"
    assert collected(folder, stick) == [
        "A1: 2 new", "B2: 1 new", f"Into {folder}: 3 new, 0 longer, 0 here already, 0 left out.",
    ]  # fmt: skip
    assert contents(folder) == before == contents(stick)
    assert collected(folder, stick)[-1] == f"Into {folder}: 0 new, 0 longer, 3 here already, 0 left out."
    assert chattutor("logs", "verify", folder).returncode == 0  # the register has them


def test_a_longer_copy_takes_the_place_of_a_shorter_and_never_the_other_way(stick: Path, tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    path = next((stick / "B2").glob("*.jsonl"))
    whole = path.read_bytes()
    path.write_bytes(b"".join(whole.splitlines(keepends=True)[:3]))
    collected(folder, stick)
    short = path.read_bytes()
    path.write_bytes(whole)
    assert collected(folder, stick)[0] == "B2: 1 longer than before"
    path.write_bytes(short)
    assert collected(folder, stick)[-1].endswith("0 new, 0 longer, 3 here already, 0 left out.")
    assert contents(folder)[path.name] == whole
    assert chattutor("logs", "verify", folder).returncode == 0


def test_what_is_spoilt_or_another_version_is_left_and_named(stick: Path, tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    collected(folder, stick)
    kept = contents(folder)
    (stick / "notes.jsonl").write_text('{"to do": "ask"}\n', "utf-8")
    path = next((stick / "B2").glob("*.jsonl"))
    path.write_bytes(path.read_bytes().replace(b"Yes", b"No!", 1))
    done = chattutor("logs", "collect", stick, "--logs", folder)
    assert done.returncode == 1
    assert (
        "2 left out" in done.stdout and f"! {path}: " in done.stdout and f"! {stick / 'notes.jsonl'}: " in done.stdout
    )
    assert contents(folder) == kept


def test_what_was_erased_is_not_brought_back(stick: Path, tmp_path: Path) -> None:
    """Neither all of a learner nor one session of two, whether the school's folder was cleaned or the class's."""
    school = tmp_path / "school"
    folder = school / "9B"
    collected(folder, stick)
    erased = chattutor("logs", "erase", "A1", "--logs", school, "--yes")
    assert erased.returncode == 0 and "these will not come back" in erased.stdout
    assert not (folder / "A1").exists()
    lines = collected(folder, stick)
    assert lines[0] == f"Into {folder}: 0 new, 0 longer, 1 here already, 2 left out."
    why = "It was erased here, so it is not copied again; delete it there too."
    assert lines[1:] == [f"! {path}: {why}" for path in sorted((stick / "A1").glob("*.jsonl"))]
    assert not (folder / "A1").exists()
    written(stick, learner="A1")  # somebody else has the code since
    assert collected(folder, stick)[0] == "A1: 1 new"
    assert chattutor("logs", "erase", "--older-than", "0", "--logs", folder, "--yes").returncode == 0
    assert collected(folder, stick)[0] == f"Into {folder}: 0 new, 0 longer, 0 here already, 4 left out."
    assert chattutor("logs", "verify", school).returncode == 0


def test_the_list_of_what_was_erased_names_nobody(stick: Path, tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    collected(folder, stick)
    names = [path.stem.rpartition("-")[2] for path in stick.rglob("*.jsonl")]
    assert chattutor("logs", "erase", "--older-than", "0", "--logs", folder, "--yes").returncode == 0
    (kept,) = folder.rglob("*")
    text = kept.read_text("ascii")
    assert sorted(text.split()) == sorted(map(hashed, names))
    assert not any(name in text for name in (*names, "A1", "B2"))


def test_a_folder_is_not_collected_into_itself(stick: Path) -> None:
    done = chattutor("logs", "collect", stick, "--logs", stick)
    assert done.returncode == 1 and "is the folder to collect into" in done.stderr


def test_teachers_notes_come_along_once(stick: Path, tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    collected(folder, stick)
    add_note(folder, "A1", "Here first.")
    add_note(stick, "A1", "See on Monday.")
    one = next(session for session in sessions(stick, "B2"))
    add_belongs(stick, one, "C3")
    assert collected(folder, stick)[:2] == ["A1: 1 of a teacher's notes", "B2: 1 of a teacher's notes"]
    assert [text for _, text in read_notes(folder, "A1").notes] == ["Here first.", "See on Monday."]
    assert list(read_notes(folder, "B2").belongs.values()) == ["C3"]
    assert collected(folder, stick)[0].startswith(f"Into {folder}: 0 new")
    assert chattutor("logs", "verify", folder).returncode == 0


def test_notes_on_somebody_without_a_log_here_are_left(stick: Path, tmp_path: Path) -> None:
    add_note(stick, "B2", "See on Monday.")
    next((stick / "B2").glob("*.jsonl")).unlink()
    collected(tmp_path / "logs", stick)
    assert not (tmp_path / "logs" / "B2").exists()
