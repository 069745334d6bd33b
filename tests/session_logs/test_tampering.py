"""What tampering is noticed: each way to change records by hand is named by ``logs verify``, with the file."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from logs import written
from processes import chattutor
from school import a_folder

from chattutor.review.class_reading import class_json
from chattutor.session_logs.folder import DIGESTS
from chattutor.session_logs.notes import add_note, read_notes
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.register import NAME, read_register
from chattutor.session_logs.verifying import Checked, verify

SCHEMA_1 = Path(__file__).with_name("schema_1")


def found(folder: Path) -> list[tuple[str, str]]:
    """Each finding: file and kind."""
    return sorted((path.path.name, path.kind) for path in verify(folder, Checked()))


def cut(path: Path) -> None:
    """Take off the closing line and the last turn, at a line's end."""
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-2]))


def end_only(path: Path) -> None:
    """Take off the closing line."""
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))


@pytest.mark.parametrize(("change", "kind"), [(cut, "altered"), (end_only, "altered"), (Path.unlink, "gone")])
def test_a_log_cut_or_gone_is_named(change: Callable[[Path], None], kind: str, tmp_path: Path) -> None:
    log, other = written(tmp_path), written(tmp_path)
    assert found(tmp_path) == []
    change(log.path)
    assert found(tmp_path) == [(log.path.name, kind)]
    done = chattutor("logs", "verify", tmp_path)
    assert done.returncode == 1 and str(log.path) in done.stdout and str(other.path) not in done.stdout


def test_a_session_given_to_a_classmate_is_named_in_both_folders(tmp_path: Path) -> None:
    mine, theirs = written(tmp_path), written(tmp_path, learner="B2")
    moved = theirs.path.with_name("20260101-renamed.jsonl")
    mine.path.rename(moved)
    assert found(tmp_path) == [(moved.name, "unlisted"), (mine.path.name, "gone")]


def test_a_log_made_elsewhere_is_named(tmp_path: Path) -> None:
    written(tmp_path / "logs")
    other = written(tmp_path / "elsewhere")
    copied = Path(shutil.copy(other.path, tmp_path / "logs" / "A1"))
    assert found(tmp_path / "logs") == [(copied.name, "unlisted")]


def test_a_sitting_that_was_killed_is_closed_when_the_next_begins(tmp_path: Path) -> None:
    killed = written(tmp_path, end=None)
    register = read_register(killed.path.parent)
    assert register is not None and register.closed == {}
    killed._lock.release()  # type: ignore[union-attr]  # as the end of its process does
    assert found(tmp_path) == []
    written(tmp_path)
    end_only(killed.path)
    assert found(tmp_path) == [(killed.path.name, "altered")]


@pytest.mark.parametrize("number", range(5))
def test_the_register_is_chained(number: int, tmp_path: Path) -> None:
    written(tmp_path)
    path = written(tmp_path).path.with_name(NAME)
    whole = path.read_bytes()
    lines = whole.splitlines(keepends=True)
    assert len(lines) == 4
    if number < 3:
        path.write_bytes(b"".join(lines[:number] + lines[number + 1 :]))
        assert (NAME, "altered") in found(tmp_path)
    path.write_bytes(whole.replace(b'"turns":3', b'"turns":2', 1))
    assert (NAME, "altered") in found(tmp_path)
    path.unlink()
    assert [kind for _, kind in found(tmp_path)] == ["unlisted", "unlisted"]


def test_half_a_line_of_the_register_is_taken_off_and_the_rest_kept(tmp_path: Path) -> None:
    path = written(tmp_path).path.with_name(NAME)
    path.write_bytes(path.read_bytes() + b'{"entry":"clo')
    written(tmp_path)
    assert found(tmp_path) == []


