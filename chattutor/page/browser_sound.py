"""A browser's microphone and loudspeaker, at the other end of a web socket, as those of this computer.

Sound comes in as 16-bit samples at 16 kHz and goes out as WAV, a file a sentence; the browser says when each began to
sound and when it had ended. Everything here is called from the lesson's own thread, but for what is named otherwise.
"""

import io
import queue
import threading
import time
import wave
from collections.abc import Callable, Iterator
from types import TracebackType
from typing import Any, Self

from speech.audio.sound import RATE, Samples, Sound
from speech.errors import NoLoudspeaker, NoMicrophone

STORED = 1_500  # blocks kept when nobody reads; older ones are dropped
DEAF = 5.0  # seconds without any sound from the browser
PATIENCE = 4.0  # seconds more than a sound is long, after which a browser plays none
LOOK = 0.02  # seconds
GONE = "the page's microphone is off"
SILENT = "the page plays no sound"


class BrowserMicrophone:
    """What the browser captures."""

    def __init__(self) -> None:
        self._blocks: queue.Queue[bytes | None] = queue.Queue(STORED)
        self._ended = False

    def put(self, data: bytes | None) -> None:
        """A block from the browser, or None at its end; from any thread."""
        self._ended = self._ended or data is None
        if self._blocks.full():
            self._discard()
        self._blocks.put_nowait(data)

    def _discard(self) -> None:
        try:
            self._blocks.get_nowait()
        except queue.Empty:
            return  # somebody read it in between

    def __enter__(self) -> Self:
        if self._ended:
            raise NoMicrophone(GONE)
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Nothing: the browser closes it."""

    def drop(self) -> None:
        """Forget everything captured so far and not yet read."""
        while not self._blocks.empty():
            self._discard()

    def read(self) -> Samples:
        """The next block, waiting for it. Raises `NoMicrophone` where none comes."""
        try:
            block = None if self._ended else self._blocks.get(timeout=DEAF)
        except queue.Empty:
            block = None
        if block is None:
            raise NoMicrophone(GONE)
        return Sound.from_pcm(block).samples

    def blocks(self, seconds: float) -> Iterator[Samples]:
        """Blocks until so many seconds have been captured."""
        left = round(seconds * RATE)
        while left > 0:
            block = self.read()
            yield block[:left]
            left -= len(block)


class BrowserLoudspeaker:
    """Plays in the browser; ``send`` hands it a message or a WAV file."""

    def __init__(self, send: Callable[[dict[str, Any] | bytes], None]) -> None:
        self._send = send
        self._number = 0
        self._began: set[int] = set()
        self._played: set[int] = set()
        self._heard = threading.Event()  # something new from the browser
        self._ended = threading.Event()

    def told(self, what: object, number: object) -> None:
        """What the browser says of a sound; from any thread."""
        if isinstance(number, int) and what in {"began", "played"}:
            (self._began if what == "began" else self._played).add(number)
            self._heard.set()

    def end(self) -> None:
        """The browser has gone; from any thread."""
        self._ended.set()
        self._heard.set()

    def play(self, sounds: Iterator[Sound], interrupted: threading.Event, begun: Callable[[], None]) -> bool:
        """Play them one after another; True when they were played whole. Raises `NoLoudspeaker`."""
        seconds, first = 0.0, self._number + 1
        for sound in sounds:
            if interrupted.is_set():
                break
            self._number += 1
            seconds += sound.seconds
            self._send({"what": "sound", "id": self._number})
            self._send(as_wav(sound))
        if self._number >= first and not interrupted.is_set():
            self._wait(lambda: first in self._began or first in self._played, PATIENCE, interrupted)
            begun()
            self._wait(lambda: self._number in self._played, seconds + PATIENCE, interrupted)
        self._began.clear()
        self._played.clear()
        if interrupted.is_set():
            self._send({"what": "hush"})
        return not interrupted.is_set()

    def _wait(self, true: Callable[[], bool], seconds: float, interrupted: threading.Event) -> None:
        until = time.monotonic() + seconds
        while not true() and not interrupted.is_set():
            if self._ended.is_set() or time.monotonic() > until:
                raise NoLoudspeaker(SILENT)
            self._heard.wait(LOOK)
            self._heard.clear()


def as_wav(sound: Sound) -> bytes:
    """A WAV file: one channel, 16 bits, 16 kHz."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setparams((1, 2, RATE, 0, "NONE", "not compressed"))
        file.writeframes(sound.pcm())
    return out.getvalue()
