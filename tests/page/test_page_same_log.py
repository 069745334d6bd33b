"""One conversation: typed on a terminal, through a pipe and in the page it leaves the same log."""

import os
import pty
import re
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from page_clients import SECRET, options, talk
from processes import PROGRAM, ROOT, chattutor
from starlette.testclient import TestClient

from chattutor.page.server_state import Service
from chattutor.page.tokens import Tokens
from chattutor.session_logs.reader import read_session

pytestmark = pytest.mark.timeout(120)

SAID = [
    "times 3 and then add 2", "hint", "add 2 to both sides", "no", "take 2 off the left", "and off the right too",
    "3x = 16", "what?", "3x = 12", "undo", "3x = 12", "three", "share it by three", "x = 4", "14",
    "multiply by 4", "n + 6 = 20", "where are we", "<b>6</b>", "skip",
]  # fmt: skip
WORDS = ("--learner", "heron-03", "--seed", "7")
BY_CHANCE = re.compile(rb'"(id|created|at|chain)":"[^"]*"')  # times, names of files, and what signs them


def _bytes(folder: Path) -> bytes:
    """The log, to the byte but for what differs each time."""
    (path,) = folder.rglob("*.jsonl")
    assert read_session(path).sound
    return BY_CHANCE.sub(rb'"\1":""', path.read_bytes())


def _by_pipe(equations: Path, folder: Path) -> None:
    given = "".join(f"{text}\n" for text in SAID)
    assert chattutor("lesson", *WORDS, "--equations", equations, "--logs", folder, given=given).returncode == 0


def _on_a_terminal(equations: Path, folder: Path) -> None:
    ours, theirs = pty.openpty()
    command = [*PROGRAM, "lesson", *WORDS, "--equations", str(equations), "--logs", str(folder)]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=theirs, cwd=ROOT) as process:
        os.close(theirs)
        shown = b""
        for place, text in enumerate(SAID, 1):
            shown = _until(ours, b"> ", place, shown)
            os.write(ours, f"{text}\n".encode())
        while process.poll() is None:
            try:
                os.read(ours, 65_536)
            except OSError:
                break
    os.close(ours)


def _until(terminal: int, prompt: bytes, times: int, shown: bytes) -> bytes:
    """What is on the terminal once the prompt has come so often; at a line's beginning, not in what was typed."""
    deadline = time.monotonic() + 60
    while shown.count(b"\n" + prompt) < times and time.monotonic() < deadline:
        shown += os.read(terminal, 65_536)
    return shown


def _in_the_page(equations: Path, folder: Path, let_in: Callable[..., TestClient]) -> None:
    service = Service(options(equations=equations, seed=7), folder, Tokens(SECRET))
    with let_in(of=service) as client, talk(client) as socket:
        seen = socket.receive_json()
        for text in SAID:
            said = {"do": "say", "text": text, "at": seen["turn"], "lesson": seen["lesson"]}
            socket.send_json(said)
            while (answer := socket.receive_json())["what"] == "refused":  # quicker than anybody types
                time.sleep(0.4)
                socket.send_json(said)
            seen = answer


def test_the_three_logs_are_the_same(tmp_path: Path, let_in: Callable[..., TestClient]) -> None:
    equations = tmp_path / "set.txt"
    equations.write_text("3x + 2 = 14\n(n + 6)/4 = 5\n", "utf-8")
    _by_pipe(equations, tmp_path / "pipe")
    _on_a_terminal(equations, tmp_path / "terminal")
    _in_the_page(equations, tmp_path / "page", let_in)
    piped, typed, paged = (_bytes(tmp_path / name) for name in ("pipe", "terminal", "page"))
    assert piped.count(b"\n") > len(SAID)
    assert typed == piped
    assert paged == piped
