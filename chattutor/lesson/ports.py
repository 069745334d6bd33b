"""What a lesson needs of the outside: a source of what was said, and a face that shows the replies."""

from collections.abc import Callable
from typing import Protocol, TypeAlias

from dialogue.tutor.core.state import Turn, Utterance

TellLine: TypeAlias = Callable[[str], None]  # hears a line for the person at the screen


class UtteranceSource(Protocol):
    """Where the learner's words come from."""

    def listen(self) -> Utterance | None:
        """The next thing said, empty for silence; None once nothing more can come."""


class Face(Protocol):
    """Where the replies go."""

    def notice(self, text: str, aloud: str | None = None) -> None:
        """Show something that is not part of the lesson; a face with a voice says ``aloud``, or else all of it."""

    def show(self, turn: Turn) -> None:
        """Show the turn: the board where it changed, and the replies."""
