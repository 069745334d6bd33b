"""A learner's browser without a browser: the page's own rules over the web socket, for many at once and for mishaps."""

import http.client
import json
import time
from urllib.parse import urlencode, urlsplit

from websockets.exceptions import WebSocketException
from websockets.sync.client import ClientConnection, connect

GONE = (WebSocketException, OSError, TimeoutError)
SECONDS = 20.0


def cookies(address: str, code: str) -> str:
    """The cookies of somebody let in by this address, as this learner."""
    parts = urlsplit(address)
    origin = f"{parts.scheme}://{parts.netloc}"
    found: dict[str, str] = {}
    for method, path, body in (
        ("GET", f"{parts.path}?{parts.query}", ""),
        ("POST", "/who", urlencode({"code": code})),
    ):
        line = http.client.HTTPConnection(parts.netloc, timeout=SECONDS)
        header = {"Cookie": "; ".join(f"{name}={value}" for name, value in found.items()), "Origin": origin}
        line.request(method, path, body, header | {"Content-Type": "application/x-www-form-urlencoded"})
        answer = line.getresponse()
        answer.read()
        for each in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = each.partition(";")[0].partition("=")
            found[name] = value
        line.close()
    return "; ".join(f"{name}={value}" for name, value in found.items())


class PageLearner:
    """What ``link.js`` does: says each thing at the turn that is shown, and again until it is known to be taken."""

    def __init__(self, address: str, code: str) -> None:
        self._cookies = cookies(address, code)
        parts = urlsplit(address)
        self._origin, self._host = f"{parts.scheme}://{parts.netloc}", parts.netloc
        self._line: ClientConnection | None = None
        self.lesson: dict[str, object] = {}
        self.given_back: list[str] = []

    def reach(self, seconds: float = SECONDS) -> None:
        """Come back until the server is there and has shown the lesson."""
        deadline = time.monotonic() + seconds
        while True:
            try:
                self._line = connect(
                    f"ws://{self._host}/lesson/talk", origin=self._origin,  # type: ignore[arg-type]  # a str will do
                    additional_headers={"Cookie": self._cookies}, open_timeout=SECONDS, compression=None,
                ).__enter__()  # fmt: skip
                self._see()
            except GONE:
                if time.monotonic() > deadline:
                    raise
                time.sleep(0.05)
            else:
                return

    def _see(self) -> None:
        assert self._line is not None
        while True:
            found = json.loads(self._line.recv(SECONDS))
            if found["what"] == "lesson":
                self.lesson = found
                return
            if found["what"] == "refused":
                raise TimeoutError(found["why"])

    def send(self, text: str) -> dict[str, object]:
        """Say it, and do not wait; what was sent."""
        said = {"do": "say", "text": text, "at": self.lesson["turn"], "lesson": self.lesson["lesson"]}
        assert self._line is not None
        self._line.send(json.dumps(said))
        return said

    def cut(self) -> None:
        """Break the connection, with whatever is on it."""
        if self._line is not None:
            self._line.socket.close()
            self._line = None

    def answer(self) -> None:
        """Wait for the lesson after what was said."""
        self._see()

    def settle(self, said: dict[str, object]) -> bool:
        """After coming back: whether what was said was taken; said again where it was not. A lesson that is over takes
        nothing: AssertionError."""
        shown = self.lesson
        while shown["lesson"] == said["lesson"] and shown["turn"] == said["at"]:
            assert not shown["over"], f"the lesson was over before {said}"
            self.send(str(said["text"]))
            self._see()
            shown = self.lesson
        last = shown["said"]
        return shown["lesson"] == said["lesson"] and isinstance(last, dict) and last["text"] == said["text"]

    def close(self) -> None:
        """Leave."""
        if self._line is not None:
            self._line.close()
