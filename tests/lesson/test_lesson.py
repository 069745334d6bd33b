"""Whole lessons through a pipe: one line read a turn, everything logged before it is shown, resumed by replay."""

import json
import shlex
import signal
import subprocess
import time
from pathlib import Path

import pytest
from logs import answered
from processes import PROGRAM, ROOT, chattutor, start

from chattutor.lesson.session_setup import BESIDE, ELSEWHERE, NOTHING
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.replay import replay
from chattutor.session_logs.schema import Continues
from chattutor.session_logs.writer import NOT_WRITTEN

SOLVED = ["subtract 2 from both sides", "3x", "12", "divide both sides by 3", "x", "4", "14"]


@pytest.fixture
def equations(tmp_path: Path) -> Path:
    """A teacher's file with one equation, a comment and an empty line."""
    path = tmp_path / "set.txt"
    path.write_text("# my set\n\n3x + 2 = 14   # two steps\n", encoding="utf-8")
    return path


def _log(folder: Path) -> Path:
    (path,) = folder.rglob("*.jsonl")
    return path


def _given(*lines: str) -> str:
    return "".join(f"{line}\n" for line in lines)


def test_a_lesson_through_a_pipe_is_plain_text_and_ends_in_the_solution(equations: Path, tmp_path: Path) -> None:
    done = chattutor("lesson", "--learner", "A1", "--equations", equations, "--logs", tmp_path / "logs", "--seed", "1",
                     given=_given(*SOLVED))  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert "\x1b" not in done.stdout
    assert f"Every turn is written to {tmp_path / 'logs'}, on this machine only." in done.stdout
    session = read_session(_log(tmp_path / "logs"))
    assert session.sound and session.end is not None
    assert session.end.why == "finished"
    assert [turn.said.text for turn in session.turns if turn.said] == SOLVED
    assert session.turns[-1].record.solved == "3*x + 2 = 14"
    for turn in session.turns:  # every reply that is logged was shown
        for reply in turn.replies:
            assert f"{reply.text}\n" in done.stdout


def test_a_lesson_in_american_words_is_resumed_in_them(tmp_path: Path) -> None:
    (tmp_path / "set.txt").write_text("4(n + 3) = 44\n", encoding="utf-8")
    words = ("lesson", "--learner", "A1", "--logs", tmp_path / "logs")
    chattutor(*words, "--equations", tmp_path / "set.txt", "--seed", "1", "--classroom", "american", given="expand\n")
    (path,) = (tmp_path / "logs").rglob("*.jsonl")
    path.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:-1]))  # as a power cut would leave it
    chattutor(*words, "--go-on", given="repeat\n")
    assert len(list((tmp_path / "logs").rglob("*.jsonl"))) == 2
    heard = [reply.spoken for path in (tmp_path / "logs").rglob("*.jsonl") for turn in read_session(path).turns
             for reply in turn.replies]  # fmt: skip
    assert any("parenthesis" in one for one in heard)
    assert not any("bracket" in one for one in heard)


def test_the_notice_is_for_the_first_time(equations: Path, tmp_path: Path) -> None:
    words = ("lesson", "--learner", "A1", "--equations", equations, "--logs", tmp_path / "logs", "--seed", "1")
    first, second = chattutor(*words, given="stop\n"), chattutor(*words, given="stop\n")
    assert "Records of children" in first.stdout
    assert "Records of children" not in second.stdout and NOTHING not in second.stdout
    assert first.stdout.endswith(second.stdout)


def test_the_same_seed_and_words_give_the_same_lesson(equations: Path, tmp_path: Path) -> None:
    said = _given("hint", "stuck", "add 2 to both sides", "no", "7", *SOLVED)
    one, two = (
        chattutor("lesson", "--equations", equations, "--logs", tmp_path / name, "--seed", "5", given=said).stdout
        for name in ("a", "b")
    )
    assert one.replace(str(tmp_path / "a"), "") == two.replace(str(tmp_path / "b"), "")


def test_an_end_of_input_is_polite_and_the_log_complete(equations: Path, tmp_path: Path) -> None:
    done = chattutor(
        "lesson", "--equations", equations, "--logs", tmp_path / "logs", given="subtract 2 from both sides"
    )
    assert done.returncode == 0
    assert done.stdout.endswith("That is all for now. Your work is saved.\n")
    session = read_session(_log(tmp_path / "logs"))
    assert session.sound and session.end is not None
    assert (session.end.why, len(session.turns)) == ("input ended", 2)


