"""Every file from outside is looked at first: ordinary, of a size that fits, in little memory, with one clear line."""

import os
import resource
import stat
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest
from logs import in_bytes, turn_line, written
from processes import ROOT, chattutor

from chattutor.common.exits import CannotGoOn
from chattutor.common.files import write_whole
from chattutor.lesson.session_setup import MOST_RESUMED
from chattutor.lesson.voice.fetching import fetch
from chattutor.session_logs.saved import plan_record
from chattutor.session_logs.schema import SCHEMA, Header
from dialogue.algebra.equation import read_equation
from dialogue.tutor import Plan, Task, Utterance, begin, step

MOST_MEMORY = 300_000  # KiB
MEASURED = """
import sys
from chattutor.__main__ import main
try:
    code = main(sys.argv[1:])
except SystemExit as left:
    code = left.code
peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM"))  # since this program began
print("KiB", peak.split()[1], file=sys.stderr)
sys.exit(code)
"""


def measured(*words: object) -> tuple[int, str, int]:
    """Exit code, the lines on standard error, and the most memory in KiB."""
    command = [sys.executable, "-c", MEASURED, *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=120, check=False)
    *lines, last = done.stderr.splitlines()
    return done.returncode, "\n".join(lines), int(last.split()[1])


@pytest.mark.parametrize("content", [b"," * 15_000_000, b"a,\n" * 5_000_000, b"\n" * 19_000_000, b"x=1;" * 4_000_000])
def test_a_file_of_commas_or_lines_takes_little_memory(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "set.txt"
    path.write_bytes(content)
    _, said, memory = measured("equations", "check", path)
    assert memory < MOST_MEMORY
    assert "Traceback" not in said


def test_work_of_one_long_line_takes_little_memory(tmp_path: Path) -> None:
    path = tmp_path / "work.txt"
    path.write_bytes(b"," * 15_000_000)
    code, said, memory = measured("mark", path)
    assert (code, memory < MOST_MEMORY) == (1, True)
    assert said == f"chattutor: There is no work in {path} that can be marked."


READ = [
    ("equations", "check", "FILE"),
    ("mark", "FILE"),
    ("lesson", "--logs", "IN/logs", "--equations", "FILE"),
    ("logs", "roster", "FILE", "--logs", "IN/logs", "--key", "IN/key.csv"),
    ("voice", "fetch", "--from", "FILE"),
]


@pytest.mark.parametrize("words", READ, ids=lambda words: " ".join(words))
@pytest.mark.parametrize("kind", ["pipe", "device", "folder"])
def test_what_is_no_ordinary_file_is_refused_at_once(words: tuple[str, ...], kind: str, tmp_path: Path) -> None:
    path = tmp_path / "given.zip"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    else:
        path = Path("/dev/zero")
    named = [str(path) if word == "FILE" else word.replace("IN", str(tmp_path)) for word in words]
    before = time.monotonic()
    done = chattutor(*named)
    assert done.returncode == 1 and time.monotonic() - before < 30
    assert "not an ordinary file" in done.stderr or "Is a directory" in done.stderr or "is there but" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "names", [[f"m/{n}" for n in range(60_000)], ["m/" + "d/" * 5_000 + "x"]], ids=["many", "deep"]
)
def test_a_zip_of_many_or_deep_folders_is_not_unpacked(names: list[str], tmp_path: Path) -> None:
    path = tmp_path / "model.zip"
    with zipfile.ZipFile(path, "w") as file:
        for name in names:
            file.writestr(name, b"")
    with pytest.raises(CannotGoOn, match="more files or folders than any model"):
        fetch(str(path), tmp_path / "models", lambda _: None)
    assert list((tmp_path / "models").iterdir()) == []


