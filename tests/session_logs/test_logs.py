"""Session logs: what is written survives, what is wrong with a file is said, and nothing else is touched."""

import json
import os
import signal
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from logs import PLAN, REPLY, record, said, written
from processes import ROOT, chattutor

from chattutor.common.exits import LogTrouble
from chattutor.session_logs.folder import unfinished
from chattutor.session_logs.hash_chain import chained, link, split
from chattutor.session_logs.learner_code import learner_code
from chattutor.session_logs.reader import Session, read_session
from chattutor.session_logs.schema import Continues, Settings
from chattutor.session_logs.verifying import Checked, LogFinding, verify
from chattutor.session_logs.writer import NOT_WRITTEN, SessionLog, new_header
from dialogue.turn_record import ReplyRecord


def kinds(path: Path) -> list[str]:
    """The kinds of problem a file has."""
    return [problem.kind for problem in read_session(path).problems]


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    log = written(tmp_path)
    session = read_session(log.path)
    assert session.sound
    assert session.header == log.header
    assert [turn.number for turn in session.turns] == [0, 1, 2]
    assert session.turns[1].said == said("add 1")
    assert session.turns[1].replies == (REPLY,)
    assert session.end is not None and (session.end.why, session.end.turns) == ("stopped", 3)


def test_only_the_owner_can_read_what_is_made(tmp_path: Path) -> None:
    log = written(tmp_path / "new" / "logs")
    modes = [stat.S_IMODE(path.stat().st_mode) for path in (tmp_path / "new" / "logs", log.path.parent, log.path)]
    assert modes == [0o700, 0o700, 0o600]


def test_the_schema_stands_in_the_first_line_and_every_line_is_json(tmp_path: Path) -> None:
    lines = [json.loads(line) for line in written(tmp_path).path.read_text(encoding="utf-8").splitlines()]
    assert (lines[0]["chattutor"], lines[0]["schema"], lines[0]["learner"]) == ("session", 2, "A1")
    assert [set(line) for line in lines[2:4]] == [
        {"chattutor", "turn", "at", "said", "record", "replies", "chain"}
    ] * 2  # fmt: skip
    assert list(lines[-1]) == ["chattutor", "why", "at", "turns", "chain"]


KILLED = """
import os, sys
from pathlib import Path
from chattutor.session_logs.schema import Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.turn_record import Answered, PlanRecord, Said
log = SessionLog(Path(sys.argv[1]), new_header("A1", PlanRecord(), Settings(), "0"))
number = 0
while True:
    log.write(Answered("hint"), Said("x" * 2000))
    number += 1
    os.write(1, b"%d\\n" % number)  # a reply may be shown now
"""


def test_killed_at_any_moment_no_shown_turn_is_lost(tmp_path: Path) -> None:
    for round_number in range(8):
        folder = tmp_path / str(round_number)
        process = subprocess.Popen([sys.executable, "-c", KILLED, str(folder)], stdout=-1, cwd=ROOT)
        assert process.stdout is not None
        shown = 0
        while shown < 5 + 7 * round_number:
            shown = int(process.stdout.readline())
        process.send_signal(signal.SIGKILL)
        rest = process.stdout.read().split()
        process.wait()
        shown = int(rest[-1]) if rest else shown
        (path,) = folder.rglob("*.jsonl")
        session = read_session(path)
        assert len(session.turns) in {shown, shown + 1}
        assert {problem.kind for problem in session.problems} <= {"torn"}
        assert session.end is None


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """The bytes of a sound log."""
    return written(tmp_path_factory.mktemp("sound")).path.read_bytes()


def test_cut_anywhere_the_whole_lines_are_kept_and_the_torn_one_is_named(sound: bytes, tmp_path: Path) -> None:
    path = tmp_path / "cut.jsonl"
    ends = [at + 1 for at, byte in enumerate(sound) if byte == 10]
    for at in range(1, len(sound)):
        path.write_bytes(sound[:at])
        session = read_session(path)
        whole = sum(end <= at + 1 for end in ends)  # a line that lacks nothing but its line end is whole
        if whole == 0:
            assert session.header is None
            assert kinds(path) == ["torn" if at >= 22 else "foreign"]
            continue
        assert len(session.turns) == min(whole - 1, 3)
        torn = at not in ends and at + 1 not in ends
        assert kinds(path) == (["torn"] if torn else [])


def test_a_changed_byte_anywhere_is_found(sound: bytes, tmp_path: Path) -> None:
    path = tmp_path / "changed.jsonl"
    for at in range(0, len(sound), 7):
        changed = bytearray(sound)
        changed[at] ^= 1
        path.write_bytes(changed)
        assert kinds(path), at


