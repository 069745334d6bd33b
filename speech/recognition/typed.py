"""The keyboard, a pipe or a file: a listener that works everywhere. One line is one turn."""

from typing import TextIO

from speech.hearings import Decision, Failed, Heard, Hearing, Silence
from speech.language import Language
from speech.registry import Availability

LONGEST = 1000  # characters; the rest of a longer line is read and dropped


class TypedListener:
    """Reads lines from a text stream. After its end every turn is `Failed`, and `ended` is true."""

    name = "typed"

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.ended = False

    def availability(self) -> Availability:
        """Always, until the stream ends."""
        return Availability(not self.ended, "the input has ended" if self.ended else "the keyboard always works")

    def listen(self, language: Language | None = None) -> Hearing:
        """The next line. What is typed is not limited to the language: there is nothing to mishear."""
        try:
            line = self._stream.readline()
        except (UnicodeDecodeError, ValueError):  # ValueError: the stream was closed
            line = "\ufffd\n" if not self._stream.closed else ""
        if not line:
            self.ended = True
            return Hearing(Failed("the input has ended"), Decision.ASK_AGAIN, engine=self.name)
        text = line.strip()[:LONGEST].strip()
        if not text:
            return Hearing(Silence(), Decision.ASK_AGAIN, engine=self.name)
        return Hearing(Heard(text), Decision.ACCEPT, "typed", self.name)
