"""The microphone and the loudspeaker, through miniaudio, whose wheel needs nothing from the system."""

import ctypes
import importlib
import queue
import sys
import threading
import time
from collections.abc import Callable, Generator, Iterable, Iterator
from types import ModuleType, TracebackType
from typing import Any, Protocol, Self, TypeAlias

import numpy as np

from speech.audio.sound import RATE, Samples, Sound
from speech.errors import AudioError, EngineMissing, NoLoudspeaker, NoMicrophone
from speech.registry import Availability

PERIOD = 40  # milliseconds between two deliveries of a microphone
HELD = 50  # deliveries that the system keeps while Python is busy, as when a language is loaded
AHEAD = 200  # milliseconds of sound handed to the loudspeaker at once, for the same reason
LATENCY = 0.05  # seconds from handing over to sounding, measured 0.01 to 0.05 through PulseAudio
LOOK = 0.02  # seconds between two looks at whether it was played
DEAF = 2.0  # seconds without any delivery after which a device counts as unplugged
GRACE = 0.5  # seconds more, in which a device that was only kept waiting by a busy Python delivers
STORED = 750  # deliveries kept when nobody reads (30 s); older ones are dropped, memory stays bounded

MICROPHONE_ADVICE = "connect a microphone, close other programs that use it, or type instead"
LOUDSPEAKER_ADVICE = "connect loudspeakers or headphones, or read the screen instead"


def _miniaudio() -> ModuleType:
    try:
        return importlib.import_module("miniaudio")
    except ImportError as error:
        raise EngineMissing("the microphone and loudspeaker need a package: pip install miniaudio") from error


def _hushed() -> None:
    """ALSA writes its own complaints, dozens of lines, to the screen; ours is the one line that counts."""
    if sys.platform != "linux" or _quiet:
        return
    try:
        alsa = ctypes.CDLL("libasound.so.2")
        handler = ctypes.CFUNCTYPE(None)(lambda: None)  # called with more arguments, which C allows it to ignore
        alsa.snd_lib_error_set_handler(handler)
    except (OSError, AttributeError):
        return  # no ALSA, no complaints
    _quiet.append(handler)  # kept: the library holds only its address


_quiet: list[Any] = []


def _open(kind: str, miniaudio: ModuleType) -> Any:
    """A capture or playback device; never the one that discards everything, which is always listed."""
    _hushed()
    real = [one for one in miniaudio.Backend if one.name not in ("NULL", "CUSTOM")]
    form = miniaudio.SampleFormat.SIGNED16
    if kind == "capture":
        return miniaudio.CaptureDevice(form, 1, RATE, PERIOD, None, HELD, backends=real, app_name="speech")
    return miniaudio.PlaybackDevice(form, 1, RATE, AHEAD, backends=real, app_name="speech")


class Capture(Protocol):
    """Where sound comes from, a block at a time. Entering and reading raise `NoMicrophone`."""

    def __enter__(self) -> Self:
        """Open it."""

    def close(self) -> None:
        """Let it go; what was not read is dropped."""

    def drop(self) -> None:
        """Forget everything captured so far and not yet read."""

    def read(self) -> Samples:
        """The next block, waiting for it."""

    def blocks(self, seconds: float) -> Iterator[Samples]:
        """Blocks until so many seconds have been captured."""


Player: TypeAlias = "Callable[[Iterator[Sound], threading.Event, Callable[[], None]], object]"
"""Plays sounds one after another until the event is set, and calls the function once it has begun."""


