"""pyttsx3: the voices of macOS and Windows; elsewhere eSpeak NG, of the system or from a wheel.

On Linux the adapter that calls eSpeak directly is the better one: see there what was measured.

Its own playing fails silently without a device and its first run may return before anything is written, so
sentences are saved to a file, the event that says it is finished is waited for, and we play the sound.
"""

import contextlib
import ctypes
import importlib.util
import os
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

import numpy as np

from speech.audio.sound import Sound, read_audio
from speech.errors import EngineFailed, EngineMissing, UnreadableAudio
from speech.registry import Availability
from speech.synthesis import espeak
from speech.synthesis.espeak_library import Library, bundled, installed

WORDS_A_MINUTE = 150  # pyttsx3 speaks 200, fast for a learner who is thinking; a choice, adjustable by rate
DRIVER = {"darwin": "nsss", "win32": "sapi5"}  # elsewhere eSpeak
PATIENCE = 10.0  # seconds a sentence may take to be made; usual are hundredths
_ONE_AT_A_TIME = threading.Lock()  # eSpeak is initialised once a process and cannot do two sentences at once


class Pyttsx3Speaker:
    """Speaks through pyttsx3. `bundled` takes eSpeak from its wheel even where the system has one."""

    name = "pyttsx3"

    def __init__(self, bundled: bool = False) -> None:
        self._bundled = bundled
        self._engine: Any = None
        self._finished: list[bool] = []

    def availability(self) -> Availability:
        """Whether the packages and, outside macOS and Windows, an eSpeak library are here; nothing is loaded."""
        if importlib.util.find_spec("pyttsx3") is None:
            return Availability(False, "its package is not installed: pip install pyttsx3")
        if sys.platform in DRIVER:
            return Availability(True, "the voice of the system")
        library = self._library()
        return Availability(isinstance(library, Library), library if isinstance(library, str) else library.origin)

    def _library(self) -> Library | str:
        return bundled() if self._bundled else installed() or bundled()

    def sound(self, text: str, rate: float = 1.0) -> Sound:
        """The sentence as sound."""
        if not text.strip():
            return Sound(np.zeros(0, np.float32))  # pyttsx3 fails on an empty sentence
        with _ONE_AT_A_TIME, tempfile.TemporaryDirectory(prefix="voice-") as folder:
            engine = self._loaded()
            path = Path(folder) / "sentence.wav"
            self._finished.clear()
            engine.setProperty("rate", round(WORDS_A_MINUTE * rate))
            engine.save_to_file(text, str(path))
            try:
                engine.runAndWait()
            except RuntimeError as error:
                self._engine = None
                raise EngineFailed("the voice stopped: read the screen, or start again") from error
            return self._when_written(path)

    def _when_written(self, path: Path) -> Sound:
        until = time.monotonic() + PATIENCE
        while not (self._finished and path.exists() and path.stat().st_size):
            if time.monotonic() > until:
                raise EngineFailed("the voice made no sound: read the screen, or start again")
            time.sleep(0.005)
        try:
            return read_audio(path)
        except UnreadableAudio as error:
            raise EngineFailed("the voice made a sound that cannot be played: read the screen instead") from error

    def _loaded(self) -> Any:
        if self._engine is None:
            state = self.availability()
            if not state.ok:
                raise EngineMissing(f"there is no voice: {state.reason}")
            library = self._library()
            if sys.platform not in DRIVER and isinstance(library, Library):
                if espeak.started():  # one process, one eSpeak: starting it twice ends the process
                    raise EngineMissing("eSpeak is already used directly: use the voice espeak instead")
                _load_bundled(library)
            self._engine = _started()
            self._engine.connect("finished-utterance", self._note)
        return self._engine

    def _note(self, name: str | None = None, completed: bool = False) -> None:
        self._finished.append(completed)


def _started() -> Any:
    import pyttsx3

    driver = DRIVER.get(sys.platform, "espeak")
    try:
        engine = pyttsx3.init(driver)
    except (RuntimeError, ImportError, OSError) as error:
        raise EngineMissing("there is no voice: pip install espeakng-loader, or install eSpeak NG") from error
    with contextlib.suppress(KeyError):  # it prints "Audio saved to ..." where our own output may be JSON
        vars(sys.modules[f"pyttsx3.drivers.{driver}"])["print"] = lambda *said, **options: None
    return engine


def _load_bundled(library: Library) -> None:
    """Make eSpeak findable to pyttsx3, which knows only the paths of system copies."""
    if library.data is None:
        return
    os.environ["ESPEAK_DATA_PATH"] = library.data  # eSpeak reads it when it starts; pyttsx3 passes no path
    try:
        ctypes.CDLL(library.path, mode=ctypes.RTLD_GLOBAL)
    except OSError as error:
        raise EngineMissing("eSpeak NG does not fit this system: install the system's own eSpeak NG") from error