@pytest.mark.parametrize("number", range(5))
def test_a_line_taken_out_or_doubled_is_found(sound: bytes, tmp_path: Path, number: int) -> None:
    lines = sound.splitlines(keepends=True)
    path = tmp_path / "lines.jsonl"
    path.write_bytes(b"".join(lines[:number] + lines[number + 1 :]))
    if number < 4:  # without its closing line a file is one that was interrupted
        assert kinds(path)
    path.write_bytes(b"".join(lines[: number + 1] + lines[number:]))
    assert "altered" in kinds(path)


@given(st.binary(min_size=1, max_size=300))
def test_whatever_is_in_a_file_it_is_only_foreign(content: bytes) -> None:
    path = Path(tempfile.gettempdir()) / f"chattutor-foreign-{os.getpid()}.jsonl"
    path.write_bytes(content)
    try:
        session = read_session(path)
    finally:
        path.unlink()
    torn = content.startswith(b'{"chattutor":"session"')
    assert (session.header, [problem.kind for problem in session.problems]) == (None, ["torn" if torn else "foreign"])


@given(st.dictionaries(st.text(), st.text()), st.text())
def test_a_chain_holds_over_any_text(body: dict[str, str], before: str) -> None:
    chain = link(b"", before.encode("utf-8", "replace").decode())
    line, made = chained({"said": body}, chain)
    start, read = split(line)
    assert (read, link(start, chain)) == (made, made)
    assert json.loads(line)["said"] == body


def test_a_newer_schema_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "new.jsonl"
    body = msgspec.to_builtins(written(tmp_path / "x").header) | {"schema": 3}
    path.write_bytes(chained(body, "")[0])
    assert read_session(path).turns == ()
    assert kinds(path) == ["newer"]


def test_links_pipes_and_giants_do_not_hold_up_a_reader(tmp_path: Path) -> None:
    log = written(tmp_path)
    (tmp_path / "link.jsonl").symlink_to(log.path)
    os.mkfifo(tmp_path / "pipe.jsonl")
    giant = tmp_path / "giant.jsonl"
    with giant.open("wb") as out:
        out.truncate(20_000_000_000)  # a hole: no disk is used
    assert kinds(tmp_path / "link.jsonl") == ["not a file"]
    assert kinds(tmp_path / "pipe.jsonl") == ["not a file"]
    assert kinds(giant) == ["foreign"]
    log_bytes = log.path.read_bytes()
    giant.write_bytes(log_bytes)
    os.truncate(giant, 20_000_000_000)
    assert kinds(giant)[-1] == "too long"
    assert len(read_session(giant).turns) == 3


@pytest.mark.parametrize("code", ["A1", "a", "x-1_2", "9" * 32, "CONSOLE"])
def test_a_code_is_taken(code: str) -> None:
    assert learner_code(code) == code


@pytest.mark.parametrize(
    "code",
    ["", ".", "..", "../x", "a/b", "a\\b", "a b", "-x", "_x", "a.b", "ä", "a\n", "a\0", "\x1b[2J", "x" * 33, "CON",
     "lpt1", "C:", "~", "$HOME"],
)  # fmt: skip
def test_a_code_that_could_be_a_trick_is_refused(code: str, tmp_path: Path) -> None:
    with pytest.raises(LogTrouble, match="A learner's code is"):
        new_header(code, PLAN, Settings(), "0")
    assert list(tmp_path.iterdir()) == []


def test_two_writers_never_share_a_file(tmp_path: Path) -> None:
    header = new_header("A1", PLAN, Settings(), "0")
    SessionLog(tmp_path, header).close()
    with pytest.raises(LogTrouble, match="never overwritten"):
        SessionLog(tmp_path, header)


def test_a_learner_folder_that_is_a_link_is_refused(tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "A1").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(LogTrouble, match="is a link"):
        written(tmp_path)
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_folder_that_is_a_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "logs").write_text("mine", encoding="utf-8")
    with pytest.raises(LogTrouble, match="Choose another folder with --logs"):
        written(tmp_path / "logs")
    assert (tmp_path / "logs").read_text(encoding="utf-8") == "mine"


FULL = """
import resource, signal, sys
from pathlib import Path
from chattutor.common.exits import LogTrouble
from chattutor.session_logs.schema import Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.turn_record import Answered, Opened, PlanRecord, Said
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
log = SessionLog(Path(sys.argv[1]), new_header("A1", PlanRecord(), Settings(), "0"))
log.write(Opened())
resource.setrlimit(resource.RLIMIT_FSIZE, (1500, 1500))
try:
    log.write(Answered("hint"), Said("x" * 5000))
except LogTrouble as trouble:
    print(trouble.sentence)
"""


def test_a_full_disk_is_said_and_earlier_turns_are_kept(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", FULL, str(tmp_path)], capture_output=True, text=True, cwd=ROOT, check=True
    )
    (path,) = tmp_path.rglob("*.jsonl")
    assert done.stdout == NOT_WRITTEN.format(path=path, reason="File too large") + "\n"
    session = read_session(path)
    assert (len(session.turns), kinds(path)) == (1, [])  # what was written of the line that did not fit is cut off


