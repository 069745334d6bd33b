"""Worlds in which a lesson is harder to hold: slow, full, and locked disks, and clocks that are set back."""

import os
import resource
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

from killing import Findings, Lesson, forked, latest, look

from chattutor.session_logs import learner_history, writer

SHIM = """
#include <unistd.h>
#include <dlfcn.h>
#define _GNU_SOURCE
int fsync(int file) { int (*real)(int) = dlsym((void *) -1L, "fsync"); usleep(30000); return real(file); }
"""
ANSWERS = ["hint", "subtract 2 from both sides", "I don't know", "x = 9", "why", "repeat"]
ROOMS = (0, 4, 8, 12, 16, 24, 32, 48)  # KiB left on a full disk
DISK = 128  # KiB of it


def slow_disk(random: Random) -> None:
    """Every fsync takes 10 to 60 ms."""
    real, wait = os.fsync, random.uniform(0.01, 0.06)

    def fsync(handle: int) -> None:
        time.sleep(wait)
        real(handle)

    os.fsync = fsync  # type: ignore[assignment]


def piece_by_piece() -> None:
    """The disk takes 200 bytes at a time, so that a kill can leave half a line, as the power going off can."""
    real = os.write

    def write(handle: int, data: bytes) -> int:
        time.sleep(0.001)
        return real(handle, bytes(data[:200]))

    os.write = write  # type: ignore[assignment]


def clock_back(random: Random) -> None:
    """The clock is some days off, and off otherwise in every sitting."""
    off = timedelta(days=random.uniform(-40, 40))

    def now() -> str:
        return (datetime.now(UTC) + off).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    writer.now = now
    learner_history.today = lambda: (datetime.now(UTC) + off).date().toordinal()


def preloaded() -> Iterator[tuple[str, dict[str, str]]]:
    """The same for processes started by a shell, where a compiler, and where faketime is installed."""
    compiler, faketime = shutil.which("cc"), shutil.which("faketime")
    if compiler:
        shim = Path(tempfile.mkdtemp()) / "slow.so"
        subprocess.run([compiler, "-shared", "-fPIC", "-x", "c", "-o", shim, "-"], input=SHIM.encode(), check=True)
        yield "by a shell, slow disk", {"LD_PRELOAD": str(shim)}
    if faketime:
        asked = subprocess.run(
            [faketime, "1 day ago", "env"], capture_output=True, text=True, check=True
        ).stdout.splitlines()
        more = dict(line.split("=", 1) for line in asked if line.startswith(("LD_PRELOAD=", "FAKETIME=")))
        yield "by a shell, clock a day back", more


@contextmanager
def small_disk(options: str) -> Iterator[Path | None]:
    """A file system of its own; None where none may be mounted."""
    with tempfile.TemporaryDirectory() as name:
        done = subprocess.run(["mount", "-t", "tmpfs", "-o", options, "none", name], capture_output=True, check=False)
        try:
            yield Path(name) if done.returncode == 0 else None
        finally:
            if done.returncode == 0:
                subprocess.run(["umount", name], check=True)


def disk_full(folder: Path, found: Findings, few: bool) -> None:
    """Lessons that run out of room: one clear line, the log sound, and resumed once there is room."""
    for room in ROOMS[::3] if few else ROOMS:
        with small_disk(f"size={DISK}k") as disk:
            logs = (disk or folder) / f"full-{room}"
            filler = (disk or folder) / "filler"
            if disk is not None:
                with filler.open("wb") as out:
                    out.write(bytes(max(0, DISK - room - 8) * 1024))
            else:
                found.count("without a mount")
            before = None if disk is not None else _no_file_past(room * 1024)
            _until_refused(logs, f"f{room}", before, found, "No space left on device" if disk else "File too large")
            filler.unlink(missing_ok=True)
            _resumed(logs, f"f{room}", found)


def _no_file_past(most: int) -> Callable[[], None]:
    def before() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    return before


def _words(logs: Path, learner: str) -> list[str]:
    return ["--stage", "6", "--seed", "1", "--logs", str(logs), "--learner", learner]


def _to_the_end(words: list[str], before: Callable[[], None] | None, answers: list[str]) -> tuple[Lesson, int, str]:
    """The lesson, its exit code, and its errors."""
    with tempfile.TemporaryFile() as errors:
        lesson = forked(words, before, errors.fileno())
        lesson.say(*answers)
        code = lesson.end(None)
        errors.seek(0)
        return lesson, code, errors.read().decode()


def _until_refused(logs: Path, learner: str, before: Callable[[], None] | None, found: Findings, why: str) -> None:
    lesson, code, said = _to_the_end(_words(logs, learner), before, ANSWERS * 20)
    one_line = said.startswith("chattutor: ") and said.count("\n") == 1 and why in said
    found.must(code == 1 and one_line, f"{logs}: exit code {code}, {said!r}")
    session = latest(logs, learner, set())
    look(session, lesson, None, found)
    found.count("lessons refused")


def _resumed(logs: Path, learner: str, found: Findings) -> None:
    """With room again the lesson goes on where it was."""
    first = latest(logs, learner, set())
    known = {first.header.id} if first is not None and first.header is not None else set()
    before = None if first is None else look(first, _silent(first), None, Findings())
    lesson, code, said = _to_the_end([*_words(logs, learner), "--go-on"], None, ["hint"])
    second = latest(logs, learner, known)
    found.must(code == 0 and not said and second is not None, f"{logs}: {code} {said!r}")
    if second is not None and second.header is not None:
        goes_on = second.header.continues is not None
        found.must(goes_on == (first is not None and len(first.turns) > 1), f"{second.path}: goes on: {goes_on}")
        look(second, lesson, before if goes_on else None, found)
        found.count("resumed", goes_on)


def _silent(session: object) -> Lesson:
    """A stand-in that showed nothing, where only the state at the end of a log is wanted."""
    return Lesson(0, 0, 0)


def read_only(folder: Path, found: Findings) -> None:
    """A folder in which nothing can be made: one clear line, and no question asked whose answer would be lost."""
    with small_disk("size=64k,ro") as disk:
        if disk is None and os.getuid() == 0:
            found.count("not tried: root may write anywhere, and nothing may be mounted")
            return
        locked = disk or folder / "locked"
        if disk is None:
            locked.mkdir(mode=0o500)
        for logs in (locked, locked / "logs"):
            lesson, code, said = _to_the_end(_words(logs, "r"), None, ANSWERS)
            wanted = f"chattutor: No session log can be made in {logs / 'r'}: "
            found.must(code == 1 and said.startswith(wanted) and said.count("\n") == 1, f"{code} {said!r}")
            found.must("--logs" in said, said)
            found.must(b"?" not in lesson.shown, lesson.shown.decode())
            found.count("lessons refused")
