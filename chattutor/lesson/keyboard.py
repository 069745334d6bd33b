"""The keyboard beside the microphone: lines are taken as they are typed, whatever else is going on."""

import queue
import threading
import time
from collections.abc import Callable

from chattutor.lesson.ports import UtteranceSource
from dialogue.tutor.core.state import Utterance


class Keyboard:
    """Lines typed while a lesson listens and speaks; ``pressed`` is called at each, from another thread."""

    def __init__(self, lines: UtteranceSource, pressed: Callable[[], None]) -> None:
        self._lines, self._pressed = lines, pressed
        self._typed: queue.Queue[Utterance | None] = queue.Queue()
        self.ended = False
        threading.Thread(target=self._read, name="keyboard", daemon=True).start()

    def _read(self) -> None:
        while True:
            said = self._lines.listen()
            self._typed.put(said)
            if said is None:
                return
            self._pressed()

    def waiting(self) -> bool:
        """Whether a line waits to be taken."""
        return not self._typed.empty() and not self.ended

    def take(self, seconds: float = 0.0) -> Utterance | None:
        """A line that says something, waiting for it so long; None where there is none. An empty line only
        interrupts."""
        until = time.monotonic() + seconds
        while not self.ended:
            try:
                said = self._typed.get(seconds > 0, max(0.001, until - time.monotonic()))
            except queue.Empty:
                return None
            if said is None:
                self.ended = True
            elif said.text:
                return said
            elif seconds:
                return None
        return None
