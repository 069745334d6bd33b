"""Thirty lessons and two reviewers at once on one folder: nothing is lost, and nobody waits for anybody."""

import json
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from processes import ROOT, chattutor, start

from chattutor.session_logs.folder import sessions
from chattutor.session_logs.notes import read_notes
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.verifying import Checked, verify

LESSONS, TURNS, NOTES = 30, 40, 10
WRITES = """
import sys, time
from pathlib import Path
from chattutor.session_logs.schema import Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.turn_record import Answered, JudgedStep, Opened, PlanRecord, ReplyRecord, Said, TaskRecord
plan = PlanRecord((TaskRecord("3x + 2 = 14", 6),), 1)
log = SessionLog(Path(sys.argv[1]), new_header(sys.argv[2], plan, Settings(), "0"))
wrong = JudgedStep({}, "3*x + 2 = 14", False, errors=("sign-drop",))
longest = 0.0
for number in range(int(sys.argv[3])):
    said = Said("take 2 off") if number else None
    record = Answered("move broken", 0, steps=(wrong,)) if number else Opened()
    began = time.monotonic()
    log.write(record, said, (ReplyRecord("k", "Yes", "Yes"),))
    longest = max(longest, time.monotonic() - began)
    time.sleep(0.01)
log.end("finished")
print(log.header.id, longest)
"""
TEACHES = """
import sys
from pathlib import Path
from chattutor.review.class_reading import class_json
from chattutor.session_logs.folder import sessions
from chattutor.session_logs.notes import add_note, add_override

folder, name = Path(sys.argv[1]), sys.argv[2]
for number in range(int(sys.argv[3])):
    code = f"L{number % 30:02}"
    (folder / code).mkdir(exist_ok=True)
    add_note(folder, code, f"{name} {number}")
    found = [one for one in sessions(folder / code) if len(one.turns) > 2]
    if found:
        add_override(folder, found[0], 1, "right")
    class_json(folder, many=1)
print("done")
"""


def test_thirty_lessons_and_two_reviewers_at_once_lose_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "logs"
    folder.mkdir()

    def run(code: str, *words: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-c", code, str(folder), *words]
        return subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False, timeout=200)

    with ThreadPoolExecutor(LESSONS + 2) as pool:
        teachers = [pool.submit(run, TEACHES, name, str(NOTES)) for name in ("one", "two")]
        lessons = [pool.submit(run, WRITES, f"L{number:02}", str(TURNS)) for number in range(LESSONS)]
        done = [lesson.result() for lesson in lessons]
        taught = [teacher.result() for teacher in teachers]
    assert [each.stderr for each in (*done, *taught)] == [""] * (LESSONS + 2)
    written = {each.stdout.split()[0] for each in done}
    found = {session.header.id: session for session in sessions(folder) if session.header is not None}
    assert set(found) == written
    assert all(session.sound and len(session.turns) == TURNS and session.end for session in found.values())
    said = sorted(text for number in range(LESSONS) for _, text in read_notes(folder, f"L{number:02}").notes)
    assert said == sorted(f"{name} {number}" for name in ("one", "two") for number in range(NOTES))
    assert sum(read_notes(folder, f"L{number:02}").unread for number in range(LESSONS)) == 0
    checked = Checked()
    assert list(verify(folder, checked)) == []
    page = json.loads(chattutor("review", folder, "--json").stdout)
    assert (page["sessions"], page["turns"], page["files_with_faults"]) == (LESSONS, LESSONS * (TURNS - 1), [])


def test_a_suspended_lesson_holds_up_nobody_and_goes_on(tmp_path: Path) -> None:
    words = ("lesson", "--plain", "--new", "--stage", "1", "--seed", "3", "--logs", tmp_path)
    lesson = start(*words, "--learner", "A1")
    assert lesson.stdin is not None and lesson.stdout is not None
    while b"?" not in lesson.stdout.readline():
        pass  # until the first question is shown, which is in the log by then
    lesson.send_signal(19)  # SIGSTOP
    try:
        other = chattutor(*words, "--learner", "B2", given="hint\nstop\n")
        assert other.returncode == 0
        began = time.monotonic()
        review = chattutor("review", tmp_path, "--json")
        assert (review.returncode, json.loads(review.stdout)["files_with_faults"]) == (0, [])
        assert time.monotonic() - began < 60
        left = chattutor("logs", "erase", "A1", "--logs", tmp_path, "--yes")
        assert "end it first" in left.stderr
    finally:
        lesson.send_signal(18)  # SIGCONT
    lesson.communicate(b"hint\nstop\n", timeout=60)
    (path,) = (tmp_path / "A1").glob("*.jsonl")
    session = read_session(path)
    assert session.sound and session.end is not None and session.end.why == "stopped"
