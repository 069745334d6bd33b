"""The keyboard, a pipe or a file as the source of what is said; and the plain face, text only."""

import sys
from typing import BinaryIO, TextIO

from dialogue.tutor.core.state import Turn, Utterance

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


PICTURES = frozenset({"scene picture"})


class Plain:
    """The replies, a line each, or (``spaced``) with an empty line after each; every new line of working is one.

    Without ``pictures`` the one picture, which the words beside it describe, is left out for a screen reader.
    """

    def __init__(self, out: TextIO | None = None, spaced: bool = False, pictures: bool = True) -> None:
        self._out = out or sys.stdout
        self._left_out = frozenset[str]() if pictures else PICTURES
        self._end = "\n\n" if spaced else "\n"

    def notice(self, text: str, aloud: str | None = None) -> None:
        """A line; nothing is said aloud here."""
        print(text, file=self._out, flush=True)

    def show(self, turn: Turn) -> None:
        """The replies."""
        for reply in (each for each in turn.replies if each.key not in self._left_out):
            print(reply.text, file=self._out, end=self._end)
        self._out.flush()