def _findings(folder: Path) -> tuple[list[tuple[str, str]], Checked]:
    checked = Checked()
    found: list[LogFinding] = list(verify(folder, checked))
    return [(each.path.name, each.kind) for each in found], checked


def test_verify_finds_everything_that_is_not_a_sound_log(tmp_path: Path) -> None:
    first, second, third = written(tmp_path), written(tmp_path, learner="B2"), written(tmp_path, end=None)
    third.close()
    (tmp_path / "notes.txt").write_text("See Anna on Monday.", encoding="utf-8")
    (tmp_path / "copy.jsonl").write_bytes(first.path.read_bytes())
    strayed = tmp_path / "A1" / second.path.name
    second.path.rename(strayed)
    (tmp_path / "torn.jsonl").write_bytes(first.path.read_bytes()[:-400])
    (tmp_path / "link.jsonl").symlink_to(first.path)
    found, checked = _findings(tmp_path)
    assert sorted(found) == sorted(
        [
            (strayed.name, "misplaced"),
            (strayed.name, "gone"),  # from its own folder
            ("copy.jsonl", "duplicate"),
            ("link.jsonl", "not a file"),
            ("notes.txt", "foreign"),
            ("torn.jsonl", "torn"),
            ("torn.jsonl", "duplicate"),
        ]
    )
    assert (checked.sound, checked.unfinished, checked.faulty) == (2, 2, 6)


def test_verify_says_so_in_its_exit_code(tmp_path: Path) -> None:
    written(tmp_path)
    done = chattutor("logs", "verify", tmp_path)
    assert (done.returncode, done.stdout) == (0, "1 sound (0 interrupted), 0 with something wrong.\n")
    (tmp_path / "notes.txt").write_text("x", encoding="utf-8")
    done = chattutor("logs", "verify", tmp_path, "--json")
    assert done.returncode == 1
    assert json.loads(done.stdout)["kind"] == "foreign"


def test_a_line_being_written_now_is_not_called_torn(tmp_path: Path) -> None:
    running = written(tmp_path, end=None)
    with running.path.open("ab") as out:
        out.write(b'{"turn":3,"at')
    assert kinds(running.path) == []
    running.close()
    assert kinds(running.path) == ["torn"]


def test_only_a_sitting_broken_off_can_be_resumed(tmp_path: Path) -> None:
    written(tmp_path).close()
    written(tmp_path, learner="B2", end=None).close()
    assert unfinished(tmp_path, "A1") is None
    assert unfinished(tmp_path, "none") is None
    running = written(tmp_path, end=None)
    assert unfinished(tmp_path, "A1") is None  # it is being written now
    running.close()
    found = unfinished(tmp_path, "A1")
    assert isinstance(found, Session) and found.path == running.path
    later = SessionLog(tmp_path, new_header("A1", PLAN, Settings(), "0", Continues(running.header.id, 3)))
    later.close()  # killed before it said anything
    found = unfinished(tmp_path, "A1")
    assert found is not None and found.path == later.path and found.turns == ()
    last = SessionLog(tmp_path, new_header("A1", PLAN, Settings(), "0", Continues(later.header.id, 0)))
    last.end("stopped")
    assert unfinished(tmp_path, "A1") is None


def test_new_folders_are_on_the_disk_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[str] = []
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda file: (synced.append(os.readlink(f"/proc/self/fd/{file}")), real(file)))
    log = written(tmp_path / "new" / "logs", turns=1)
    register = log.path.with_name("sessions.list")
    assert synced[:5] == [str(each) for each in (register, log.path, *list(log.path.parents)[:3])]
    assert synced[4] == str(tmp_path / "new")


def test_a_file_left_empty_is_said_to_be(tmp_path: Path) -> None:
    (tmp_path / "empty.jsonl").touch()
    assert [problem.sentence for problem in read_session(tmp_path / "empty.jsonl").problems] == [
        "It is empty: not even its first line was written."
    ]


def test_list_and_show_are_safe_to_print(tmp_path: Path) -> None:
    log = SessionLog(tmp_path, new_header("A1", PLAN, Settings(), "0"))
    log.write(record(event="hint"), said("\x1b[2J\u202eclear\n"), (ReplyRecord("k", "a\rb"),))
    log.end("stopped")
    listed = chattutor("logs", "list", tmp_path)
    assert (listed.returncode, listed.stderr) == (0, "")
    assert "A1" in listed.stdout and "3x + 2 = 14" in listed.stdout
    shown = chattutor("logs", "show", log.header.id[:6], "--logs", tmp_path)
    assert "Learner:  [2J clear " in shown.stdout
    assert "Tutor:   a b" in shown.stdout
    assert not set(shown.stdout) & set("\x1b\r\u202e")
