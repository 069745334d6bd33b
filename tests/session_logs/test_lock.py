"""One window a lesson, on every system: a lock seen from another process, and let go with the process that held it."""

import subprocess
import sys
from pathlib import Path
from threading import Timer

from filelock import FileLock
from logs import written
from processes import ROOT

from chattutor.session_logs import lock
from chattutor.session_logs.folder import in_another_window, unfinished

HOLDS = """
import sys
from pathlib import Path
from chattutor.session_logs.schema import Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.turn_record import Answered, Opened, PlanRecord, Said
log = SessionLog(Path(sys.argv[1]), new_header("A1", PlanRecord(), Settings(), "0"))
log.write(Opened())
log.write(Answered("hint"), Said("hint"))
print("held", flush=True)
sys.stdin.read()
"""


def test_a_log_is_held_although_another_window_looks_at_it_meanwhile(tmp_path: Path) -> None:
    path = tmp_path / "log"
    looking = FileLock(lock.beside(path), thread_local=False)
    looking.acquire()
    Timer(0.05, looking.release).start()
    held = lock.hold(path)
    assert held is not None and lock.in_use(path)
    lock.let_go(held)
    assert not lock.in_use(path) and list(tmp_path.iterdir()) == []


def test_a_lock_that_a_killed_lesson_left_is_taken_away(tmp_path: Path) -> None:
    lock.beside(tmp_path / "log").touch()
    assert not lock.in_use(tmp_path / "log") and list(tmp_path.iterdir()) == []


def test_a_lesson_in_another_process_is_seen_until_it_is_killed(tmp_path: Path) -> None:
    command = [sys.executable, "-c", HOLDS, str(tmp_path)]
    with subprocess.Popen(command, stdin=-1, stdout=-1, text=True, cwd=ROOT) as process:
        assert process.stdout is not None and process.stdout.readline() == "held\n"
        (path,) = tmp_path.rglob("*.jsonl")
        assert lock.in_use(path) and in_another_window(tmp_path, "A1") and unfinished(tmp_path, "A1") is None
        assert path.read_bytes().startswith(b'{"chattutor":"session"')  # a log that is being written can be read
        process.kill()
    assert not lock.in_use(path) and not in_another_window(tmp_path, "A1")
    found = unfinished(tmp_path, "A1")
    assert found is not None and found.path == path


def test_one_process_at_a_time_in_a_folder(tmp_path: Path) -> None:
    order: list[str] = []
    with lock.alone(tmp_path):
        other = FileLock(tmp_path / lock.FOLDER, thread_local=False)
        Timer(0.05, lambda: (other.acquire(), order.append("second"), other.release())).start()
        order.append("first")
        assert (tmp_path / lock.FOLDER).exists()
    with lock.alone(tmp_path):
        pass
    assert order[0] == "first"


def test_a_lock_is_no_log_and_no_finding(tmp_path: Path) -> None:
    log = written(tmp_path, end=None)
    assert [path.name for path in sorted(log.path.parent.iterdir()) if not lock.is_lock(path)] == [
        log.path.name, "sessions.list",
    ]  # fmt: skip
    log.end("stopped")
