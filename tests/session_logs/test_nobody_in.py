"""Names, codes and files that try to be more than text: nothing of them reaches a terminal, a path or a spreadsheet.

Pages are tried in tests/review/test_pages_hostile.py, with a real browser.
"""

import json
import os
import re
import zipfile
from pathlib import Path

import pytest

from chattutor.__main__ import main
from chattutor.session_logs.hash_chain import chained
from chattutor.session_logs.notes import read_notes

ESCAPES = "\x1b[2J\x1b]0;title\x07\x9b31m\x08\r\u202e\u2066"  # ECMA-48: clear, set the title, colour; text reversed
CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
PLAN = {"tasks": [{"equation": "3x + 2 = 14", "stage": 6, "exit": False}], "seed": 1, "faded": [], "spoken": False}
CODES = ("../../up", "/etc", "a\0b", "x" * 5000, ESCAPES, "=cmd|'/c calc'!A1", "CON", "")


def forged(path: Path, end: str | None = "stopped", **header: object) -> Path:
    """A log with anything in its first line and a chain that is right."""
    path.parent.mkdir(parents=True, exist_ok=True)
    start = {"chattutor": "session", "schema": 1, "id": "a1", "learner": "A1", "created": "2026-09-01T09:00:00.000Z"}
    bodies: list[dict[str, object]] = [
        start | {"version": "0", "plan": PLAN, "settings": {}, "continues": None} | header,
        {"turn": 0, "at": "", "said": None, "record": {"event": "begin"}, "replies": []},
        {"turn": 1, "at": "", "said": {"text": "7"}, "record": {"task": 0, "event": "value wrong"}, "replies": []},
    ]
    if end is not None:
        bodies.append({"end": end, "at": "", "turns": 2})
    chain, lines = "", []
    for body in bodies:
        line, chain = chained(body, chain)
        lines.append(line)
    path.write_bytes(b"".join(lines))
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of logs whose codes, ids and times are tricks, with a pipe and links among them."""
    logs = tmp_path / "outer" / "logs"
    for number, code in enumerate(CODES):
        forged(logs / "A1" / f"{number}.jsonl", learner=code, id=f"../{code}"[:99], created=f"../../{code}"[:99])
    forged(logs / "A1" / f"{ESCAPES}..\\..\\x.jsonl", id="b2")
    os.mkfifo(logs / "A1" / "pipe.jsonl")
    (logs / "A1" / "loop.jsonl").symlink_to("loop.jsonl")
    (tmp_path / "outer" / "secret.jsonl").write_bytes((logs / "A1" / "0.jsonl").read_bytes())
    (logs / "A1" / "away").symlink_to(tmp_path / "outer")
    (tmp_path / "up").mkdir()
    (tmp_path / "up" / "teacher.notes").write_text('{"at": "", "note": "not for this folder"}\n', encoding="utf-8")
    return logs


@pytest.mark.parametrize(
    "words",
    [
        ("logs", "list"),
        ("logs", "verify"),
        ("logs", "judge-again"),
        ("logs", "xapi"),
        ("review",),
        ("review", "--json"),
        ("logs", "fit"),
    ],
)
def test_no_log_reaches_the_terminal_or_a_path(
    folder: Path, words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*words, str(folder)]) in {0, 1}
    out, errors = capsys.readouterr()
    assert not CONTROLS.search(out + errors)
    assert "not for this folder" not in out


def test_notes_are_only_read_where_a_code_is_one(folder: Path) -> None:
    for code in CODES:
        assert read_notes(folder, code).notes == []


def test_packed_data_goes_nowhere_else(folder: Path, tmp_path: Path) -> None:
    pytest.importorskip("duckdb")
    before = set(tmp_path.rglob("*"))
    assert main(["logs", "pack", str(folder), "--school", "north", "--to", str(tmp_path / "packed")]) == 0
    made = {path for path in set(tmp_path.rglob("*")) - before if path.is_file()}
    assert made and all(path.parent.parent == tmp_path / "packed" / "school=north" for path in made)
    assert {path.parent.name for path in made} == {"month=0000-00", "month=2026-09"}


def test_names_in_a_zip_stay_where_it_is_unpacked(folder: Path, tmp_path: Path) -> None:
    assert main(["logs", "export", "A1", "--logs", str(folder), "--to", str(tmp_path / "a.zip")]) == 0
    names = zipfile.ZipFile(tmp_path / "a.zip").namelist()
    assert names and all(re.fullmatch(r"[\w.-]+", name, re.ASCII) and ".." not in name for name in names)


@pytest.mark.parametrize(
    "words",
    [
        ("lesson", "--equations", "FILE"),
        ("equations", "check", "FILE"),
        ("logs", "list", "FILE"),
        ("review", "FILE"),
        ("logs", "roster", "FILE", "--key", "key"),
        ("lesson", "--logs", "FILE"),
    ],
)
def test_a_name_that_would_move_the_cursor_is_refused(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main([str(tmp_path / ESCAPES) if word == "FILE" else word for word in words]) == 2
    errors = capsys.readouterr().err
    assert errors.count("\n") == 1 and "control characters" in errors
    assert not CONTROLS.search(errors)


@pytest.mark.parametrize("words", [("mark", "--json"), ("mark",)])
def test_what_a_file_holds_is_shown_as_text(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "work.txt"
    path.write_text("a1: 3x + 2 = 14\n3x = 12 \x9b31m\n\x9b: x\n\na1: x = 2 \x9b\n", encoding="utf-8")
    assert main([*words, str(path)]) == 1
    out, errors = capsys.readouterr()
    assert not CONTROLS.search(out + errors)
    if "--json" in words:  # and read back it is whole
        assert json.loads(out.splitlines()[0])["lines"][0]["text"] == "3x = 12 \x9b31m"


def test_what_a_sound_is_called_is_shown_as_text(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("pocketsphinx")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    moving, no_text = tmp_path / "a\x9bb.wav", tmp_path / "a\udc9bb.wav"  # the second is no UTF-8
    for path, code in ((moving, 2), (no_text, 1)):
        path.write_bytes(b"RIFF")
        assert main(["voice", "hear", "--expecting", "yesno", str(path)]) == code
        out, errors = capsys.readouterr()
        assert not CONTROLS.search(out + errors)
        assert "give it another name" in out + errors
    assert json.loads(out)["file"] == str(no_text)


def test_what_argparse_refuses_is_shown_as_text(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["lesson", ESCAPES])
    assert not CONTROLS.search(capsys.readouterr().err)


def test_a_file_of_equations_reaches_no_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "set.txt"
    path.write_text(f"3x + 2 = 14\nfoo {ESCAPES}\n={ESCAPES}3\n", encoding="utf-8")
    assert main(["equations", "check", str(path)]) == 1
    out, errors = capsys.readouterr()
    assert not CONTROLS.search(out + errors)


def test_a_class_list_cannot_put_formulas_or_escapes_into_the_key(tmp_path: Path) -> None:
    users, key = tmp_path / "users.csv", tmp_path / "key.csv"
    cells = ("=1+1", "+1", "-2", "@x", "\t=3", "\r=4", "\n=5", f"{ESCAPES}=6", "＝7", "=cmd|'/c calc'!A1")
    rows = "".join(f'"{cell}","{cell}","{cell}"\n' for cell in cells)
    users.write_text(f"sourcedId,givenName,familyName\n{rows}", encoding="utf-8", newline="")
    assert main(["logs", "roster", str(users), "--key", str(key), "--logs", str(tmp_path / "logs")]) == 0
    text = key.read_text(encoding="utf-8")
    assert not CONTROLS.search(text)
    for line in text.splitlines()[1:]:
        assert not re.search(r"(^|,)\"?[=+@＝\t\r-]", line), line


def test_brackets_thousands_deep_are_no_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "deep.jsonl").write_bytes(b'{"chattutor":"session","x":' + b"[" * 60_000 + b"]" * 60_000 + b"}\n")
    assert main(["logs", "verify", str(tmp_path), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["kind"] == "foreign"