class Microphone:
    """Captured sound as a stream. Use as a context manager; raises `NoMicrophone` on entering."""

    def __init__(self) -> None:
        self._blocks: queue.Queue[bytes] = queue.Queue(STORED)
        self._device: Any = None

    def __enter__(self) -> "Microphone":
        miniaudio = _miniaudio()
        try:
            self._device = _open("capture", miniaudio)
            collector = self._collect()
            next(collector)
            self._device.start(collector)
        except miniaudio.MiniaudioError as error:
            self.close()
            raise NoMicrophone(f"no microphone can be opened: {MICROPHONE_ADVICE}") from error
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Stop capturing; what was not read is dropped."""
        device, self._device = self._device, None
        if device is not None:
            device.close()
        self.drop()

    def _collect(self) -> Generator[None, bytes, None]:
        while True:
            block = yield
            if self._blocks.full():
                self._discard()
            self._blocks.put_nowait(bytes(block))

    def _discard(self) -> None:
        try:
            self._blocks.get_nowait()
        except queue.Empty:
            return  # somebody read it in between

    def drop(self) -> None:
        """Forget everything captured so far and not yet read."""
        while not self._blocks.empty():
            self._discard()

    def read(self) -> Samples:
        """The next block, waiting for it. Raises `NoMicrophone` when none comes: it was unplugged."""
        for patience in (DEAF, GRACE):
            try:
                return Sound.from_pcm(self._blocks.get(timeout=patience)).samples
            except queue.Empty:
                continue
        raise NoMicrophone(f"the microphone went silent, as if unplugged: {MICROPHONE_ADVICE}")

    def blocks(self, seconds: float) -> Iterator[Samples]:
        """Blocks until `seconds` have been captured, for a level meter or a test recording."""
        left = round(seconds * RATE)
        while left > 0:
            block = self.read()
            yield block[:left]
            left -= len(block)


class _Playing:
    """Sound on its way to a loudspeaker, which asks for it piece by piece."""

    def __init__(self) -> None:
        self._data, self._place = bytearray(), 0
        self._ends = 0.0  # when what was handed over will have sounded
        self.asked = 0  # times the device asked
        self.whole = False  # nothing more will be added

    def add(self, sound: Sound) -> None:
        self._data += sound.pcm()

    def over(self) -> bool:
        return self.whole and self._place >= len(self._data) and time.monotonic() > self._ends + LATENCY

    def source(self) -> Generator[bytes, int, None]:
        wanted = yield b""
        while True:
            self.asked += 1
            size = 2 * wanted
            chunk = bytes(self._data[self._place : self._place + size])
            self._place += len(chunk)
            self._ends = max(self._ends, time.monotonic()) + len(chunk) / 2 / RATE
            wanted = yield chunk + bytes(size - len(chunk))


def play(
    sound: Sound | Iterable[Sound],
    interrupted: threading.Event | None = None,
    begun: Callable[[], None] | None = None,
) -> bool:
    """Play to the end, or until `interrupted` is set; True when it was played whole.

    Several sounds follow one another; the first is played while the next is still being made. `begun` is called
    once it has begun. Raises `NoLoudspeaker` when no device can be opened, or when one stops taking sound.
    """
    miniaudio = _miniaudio()
    stop = interrupted or threading.Event()
    parts = iter((sound,) if isinstance(sound, Sound) else sound)
    line, device = _Playing(), None
    if (first := next(parts, None)) is None:
        return True
    line.add(first)
    try:
        device = _open("playback", miniaudio)
        source = line.source()
        next(source)
        device.start(source)
        if begun is not None:
            begun()
        for part in parts:
            line.add(part)
            if stop.is_set():
                return False
        line.whole = True
        return _played(line, stop)
    except miniaudio.MiniaudioError as error:
        raise NoLoudspeaker(f"no loudspeaker can be opened: {LOUDSPEAKER_ADVICE}") from error
    finally:
        if device is not None:
            device.close()


def _played(line: _Playing, stop: threading.Event) -> bool:
    """Wait until it was played. Looks are counted, not seconds: a busy Python looks as seldom as it delivers."""
    looks, asked = 0, line.asked
    while not line.over():
        if stop.wait(LOOK):
            return False
        looks, asked = (0 if line.asked != asked else looks + 1), line.asked
        if looks > (DEAF + GRACE) / LOOK:
            raise NoLoudspeaker(f"the loudspeaker stopped taking sound: {LOUDSPEAKER_ADVICE}")
    return not stop.is_set()


def microphone_availability() -> Availability:
    """Whether a microphone delivers sound here: it is opened and listened to for one delivery."""
    try:
        with Microphone() as microphone:
            level = float(np.abs(microphone.read()).max(initial=0))
    except (AudioError, EngineMissing) as error:
        return Availability(False, str(error))
    return Availability(True, "a microphone is connected" + ("" if level else ", though it delivers pure silence"))


def loudspeaker_availability() -> Availability:
    """Whether a loudspeaker can be opened here; nothing audible is played."""
    try:
        play(Sound(np.zeros(RATE // 20, np.float32)))
    except (AudioError, EngineMissing) as error:
        return Availability(False, str(error))
    return Availability(True, "a loudspeaker is connected")
