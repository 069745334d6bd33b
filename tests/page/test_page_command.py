"""The command: what it says when it cannot serve, that it ends at once, and that it needs its packages."""

import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest
from page_learner import PageLearner
from processes import ROOT, chattutor
from served import Served

pytestmark = pytest.mark.timeout(120)

PAGE = ("page", "--no-browser", "--port", "0")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--learner", "a b"), "A learner's code is 1 to 32 letters"),
        (("--stage", "99"), "There is no stage 99"),
        (("--equations", "nowhere.txt"), "nowhere.txt"),
        (("--key", "nowhere.csv"), "nowhere.csv cannot be read"),
        (("--class", "--at", "203.0.113.7"), "203.0.113.7"),
        (("--class", "--at", "127.0.0.2", "--certificate", "nowhere.pem"), "The certificate nowhere.pem and its key"),
        (("--class", "--at", "203.0.113.7", "--encrypt"), "203.0.113.7"),
    ],
)
def test_what_cannot_be_served_is_told_in_one_line(words: tuple[str, ...], told: str) -> None:
    done = chattutor(*PAGE, *words)
    assert done.returncode == 1 and done.stdout == ""
    assert told in done.stderr and done.stderr.count("\n") == 1 and done.stderr.startswith("chattutor: ")


def test_a_port_that_is_taken_is_told() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        done = chattutor("page", "--no-browser", "--port", str(port))
    assert done.returncode == 1
    assert done.stderr.startswith(f"chattutor: The page cannot be served at 127.0.0.1:{port}: Address already in use.")


def test_without_its_packages_it_says_which() -> None:
    program = "import sys; sys.modules['uvicorn'] = None; from chattutor.cli import main; sys.exit(main())"
    done = subprocess.run([sys.executable, "-c", program, *PAGE], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert done.stderr == 'chattutor: The page needs more packages: pip install "chattutor[page]" (uvicorn)\n'


@pytest.mark.parametrize("way", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_at_once_with_windows_open_and_the_lesson_can_be_resumed(tmp_path: Path, way: int) -> None:
    with Served(tmp_path / "logs", "--stage", "6", "--seed", "1") as served:
        learner = PageLearner(served.address, "heron-03")
        learner.reach()
        learner.send("hint")
        learner.answer()
        began = time.monotonic()
        served.process.send_signal(way)
        served.process.wait(10)
        assert time.monotonic() - began < 2.5
        lesson = learner.lesson
        served.start()
        learner.reach()
        assert (learner.lesson["lesson"], learner.lesson["turn"]) == (lesson["lesson"], lesson["turn"])
        learner.close()
