"""A voice that says nothing and works everywhere: the last choice, and the one for screens only and tests."""

import numpy as np

from speech.audio.sound import Sound
from speech.registry import Availability


class SilentSpeaker:
    """Keeps what it was asked to say in `said`; its sounds are empty."""

    name = "silent"

    def __init__(self) -> None:
        self.said: list[str] = []

    def availability(self) -> Availability:
        """Always."""
        return Availability(True, "the screen alone, nothing is said aloud")

    def sound(self, text: str, rate: float = 1.0) -> Sound:
        """No sound at all."""
        self.said.append(text)
        return Sound(np.zeros(0, np.float32))
