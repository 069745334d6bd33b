"""The voices there are, in order of preference, and what each must do to be one. Each adapter here is a file."""

import sys
from typing import TYPE_CHECKING, Protocol

from speech.registry import Engine
from speech.synthesis.espeak import EspeakSpeaker
from speech.synthesis.pyttsx3 import DRIVER, Pyttsx3Speaker
from speech.synthesis.silent import SilentSpeaker

if TYPE_CHECKING:
    from speech.audio.sound import Sound


class Speaker(Engine, Protocol):
    """Says sentences aloud."""

    def sound(self, text: str, rate: float = 1.0) -> "Sound":
        """The sentence as sound, `rate` times as fast as usual. Raises `EngineUnavailable` or `EngineFailed`."""


def speakers() -> list[Speaker]:
    """The system's own voice on macOS and Windows, eSpeak NG elsewhere; silence always works."""
    voices: list[Speaker] = [EspeakSpeaker(), Pyttsx3Speaker()]
    if sys.platform in DRIVER:
        voices.reverse()
    return [*voices, SilentSpeaker()]
