"""Where an utterance begins and ends: an energy gate that follows the room.

A learner who hesitates must not be cut off: a pause ends a turn sooner where what was said is a whole answer, which a
recogniser has to tell, than after a fragment. In steady noise no pause may ever come: a maximum length ends the turn.
"""

from collections import deque
from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from speech.audio.sound import FRAME, Samples, Sound, levels


class Heed(Enum):
    """What the endpointer makes of the sound so far."""

    WAITING = "waiting"  # nothing said yet
    SPEAKING = "speaking"
    ENDED = "ended"  # an utterance is complete: take it
    QUIET = "quiet"  # nothing was said for as long as we wait


@dataclass(frozen=True, slots=True)
class Pauses:
    """Seconds. `after` ends a turn that is a whole answer, `fragment` any (an endpointer by itself knows no difference
    and takes `after`); `longest` cuts it, `patience` without speech is told as silence."""

    after: float = 0.5
    fragment: float = 1.75
    longest: float = 12.0
    patience: float = 10.0
    before: float = 0.3  # kept from before the first loud frame: soft first consonants
    least: float = 0.12  # of loud frames, that a click is no turn

    def __post_init__(self) -> None:
        if not (0 < self.after < self.longest and self.patience > 0 and self.before >= 0 and self.least > 0):
            raise ValueError("pauses must be above 0, and the pause shorter than the longest turn")


ABOVE = 9.0  # decibels above the background at which speech begins ...
STAYS = 6.0  # ... and below which a frame is a pause
FALL, RISE = 0.1, 0.002  # how fast the background estimate follows, a frame: quickly down, slowly up
FLOOR = -60.0  # decibels below full scale: what is quieter is never speech
REACH = 40  # frames; the first 0.4 s only measure the room unless something is clearly loud


@dataclass
class Endpointer:
    """Feed samples at 16 kHz as they come; read what it makes of them; take the utterance when it ended."""

    pauses: Pauses = field(default_factory=Pauses)
    _rest: Samples = field(default_factory=lambda: np.zeros(0, np.float32))
    _kept: deque[Samples] = field(default_factory=deque)
    _background: float | None = None
    _frames: int = 0
    _loud: int = 0
    _paused: int = 0
    _speaking: bool = False

    def feed(self, samples: Samples) -> Heed:
        """Take samples; say where the utterance stands. After `ENDED` call `take` or `reset`, after
        `QUIET` `wait_on` or `reset`."""
        joined = np.concatenate([self._rest, samples])
        whole = len(joined) // FRAME * FRAME
        self._rest = joined[whole:]
        state = self._state()
        for place, level in enumerate(levels(joined[:whole])):
            state = self._frame(joined[place * FRAME : (place + 1) * FRAME], float(level))
            if state in (Heed.ENDED, Heed.QUIET):
                break  # what follows in this block is at most one capture period of background
        return state

    def _frame(self, frame: Samples, level: float) -> Heed:
        background = self._follow(level)
        self._kept.append(frame)
        self._frames += 1
        loud = level > max(FLOOR, background + (STAYS if self._speaking else ABOVE))
        self._loud = self._loud + 1 if loud else (self._loud if self._speaking else max(0, self._loud - 1))
        self._paused = 0 if loud else self._paused + 1
        if not self._speaking:
            self._speaking = self._loud >= self.pauses.least * 100
            if not self._speaking and len(self._kept) > (self.pauses.before + self.pauses.least) * 100 + self._loud:
                self._kept.popleft()
        return self._state()

    def _follow(self, level: float) -> float:
        if self._background is None:
            self._background = min(level, -50.0)  # before a word is heard a room is taken to be quiet
        pace = FALL if level < self._background else RISE
        if self._frames < REACH and level < -35:
            pace = FALL
        self._background += pace * (level - self._background)
        return self._background

    def _state(self) -> Heed:
        if self._speaking:
            length = len(self._kept) >= self.pauses.longest * 100
            return Heed.ENDED if length or self._paused >= self.pauses.after * 100 else Heed.SPEAKING
        beginning = self._loud > 0  # perhaps a word: who has just begun to speak is not silent
        return Heed.QUIET if self._frames >= self.pauses.patience * 100 and not beginning else Heed.WAITING

    @property
    def paused(self) -> float:
        """Seconds since the last loud frame of an utterance; 0 before one began."""
        return self._paused / 100 if self._speaking else 0.0

    @property
    def loud(self) -> float:
        """Seconds of an utterance that were loud; 0 before one began."""
        return self._loud / 100 if self._speaking else 0.0

    def loud_frames(self, samples: Samples) -> NDArray[np.bool_]:
        """Which frames of other samples would count as speech in this room; nothing is fed."""
        background = -50.0 if self._background is None else self._background
        return np.asarray(levels(samples[: len(samples) // FRAME * FRAME]) > max(FLOOR, background + ABOVE))

    def so_far(self) -> Sound:
        """A copy of the utterance so far."""
        return Sound(np.concatenate(list(self._kept)) if self._kept else np.zeros(0, np.float32))

    def take(self) -> Sound:
        """The utterance, and ready for the next; the estimate of the room is kept."""
        sound = self.so_far()
        self.reset()
        return sound

    def wait_on(self) -> None:
        """After `QUIET`: wait as long again, with what was captured just before kept, where a word may begin."""
        self._frames = 0

    def reset(self) -> None:
        """Forget what was heard, not how loud the room is."""
        self._kept.clear()
        self._rest = np.zeros(0, np.float32)
        self._frames = self._loud = self._paused = 0
        self._speaking = False
