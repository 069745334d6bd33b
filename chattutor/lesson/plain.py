"""The plain face: text only, for pipes, files and screen readers. No colour, no drawing, no pauses."""

import sys
from typing import TextIO

from dialogue.tutor.core.state import Turn

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
