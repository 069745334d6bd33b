"""eSpeak NG, called directly: every sentence in memory, in order, without files, threads or events.

pyttsx3 starts eSpeak with a thread of its own; measured, one sentence in fifteen came out at the rate of
another and some came out empty. Here eSpeak runs synchronously and is told not to end the process.
Functions and constants: speak_lib.h of eSpeak NG 1.52, github.com/espeak-ng/espeak-ng.
"""

import ctypes
import threading
from typing import Any

import numpy as np

from speech.audio.sound import Sound, resampled
from speech.errors import EngineFailed, EngineMissing
from speech.registry import Availability
from speech.synthesis.espeak_library import ADVICE, Library, any_library

WORDS_A_MINUTE = 150  # slower than the usual 175, for a learner who is thinking; a choice
SLOWEST, FASTEST = 80, 450  # words a minute that eSpeak takes
SYNCHRONOUS = 2  # espeak_AUDIO_OUTPUT: AUDIO_OUTPUT_SYNCHRONOUS
PIECE = 1000  # milliseconds of sound that it hands over at once: few pieces, few waits for Python
DONT_EXIT = 0x8000  # espeakINITIALIZE_DONT_EXIT
RATE_PARAMETER = 1  # espeakRATE
UTF8, END_PAUSE = 1, 0x1000  # espeakCHARS_UTF8, espeakENDPAUSE
_CALLBACK = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)
_LOCK = threading.Lock()  # eSpeak has one state a process


class _Espeak:
    """The library, started once a process."""

    def __init__(self, library: Library) -> None:
        self.origin = library.origin
        self._blocks: list[bytes] = []
        self._callback = _CALLBACK(self._collect)  # kept: the library holds only its address
        self._dll = ctypes.CDLL(library.path)
        data = library.data.encode() if library.data else None
        self.rate = int(self._dll.espeak_Initialize(SYNCHRONOUS, PIECE, data, DONT_EXIT))
        if self.rate <= 0:
            raise EngineFailed(f"eSpeak NG cannot start, its data may be damaged: {ADVICE}")
        self._dll.espeak_SetSynthCallback(self._callback)

    def _collect(self, wave: Any, count: int, events: Any) -> int:
        if wave and count > 0:
            self._blocks.append(ctypes.string_at(wave, 2 * count))
        return 0

    def say(self, text: str, voice: str, words_a_minute: int) -> bytes:
        self._blocks.clear()
        if self._dll.espeak_SetVoiceByName(voice.encode()) != 0:
            raise EngineFailed(f"eSpeak NG has no voice {voice!r}: choose gmw/en or gmw/en-US")
        self._dll.espeak_SetParameter(RATE_PARAMETER, words_a_minute, 0)
        data = text.encode() + b"\0"
        flags = UTF8 | END_PAUSE
        result = self._dll.espeak_Synth(data, ctypes.c_size_t(len(data)), 0, 0, 0, flags, None, None)
        if result != 0:
            raise EngineFailed("eSpeak NG could not say a sentence: read the screen, or start again")
        return b"".join(self._blocks)


_started: list[_Espeak] = []


def started() -> bool:
    """Whether this process has started eSpeak."""
    return bool(_started)


class EspeakSpeaker:
    """Speaks with eSpeak NG; `voice` is one of its names, such as gmw/en (British) or gmw/en-US."""

    name = "espeak"

    def __init__(self, voice: str = "gmw/en", library: Library | None = None) -> None:
        self._voice, self._library = voice, library

    def availability(self) -> Availability:
        """Whether the library and its data are here; nothing is loaded."""
        library = self._library or any_library()
        return Availability(isinstance(library, Library), library if isinstance(library, str) else library.origin)

    def sound(self, text: str, rate: float = 1.0) -> Sound:
        """The sentence as sound."""
        pace = min(FASTEST, max(SLOWEST, round(WORDS_A_MINUTE * rate)))
        with _LOCK:
            engine = self._engine()
            data = engine.say(text, self._voice, pace)
        samples = np.frombuffer(data, dtype="<i2").astype(np.float32) / np.float32(32768)
        return Sound(resampled(samples, engine.rate))

    def _engine(self) -> _Espeak:
        if not _started:
            library = self._library or any_library()
            if isinstance(library, str):
                raise EngineMissing(f"there is no voice: {library}")
            try:
                _started.append(_Espeak(library))
            except (OSError, AttributeError) as error:
                raise EngineMissing(f"eSpeak NG does not fit this system: {ADVICE}") from error
        return _started[0]
