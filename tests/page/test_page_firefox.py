"""The same page in Firefox, driven by WebDriver BiDi (W3C) over its socket: a lesson, its pictures, its formulas."""

import itertools
import json
import re
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from served import Served
from websockets.sync.client import connect

FIREFOX = next((path for name in ("firefox-esr", "firefox") if (path := shutil.which(name))), "")
pytestmark = [
    pytest.mark.skipif(not FIREFOX, reason="needs Firefox (Debian: firefox-esr)"),
    pytest.mark.timeout(180),
]
LISTENING = re.compile(r"WebDriver BiDi listening on (ws://\S+)")


class Firefox:
    """One window."""

    def __init__(self, address: str) -> None:
        self._line = connect(f"{address}/session", max_size=None, open_timeout=30).__enter__()
        self._numbers = itertools.count(1)
        self("session.new", capabilities={})
        self._context = self("browsingContext.getTree")["contexts"][0]["context"]

    def __call__(self, method: str, **what: Any) -> Any:
        """A command, and its result."""
        number = next(self._numbers)
        self._line.send(json.dumps({"id": number, "method": method, "params": what}))
        while True:
            found = json.loads(self._line.recv(60))
            if found.get("id") == number:
                assert found["type"] == "success", found
                return found["result"]

    def go(self, address: str) -> None:
        """Load a page."""
        self("browsingContext.navigate", context=self._context, url=address, wait="complete")

    def js(self, expression: str) -> Any:
        """The value of an expression, a string, number or boolean."""
        found = self("script.evaluate", expression=expression, target={"context": self._context}, awaitPromise=True)
        assert found["type"] == "success", found
        return found["result"].get("value")

    def until(self, expression: str) -> None:
        """Wait for it to be true."""
        deadline = time.monotonic() + 30
        while not self.js(expression):
            assert time.monotonic() < deadline, expression
            time.sleep(0.05)

    def type(self, text: str) -> None:
        """Press the keys, and Enter."""
        keys = [{"type": kind, "value": key} for key in (*text, "\ue007") for kind in ("keyDown", "keyUp")]
        actions = [{"type": "key", "id": "keys", "actions": keys}]
        self("input.performActions", context=self._context, actions=actions)


@pytest.fixture
def firefox(tmp_path: Path) -> Iterator[Firefox]:
    """A running Firefox with a profile of its own."""
    command = [FIREFOX, "--headless", "--remote-debugging-port", "0", "--profile", str(tmp_path / "profile")]
    (tmp_path / "profile").mkdir()
    with subprocess.Popen(command, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True) as process:
        assert process.stderr is not None
        address = next(found[1] for line in process.stderr if (found := LISTENING.search(line)))
        try:
            yield Firefox(address)
        finally:
            process.terminate()


def test_a_lesson_in_firefox(firefox: Firefox, served: Served) -> None:
    firefox.go(served.address)
    firefox.until("document.activeElement.id === 'code'")
    firefox.type("heron-03")
    firefox.until("document.documentElement.classList.contains('scripted') && document.activeElement.id === 'words'")
    for turn, text in enumerate(("take 2 off the left", "take 2 off the right as well", "3x = 12"), 1):
        firefox.type(text)
        firefox.until(f"document.body.dataset.turn === '{turn}'")
        if turn == 1:
            assert firefox.js("document.querySelector('.balance').dataset.lower") == "right"
            tilt = "getComputedStyle(document.querySelector('.balance .turning')).transform"
            assert firefox.js(f"{tilt}.startsWith('matrix')")
    assert firefox.js("document.querySelector('#live').textContent.includes('hree x, equals twelve')")
    edges = (
        "[...document.querySelectorAll('#working .equals')].map(each => Math.round(each.getBoundingClientRect().left))"
    )
    assert firefox.js(f"new Set({edges}).size === 1 && {edges}.length > 1")  # one column of equals signs
    assert firefox.js("document.querySelector('#working mn').getBoundingClientRect().width > 0")
    assert firefox.js("document.documentElement.scrollWidth <= innerWidth")
    served.kill()
    firefox.until("document.body.classList.contains('lost')")
    served.start()
    firefox.until("!document.body.classList.contains('lost')")
