"""The ports: what an engine must do to be one. Each adapter in `recognisers/` and `speakers/` is a file."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from speech.events import Event, Hearing

if TYPE_CHECKING:
    from speech.audio.sound import Sound
    from speech.language import Automaton


@dataclass(frozen=True, slots=True)
class Availability:
    """Whether an engine works here; `reason` says in words why not (and what would mend it), or what it uses."""

    ok: bool
    reason: str


class Engine(Protocol):
    """What the registry chooses among."""

    @property
    def name(self) -> str:
        """A short name, as asked for on a command line."""

    def availability(self) -> Availability:
        """Whether it works here. Looks without loading; never raises, prints or exits."""


class Recogniser(Engine, Protocol):
    """Turns a sound into words of a language."""

    @property
    def unknown_words(self) -> frozenset[str]:
        """The words of the language listened for that it does not know; it goes on without their sentences."""

    def listen_for(self, language: "Automaton") -> None:
        """Listen for these sentences from now on. Raises `EngineUnavailable` or `EngineFailed`."""

    def hear(self, sound: "Sound") -> Event:
        """Recognise one utterance; a sound without speech is `Silence`, trouble is `Failed`. Never raises
        a `SpeechError`."""


class Listener(Engine, Protocol):
    """Where a learner's turns come from: a microphone with ears, or a keyboard."""

    def listen(self, language: "Automaton") -> Hearing:
        """Wait for one turn. Trouble is a `Failed` event."""


class Speaker(Engine, Protocol):
    """Says sentences aloud."""

    def sound(self, text: str, rate: float = 1.0) -> "Sound":
        """The sentence as sound, `rate` times as fast as usual. Raises `EngineUnavailable` or `EngineFailed`."""
