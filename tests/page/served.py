"""The server as its command runs it, in a process; and a browser that has been let in."""

import re
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from processes import ROOT

ADDRESS = re.compile(r"http://\S+\?key=\S+")
SECONDS = 20
SET = "3x + 2 = 14\n5(n - 2) = 3n + 8\n"  # of its lessons, where nothing else is said


class Served:
    """A running ``chattutor page``. Leave the context to end it."""

    def __init__(self, logs: Path, *words: str | Path, port: int = 0, home: Path | None = None) -> None:
        self._home = home or logs.parent / "home"
        self._words = [*map(str, words), "--logs", str(logs), "--no-browser"]
        self.port = port
        self.logs = logs
        self.code = "heron-03"  # of whoever comes next
        self.start()

    def start(self) -> None:
        """Start it, again on the same port."""
        command = [sys.executable, "-m", "chattutor", "page", "--port", str(self.port), *self._words]
        environment = {"XDG_DATA_HOME": str(self._home), "PATH": "/usr/bin:/bin", "HOME": str(self._home)}
        self.process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, env=environment, text=True)
        assert self.process.stdout is not None
        text = ""
        deadline = time.monotonic() + SECONDS
        while len(found := ADDRESS.findall(text)) < 2 and time.monotonic() < deadline:
            line = self.process.stdout.readline()
            if not line:
                raise AssertionError(f"the server ended: {text}")
            text += line
        self.address, self.teacher = found
        self.origin = self.address.partition("/?")[0]
        self.port = int(self.origin.rpartition(":")[2])

    def text_until(self, mark: str) -> str:
        """The next line of what the command prints that holds this."""
        assert self.process.stdout is not None
        return next(line for line in self.process.stdout if mark in line)

    def kill(self) -> None:
        """End it as a power cut would."""
        self.process.kill()
        self.process.wait(SECONDS)

    def close(self) -> None:
        """End it as Ctrl-C would."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            try:
                self.process.wait(SECONDS)
            except subprocess.TimeoutExpired:
                self.process.kill()
        if self.process.stdout is not None:
            self.process.stdout.close()

    def __enter__(self) -> "Served":
        return self

    def __exit__(self, *error: object) -> None:
        self.close()


def begun(page: Any, served: Served, code: str = "") -> None:
    """Let a browser's page in, as this learner, up to the first question."""
    page.goto(served.address)
    if page.locator("#code").count():
        page.fill("#code", code or served.code)
        page.press("#code", "Enter")
    page.wait_for_selector("html.scripted #question")
    page.wait_for_selector("body[data-linked=true]")


def say(page: Any, text: str) -> None:
    """Type it, and wait for the answer; again where it was too quick for anybody."""
    before = page.locator("body").get_attribute("data-turn")
    answered = (
        "was => document.body.dataset.turn !== was || document.querySelector('#trouble').textContent.includes('quick')"
    )
    while page.locator("body").get_attribute("data-turn") == before:
        page.fill("#words", text)
        page.press("#words", "Enter")
        page.wait_for_function(answered, arg=before)
        page.wait_for_timeout(20)