def _broken_off(equations: Path, logs: Path, *said: str) -> None:
    """A lesson killed once the reply to the last of these is on the screen."""
    with start("lesson", "--learner", "A1", "--equations", equations, "--logs", logs, "--seed", "1") as process:
        assert process.stdin and process.stdout
        process.stdin.write(_given(*said).encode())
        process.stdin.flush()
        turns = 0
        deadline = time.monotonic() + 120  # a busy machine takes long to begin
        while turns < len(said) + 1 and time.monotonic() < deadline:
            found = list(logs.rglob("*.jsonl"))
            turns = max((len(read_session(path).turns) for path in found[-1:]), default=0)
            time.sleep(0.02)
        process.send_signal(signal.SIGKILL)
        process.wait()


def test_killed_and_resumed_it_is_one_lesson(equations: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    _broken_off(equations, logs, *SOLVED[:2])
    done = chattutor("lesson", "--learner", "A1", "--logs", logs, given=_given("what?", "yes", *SOLVED[2:]))
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("was not finished. Shall we carry on with it? Yes or no?") == 2
    first, second = sorted(logs.rglob("*.jsonl"), key=lambda path: path.stat().st_mtime_ns)
    one, two = read_session(first), read_session(second)
    assert one.end is None and two.sound and two.end is not None and two.header is not None
    assert two.end.why == "finished"
    assert one.header is not None and two.header.continues == Continues(one.header.id, 3, one.chain)
    replayed = list(replay(two, logs))
    assert len(replayed) == len(one.turns) + len(two.turns)
    assert all(turn.same for turn in replayed)
    assert replayed[-1].turn.state.solved == (0,)
    shown = chattutor("logs", "replay", second)
    assert (shown.returncode, shown.stderr) == (0, "")
    again = chattutor("lesson", "--learner", "A1", "--equations", equations, "--logs", logs, given="stop\n")
    assert "not finished" not in again.stdout  # it was resumed, and finished


def test_broken_off_twice_it_is_still_one_lesson(equations: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    _broken_off(equations, logs, *SOLVED[:2])
    with start("lesson", "--learner", "A1", "--logs", logs, "--go-on") as process:
        assert process.stdin and process.stdout
        process.stdin.write(_given(*SOLVED[2:4]).encode())
        process.stdin.flush()
        while sum(len(read_session(path).turns) for path in logs.rglob("*.jsonl")) < 6:
            time.sleep(0.02)
        process.kill()
        process.wait()
    done = chattutor("lesson", "--learner", "A1", "--logs", logs, "--go-on", given=_given(*SOLVED[4:]))
    assert done.returncode == 0
    last = max(logs.rglob("*.jsonl"), key=lambda path: path.stat().st_mtime_ns)
    assert list(replay(read_session(last), logs))[-1].turn.state.solved == (0,)


@pytest.mark.parametrize(("answer", "option"), [("no", ()), ("stop", ()), (None, ("--new",))])
def test_a_lesson_broken_off_need_not_be_resumed(
    equations: Path, tmp_path: Path, answer: str | None, option: tuple[str, ...]
) -> None:
    logs = tmp_path / "logs"
    _broken_off(equations, logs, *SOLVED[:2])
    said = _given(*([answer] if answer else []), "stop")
    done = chattutor("lesson", "--learner", "A1", "--equations", equations, "--logs", logs, *option, given=said)
    assert done.returncode == 0
    assert len(list(logs.rglob("*.jsonl"))) == (1 if answer == "stop" else 2)
    assert chattutor("logs", "verify", logs).returncode == 0


def test_killed_after_its_last_turn_there_is_nothing_to_resume(tmp_path: Path) -> None:
    (tmp_path / "one.txt").write_text("x + 2 = 5\n", encoding="utf-8")
    words = ("lesson", "--equations", tmp_path / "one.txt", "--learner", "A1", "--logs", tmp_path, "--go-on")
    chattutor(*words, given="hint\n" * 60)
    (log,) = (tmp_path / "A1").glob("*.jsonl")
    *turns, end = log.read_bytes().splitlines(keepends=True)
    assert b'"finished"' in end
    log.write_bytes(b"".join(turns))
    done = chattutor(*words, given="stop\n")
    assert (done.returncode, "Traceback" in done.stderr) == (0, False)
    assert NOTHING in done.stdout and "x + 2 = 5" in done.stdout


def test_an_altered_log_is_not_resumed(equations: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    _broken_off(equations, logs, *SOLVED[:2])
    path = _log(logs)
    path.write_bytes(path.read_bytes().replace(b'"text":"3x"', b'"text":"4x"', 1))
    done = chattutor("lesson", "--learner", "A1", "--equations", equations, "--logs", logs, given="stop\n")
    assert (done.returncode, "not finished" in done.stdout) == (0, False)


def test_an_interrupted_lesson_can_be_resumed(equations: Path, tmp_path: Path) -> None:
    with start("lesson", "--learner", "A1", "--equations", equations, "--logs", tmp_path / "logs") as process:
        assert process.stdin and process.stdout and process.stderr
        process.stdin.write(b"subtract 2 from both sides\n")
        process.stdin.flush()
        while not list((tmp_path / "logs").rglob("*.jsonl")) or len(read_session(_log(tmp_path / "logs")).turns) < 2:
            time.sleep(0.02)
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=20) == 130
        assert b"Start the lesson again to carry on from here." in process.stdout.read()
        assert b"Traceback" not in process.stderr.read()
    session = read_session(_log(tmp_path / "logs"))
    assert (session.sound, session.end) == (True, None)


def test_whatever_is_typed_the_lesson_goes_on(equations: Path, tmp_path: Path) -> None:
    bad = [b"", b"x" * 1_000_000, b"\x00\x1b[31m\x07", "🙂 ½ é \u202e".encode(), b"(" * 10_000, b"9**9**9**9", b"1/0",
           b"\xff\xfe", b"__import__('os')", b"x + y = 3", b"3x + 2", b"x = 1 = 2", b"x^2 = 4"]  # fmt: skip
    given = b"\n".join([*bad, b"subtract 2 from both sides", b"stop"]) + b"\n"
    done = chattutor("lesson", "--equations", equations, "--logs", tmp_path / "logs", "--seed", "1", given=given)
    assert (done.returncode, done.stderr) == (0, "")
    session = read_session(_log(tmp_path / "logs"))
    assert session.sound and session.end is not None
    assert (session.end.why, len(session.turns)) == ("stopped", 1 + len(bad) + 2)
    assert not [record.steps for _, record in answered(session)[:-2] if record.steps]  # none of it was judged
    assert session.turns[-2].record.event == "move closer"
    assert max(len(turn.said.text) for turn in session.turns if turn.said) <= 1_000
    assert "\x1b" not in done.stdout and "\x00" not in done.stdout


@pytest.mark.parametrize(
    ("content", "sentences"),
    [
        (b"", ["There is no equation in {path} that can be used."]),
        (b"# only this\n", ["There is no equation in {path} that can be used."]),
        (
            b"3x + 2\n",
            [
                '{path}: Line 1: There is no equals sign here, so this is not an equation. ("3x + 2")',
                "There is no equation in {path} that can be used.",
            ],
        ),
        (b"PK\x03\x04", ["{path} is a spreadsheet or word-processor file; save it as CSV or as plain text first."]),
        (b"3x + 2 = 14\x00\x01", ["{path} is not a text file."]),
        (b"#" * 20_000_001, ["{path} is bigger than 20 megabytes; split it into several files."]),
        (None, ["{path} cannot be read: No such file or directory."]),
    ],
)
def test_equations_that_cannot_be_used_are_clear_lines(
    content: bytes | None, sentences: list[str], tmp_path: Path
) -> None:
    path = tmp_path / "set.txt"
    if content is not None:
        path.write_bytes(content)
    done = chattutor("lesson", "--equations", path, "--logs", tmp_path / "logs")
    assert (done.returncode, done.stdout) == (1, "")
    assert done.stderr == "".join(f"chattutor: {each.format(path=path)}\n" for each in sentences)
    assert not (tmp_path / "logs").exists()


def test_a_line_that_cannot_be_used_is_told_and_the_rest_is_the_lesson(tmp_path: Path) -> None:
    path = tmp_path / "set.csv"
    path.write_bytes("Topic;Equation\r\none;x + y = 3\r\ntwo;3x + 2 = 14\r\n".encode("utf-16"))
    done = chattutor("lesson", "--equations", path, "--logs", tmp_path / "logs", "--seed", "1", given=_given(*SOLVED))
    assert done.returncode == 0
    said = 'Line 2: I can work with one unknown at a time, and this has x and y. ("x + y = 3")'
    assert done.stderr == f"chattutor: {path}: {said}\n"
    assert [task["equation"] for task in _plan(tmp_path / "logs")] == ["3x + 2 = 14"]
    assert read_session(_log(tmp_path / "logs")).turns[-1].record.solved == "3*x + 2 = 14"


def _plan(logs: Path) -> list[dict[str, object]]:
    header = json.loads(_log(logs).read_bytes().splitlines()[0])
    tasks: list[dict[str, object]] = header["plan"]["tasks"]
    return tasks


def test_a_code_that_is_none_is_one_clear_line(tmp_path: Path) -> None:
    done = chattutor("lesson", "--learner", "../me", "--logs", tmp_path / "logs")
    assert done.returncode == 1
    assert done.stderr.startswith("chattutor: A learner's code is 1 to 32 letters")


def test_a_stage_draws_equations_and_records_them(tmp_path: Path) -> None:
    done = chattutor("lesson", "--stage", "6", "--seed", "3", "--logs", tmp_path / "logs", given="stop\n")
    assert done.returncode == 0
    header = json.loads(_log(tmp_path / "logs").read_bytes().splitlines()[0])
    assert [task["stage"] for task in header["plan"]["tasks"]] == [6] * 5
    assert [task.get("exit", False) for task in header["plan"]["tasks"]] == [False] * 4 + [True]
    none = chattutor("lesson", "--stage", "99", "--logs", tmp_path / "logs")
    assert (none.returncode, none.stderr) == (1, "chattutor: There is no stage 99; the stages are 1 to 15.\n")


def test_judging_again_today_what_was_judged_today_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "set.txt"
    path.write_text("0.5n + 1.5 = 4\n2(x - 3) = 4 - x\nx/3 - 2 = 5\n", encoding="utf-8")
    said = ["add 1.5 to both sides", "yes", "undo", "n = 5", "2.5", "subtract 1.5 from the left", "skip",
            "divide both sides by 2", "x - 3 = 2 - x", "x - 3 = 4 - x", "3x = 10", "skip", "stop"]  # fmt: skip
    chattutor("lesson", "--equations", path, "--logs", tmp_path / "logs", "--seed", "2", given=_given(*said))
    steps = [record for _, record in answered(read_session(_log(tmp_path / "logs"))) if record.steps]
    assert len(steps) > 5
    done = chattutor("logs", "judge-again", tmp_path / "logs")
    assert (done.returncode, done.stdout) == (0, "0 turns would be understood or judged differently.\n")


def test_judging_again_lists_a_judgement_that_was_another(equations: Path, tmp_path: Path) -> None:
    said = _given("subtract 2 from both sides", "because it undoes adding 2")
    chattutor("lesson", "--equations", equations, "--logs", tmp_path / "logs", given=said)
    path = _log(tmp_path / "logs")
    path.write_bytes(path.read_bytes().replace(b'"balanced":true', b'"balanced":false', 1))
    done = chattutor("logs", "judge-again", tmp_path / "logs", "--json")
    (change,) = map(json.loads, done.stdout.splitlines())
    assert change["equation"] == "3*x + 2 = 14"
    assert change["changed"] == {"balanced": [False, True]}


@pytest.mark.parametrize(
    ("kept", "changed"), [(b'"said":{', b'"said":{"channel":"smoke",'), (b'"marks":[', b'"marks":["said 1\\u0000",')]
)
def test_judging_again_passes_over_what_was_changed_by_hand(
    equations: Path, tmp_path: Path, kept: bytes, changed: bytes
) -> None:
    said = _given("because 3 times 4 is 12", "subtract 2 from both sides, 14 take 2 is 12", "stop")
    chattutor("lesson", "--equations", equations, "--logs", tmp_path / "logs", given=said)
    path = _log(tmp_path / "logs")
    assert kept in path.read_bytes()
    path.write_bytes(path.read_bytes().replace(kept, changed))
    done = chattutor("logs", "judge-again", tmp_path / "logs")
    assert "Traceback" not in done.stderr and done.stdout.endswith(" differently.\n")


def test_words_of_distress_are_answered_and_not_kept(equations: Path, tmp_path: Path) -> None:
    words = "someone is hurting me at home"
    done = chattutor("lesson", "--equations", equations, "--logs", tmp_path / "logs", given=_given(words, "no", "stop"))
    assert done.returncode == 0
    path = _log(tmp_path / "logs")
    assert words.encode() not in path.read_bytes() and b"hurting" not in path.read_bytes()
    told = read_session(path).turns[1]
    assert told.said is not None
    assert (told.record.event, told.said.text, told.said.withheld) == ("distress", "", True)
    assert chattutor("logs", "replay", path).returncode == 0
    assert "Learner: (words not kept)" in chattutor("logs", "show", path).stdout


def test_of_two_windows_one_goes_on_with_a_lesson(equations: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    _broken_off(equations, logs, *SOLVED[:2])
    words = ("lesson", "--learner", "A1", "--logs", logs)
    with start(*words) as first, start(*words) as second:
        for window in (first, second):  # both are asked before either answers
            assert window.stdout and b"Shall we carry on with it?" in window.stdout.readline()
        assert first.stdin and first.stdout
        first.stdin.write(_given("yes", SOLVED[2]).encode())
        first.stdin.flush()
        while len(list(logs.rglob("*.jsonl"))) < 2:
            time.sleep(0.02)
        out, errors = second.communicate(_given("yes", *SOLVED[2:]).encode(), timeout=60)
        assert (second.returncode, out, errors.decode()) == (1, b"", f"chattutor: {ELSEWHERE}\n")
        beside = chattutor(*words, "--equations", equations, "--go-on", given="hint\n")
        assert (beside.returncode, beside.stdout.splitlines()[0]) == (0, BESIDE)
        first.communicate(_given(*SOLVED[3:]).encode(), timeout=60)
    kept = [read_session(path) for path in logs.rglob("*.jsonl")]
    assert sorted((len(one.turns), one.sound) for one in kept) == [(2, True), (3, True), (6, True)]
    whole = next(one for one in kept if one.header and one.header.continues)
    assert list(replay(whole, logs))[-1].turn.state.solved == (0,)


def test_nothing_to_go_on_with_is_said(equations: Path, tmp_path: Path) -> None:
    done = chattutor("lesson", "--equations", equations, "--logs", tmp_path / "logs", "--go-on", given="stop\n")
    assert (done.returncode, done.stdout.count(f"{NOTHING}\n")) == (0, 1)


def test_many_lessons_and_two_reviews_at_once_lose_nothing(equations: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    lessons = [
        start("lesson", "--learner", f"heron-{number % 2}", "--equations", equations, "--logs", logs, "--new")
        for number in range(4)
    ]
    for process in lessons:
        assert process.stdin and process.stdout
        process.stdin.write(b"subtract 2 from both sides\n")
        process.stdin.flush()
    for process in lessons:
        assert process.stdout
        process.stdout.readline()  # it is under way
    reviews = [start("review", logs, "--json") for _ in range(2)]
    for process in reviews:
        out, errors = process.communicate(timeout=60)
        assert (process.returncode, errors) == (0, b"")
        assert json.loads(out)["files_with_faults"] == []
    for process in lessons:
        process.communicate(b"stop\n", timeout=60)
        assert process.returncode == 0
    sessions = [read_session(path) for path in logs.rglob("*.jsonl")]
    assert len(sessions) == 4
    assert all(session.sound and session.end and len(session.turns) == 3 for session in sessions)


def test_a_full_disk_ends_the_lesson_with_one_clear_line(equations: Path, tmp_path: Path) -> None:
    words = [*PROGRAM, "lesson", "--equations", str(equations), "--logs", str(tmp_path / "logs"), "--seed", "1"]
    program = f"ulimit -f 3; exec {shlex.join(words)}"  # no file may grow past three kilobytes
    done = subprocess.run(
        ["bash", "-c", program], input="hint\n" * 20, capture_output=True, text=True, cwd=ROOT, timeout=60, check=False
    )
    path = _log(tmp_path / "logs")
    assert done.returncode == 1
    assert done.stderr == f"chattutor: {NOT_WRITTEN.format(path=path, reason='File too large')}\n"
    session = read_session(path)
    assert session.sound  # what was written of the line that did not fit is cut off again
    for reply in (reply for turn in session.turns for reply in turn.replies):
        assert reply.text in done.stdout
    assert done.stdout.count("\n") < 20  # no reply was shown that is not in the log