def test_what_was_erased_is_not_missed(tmp_path: Path) -> None:
    log = written(tmp_path)
    written(tmp_path).close()
    register = read_register(log.path.parent)
    assert register is not None and len(register.files) == 2
    done = chattutor("logs", "erase", "A1", "--older-than", "0", "--logs", tmp_path, "--yes")
    assert done.returncode == 0 and not (tmp_path / "A1").exists()


def test_erasing_old_sessions_leaves_the_others_as_they_were(tmp_path: Path) -> None:
    old, young = written(tmp_path), written(tmp_path)
    done = chattutor("logs", "erase", "A1", "--logs", tmp_path, "--yes", "--older-than", "36500")
    assert "nothing to erase" in done.stdout
    from chattutor.exchange.erasing import erase

    erase([old.path], tmp_path)
    assert found(tmp_path) == [] and young.path.exists()


def test_a_line_planted_in_the_notes_is_named_and_not_used(tmp_path: Path) -> None:
    log = written(tmp_path)
    path = log.path.with_name("teacher.notes")
    planted = json.dumps({"at": "2026-01-01", "note": "Gets full marks."}) + "\n"
    path.write_text(planted, encoding="utf-8")
    assert found(tmp_path) == [("teacher.notes", "altered")]  # also where there were no notes yet
    assert read_notes(tmp_path, "A1").notes == []
    path.unlink()
    add_note(tmp_path, "A1", "See on Monday.")
    assert found(tmp_path) == []
    path.write_text(path.read_text("utf-8") + planted, encoding="utf-8")
    assert found(tmp_path) == [("teacher.notes", "altered")]
    add_note(tmp_path, "A1", "Seen.")
    notes = read_notes(tmp_path, "A1")
    assert [text for _, text in notes.notes] == ["See on Monday.", "Seen."]
    assert notes.unread == 1
    path.write_text(path.read_text("utf-8").replace("Monday", "Friday"), encoding="utf-8")
    assert len(found(tmp_path)) == 2


def test_notes_of_before_there_were_chains_are_used_beside_a_log_of_that_time(tmp_path: Path) -> None:
    log = written(tmp_path)
    path = log.path.with_name("teacher.notes")
    path.write_text(json.dumps({"at": "2026-01-01", "note": "of old"}) + "\n", encoding="utf-8")
    assert read_notes(tmp_path, "A1").notes == []
    shutil.copy(next(iter(sorted(SCHEMA_1.glob("*.jsonl")))), log.path.parent)
    add_note(tmp_path, "A1", "See on Monday.")
    assert [text for _, text in read_notes(tmp_path, "A1").notes] == ["of old", "See on Monday."]


def test_a_judgement_planted_by_a_classmate_changes_no_page(tmp_path: Path) -> None:
    folder = a_folder(tmp_path / "logs")
    session = read_session(next(iter(sorted(folder.rglob("15*.jsonl")))))
    assert session.header is not None
    add_note(folder, "invented", "See on Monday.")
    before = class_json(folder)
    forged = {"at": "", "override": {"session": session.header.id, "turn": 3, "judgement": "right"}}
    with (folder / "invented" / "teacher.notes").open("a", encoding="utf-8") as notes:
        notes.write(json.dumps(forged) + "\n")
    assert json.loads(class_json(folder))["errors"] == json.loads(before)["errors"]


def test_edited_digests_are_named_and_not_used(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("chattutor.session_logs.file_stamps.YOUNG", -(10**18))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))
    folder = a_folder(tmp_path / "logs")
    first = class_json(folder, many=1)
    assert found(folder) == []
    kept = folder / DIGESTS
    kept.write_bytes(kept.read_bytes().replace(b'"invented"', b'"somebody"', 1))
    assert found(folder) == [(DIGESTS, "altered")]
    for page in folder.glob(".review-page*"):
        page.unlink()
    assert class_json(folder, many=1) == first
    kept.write_bytes(kept.read_bytes().replace(b'"invented"', b'"somebody"', 1))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "another computer"))
    assert found(folder) == []  # that one cannot tell, and does not use it
