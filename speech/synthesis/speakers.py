"""The voices there are, in order of preference, and what each must do to be one."""

import sys
from typing import Protocol

import numpy as np

from speech.audio.sound import Sound
from speech.registry import Availability, Engine
from speech.synthesis.espeak import EspeakSpeaker
from speech.synthesis.pyttsx3 import DRIVER, Pyttsx3Speaker


class Speaker(Engine, Protocol):
    """Says sentences aloud."""

    def sound(self, text: str, rate: float = 1.0) -> Sound:
        """The sentence as sound, `rate` times as fast as usual. Raises `EngineUnavailable` or `EngineFailed`."""


class SilentSpeaker:
    """A voice that says nothing and works everywhere, for screens only and tests: keeps what it was asked to say in
    `said`; its sounds are empty."""

    name = "silent"

    def __init__(self) -> None:
        self.said: list[str] = []

    def availability(self) -> Availability:
        """Always."""
        return Availability(True, "the screen only, nothing is read aloud")

    def sound(self, text: str, rate: float = 1.0) -> Sound:
        """No sound at all."""
        self.said.append(text)
        return Sound(np.zeros(0, np.float32))


def speakers() -> list[Speaker]:
    """The system's own voice on macOS and Windows, eSpeak NG elsewhere; silence always works."""
    voices: list[Speaker] = [EspeakSpeaker(), Pyttsx3Speaker()]
    if sys.platform in DRIVER:
        voices.reverse()
    return [*voices, SilentSpeaker()]