def test_a_lesson_of_ten_thousand_turns_holds_nobody_up(tmp_path: Path) -> None:
    plan = Plan((Task(read_equation("3x + 2 = 14")),), 1)
    turn = begin(plan)
    lines = [turn_line(0, "2026-01-01T09:00:00.000Z", turn)]
    for number in range(1, 9_990):
        said = Utterance("why")
        turn = step(turn.state, said) if number < 9 else turn
        lines.append(turn_line(number, "2026-01-01T09:00:00.000Z", turn, said))
    header = Header(SCHEMA, "a" * 16, "A1", "2026-01-01T09:00:00.000Z", "0", plan_record(plan))
    home = tmp_path / "A1"
    home.mkdir()
    (home / "long.jsonl").write_bytes(in_bytes(header, lines, None))
    words = ("lesson", "--learner", "A1", "--logs", tmp_path, "--go-on")
    fresh, long = 0.0, 0.0
    for folder in (tmp_path / "none", tmp_path):
        began = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        done = chattutor(*words[:-2], folder, "--go-on", given="stop\n")
        spent = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - began
        fresh, long = long, spent
    assert "is too long to carry on with. We start a new one." in done.stdout
    assert long - fresh < 1.0
    assert MOST_RESUMED == 500


@pytest.mark.parametrize("name", ["CHATTUTOR_LOGS", "CHATTUTOR_VOSK_MODEL"])
def test_an_environment_variable_is_never_printed_raw(name: str) -> None:
    command = [sys.executable, "-m", "chattutor", "logs", "list"]
    environment = os.environ | {name: "/tmp/\x1b[2Jx"}  # noqa: S108 - a name that is never opened
    done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=environment, check=False)
    assert (done.returncode, done.stdout) == (2, "")
    assert (
        done.stderr == f"chattutor: The environment variable {name} has control characters in it; set it to a name.\n"
    )


def test_every_new_folder_of_logs_is_for_its_owner_only(tmp_path: Path) -> None:
    written(tmp_path / "a" / "b" / "logs")
    modes = {stat.S_IMODE((tmp_path / each).stat().st_mode) for each in ("a", "a/b", "a/b/logs", "a/b/logs/A1")}
    assert modes == {0o700}


FULL = """
import resource, signal, sys
from chattutor.__main__ import main
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), int(sys.argv[1])))
sys.exit(main(sys.argv[2:]))
"""


@pytest.mark.parametrize(
    ("room", "words"),
    [
        (0, ("lesson", "--stage", "6", "--logs", "new")),
        (10, ("logs", "export", "A1", "--logs", "logs", "--to", "a.zip")),
        (10, ("review", "logs", "--html", "class.html")),
        (10, ("equations", "print", "set.txt", "--to", "sheet.html")),
    ],
    ids=lambda words: words[0] if isinstance(words, tuple) else "",
)
def test_a_full_disk_leaves_no_empty_file(room: int, words: tuple[str, ...], tmp_path: Path) -> None:
    written(tmp_path / "logs")
    (tmp_path / "set.txt").write_text("3x + 2 = 14\n", encoding="utf-8")
    before = {path for path in tmp_path.rglob("*") if path.is_file()}
    command = [sys.executable, "-c", FULL, str(room), *words]
    environment = os.environ | {"PYTHONPATH": str(ROOT), "XDG_DATA_HOME": str(tmp_path / "home")}
    done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, env=environment, check=False, input="")
    assert done.returncode == 1, done.stderr
    assert "Traceback" not in done.stderr and done.stderr.count("\n") <= 2
    new = {path for path in tmp_path.rglob("*") if path.is_file()} - before
    assert {path.name for path in new} <= {"sessions.list", ".sessions.lock"}


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    write_whole(target, b"before")
    limit = resource.getrlimit(resource.RLIMIT_FSIZE)
    code = (
        "import resource, signal, sys; from pathlib import Path; from chattutor.common.files import write_whole\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN); resource.setrlimit(resource.RLIMIT_FSIZE, (3, 3))\n"
        "try:\n    write_whole(Path(sys.argv[1]), b'afterwards')\nexcept OSError:\n    print('full')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(target)], capture_output=True, text=True, cwd=ROOT, check=True
    )
    assert done.stdout == "full\n" and limit == resource.getrlimit(resource.RLIMIT_FSIZE)
    assert target.read_bytes() == b"before" and list(tmp_path.iterdir()) == [target]
