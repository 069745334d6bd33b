"""The keyboard, a pipe or a file as ears: one line read is one thing said."""

import sys
from typing import BinaryIO

from dialogue.tutor.core.state import Utterance

MAX_SAID = 1_000  # characters of a line that are kept; a long spoken sentence has some 200
PIECE = 65_536
PROMPT = "> "


def cleaned(raw: bytes) -> str:
    """A line as text fit to be understood, logged and shown: no control characters, no bytes that are not UTF-8."""
    text = raw.decode("utf-8", "replace")[: MAX_SAID * 2]
    return "".join(each if each.isprintable() else " " for each in text).strip()[:MAX_SAID]


class Typed:
    """Lines of a stream; a prompt is shown only where a person types."""

    def __init__(self, source: BinaryIO | None = None, prompt: bool = False) -> None:
        self._source = source or sys.stdin.buffer
        self._prompt = prompt

    def listen(self) -> Utterance | None:
        """One line; past the bound its rest is read and dropped."""
        if self._prompt:
            print(PROMPT, end="", flush=True)
        line = piece = self._source.readline(PIECE)
        while piece and not piece.endswith(b"\n"):
            piece = self._source.readline(PIECE)
        return Utterance(cleaned(line)) if line else None
