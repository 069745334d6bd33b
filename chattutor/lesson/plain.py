"""The plain face: text only, for pipes, files and screen readers. No colour, no drawing, no pauses."""

import sys
from typing import TextIO

from dialogue.tutor.state import Turn


class Plain:
    """The replies, a line each; among them is every new line of working."""

    def __init__(self, out: TextIO | None = None) -> None:
        self._out = out or sys.stdout

    def notice(self, text: str) -> None:
        """A line."""
        print(text, file=self._out, flush=True)

    def show(self, turn: Turn) -> None:
        """The replies."""
        for reply in turn.replies:
            print(reply.text, file=self._out)
        self._out.flush()
