"""What a recogniser must do to be one. Each adapter in this folder is a file."""

from typing import TYPE_CHECKING, Protocol

from speech.hearings import HearingResult
from speech.registry import Engine

if TYPE_CHECKING:
    from speech.audio.sound import Sound
    from speech.language import Language


class Recogniser(Engine, Protocol):
    """Turns a sound into words of a language."""

    @property
    def held_to_sentences(self) -> bool:
        """Whether it hears only sentences of the language's automaton, which then must be built."""

    def listen_for(self, language: "Language") -> None:
        """Listen for this language from now on, but for sentences with words that it does not know. Raises
        `EngineUnavailable`, also where it knows none, or `EngineFailed`."""

    def hear(self, sound: "Sound") -> HearingResult:
        """Recognise one utterance; a sound without speech is `Silence`, trouble is `Failed`. Never raises
        a `SpeechError`."""
