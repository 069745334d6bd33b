"""What a lesson needs of the outside: a source of what was said, and a face that shows the replies."""

from collections.abc import Callable, Sequence
from typing import Protocol, TypeAlias

from dialogue.turn_record import Given, Record
from dialogue.tutor.core.state import State, Task, Turn, Utterance

TellLine: TypeAlias = Callable[[str], None]  # hears a line for the person at the screen


class UtteranceSource(Protocol):
    """Where the learner's words come from."""

    def listen(self) -> Utterance | None:
        """The next thing said, empty for silence; None once nothing more can come."""


class Chooses(Protocol):
    """Who gives the equations that a lesson did not begin with."""

    def heard(self, record: Record) -> None:
        """A turn of the lesson."""

    def next(self, tasks: Sequence[Task], state: State | None = None) -> tuple[Task | None, Given]:
        """The equation after these of the lesson, None where there is none; and what the log keeps of the choice."""


class Face(Protocol):
    """Where the replies go."""

    def notice(self, text: str, aloud: str | None = None) -> None:
        """Show something that is not part of the lesson; a face with a voice says ``aloud``, or else all of it."""

    def show(self, turn: Turn) -> None:
        """Show the turn: the board where it changed, and the replies."""
