"""A recogniser that remembers: the same sound after the same question is recognised once, and read from a file later.

For fitting and for benchmarks run several times over: recognising takes minutes, and what is made of it changes more
often. A change of the sayings is noticed, a change of the recogniser's code is not: then empty the folder.
"""

import hashlib
import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

from speech.audio.sound import Sound
from speech.hearings import Heard, HearingResult, Hypothesis, Silence
from speech.language import Language
from speech.recognition.recogniser import Recogniser
from speech.registry import Availability


class Remembering:
    """Any recogniser that gets used to nobody, with a folder to remember in."""

    held_to_sentences = False

    def __init__(self, recogniser: Recogniser, folder: Path) -> None:
        self._recogniser, self._folder = recogniser, folder
        self._language: Language | None = None
        self._listening: Language | None = None
        self.name = recogniser.name
        folder.mkdir(parents=True, exist_ok=True)
        self._names: dict[int, tuple[Language, str]] = {}

    def availability(self) -> Availability:
        """Of the recogniser."""
        return self._recogniser.availability()

    def listen_for(self, language: Language) -> None:
        """Only once something new is to be recognised is the language loaded."""
        self._language = language

    def hear(self, sound: Sound) -> HearingResult:
        """Look it up, or recognise it and write it down."""
        assert self._language is not None
        path = self._folder / f"{self._key(sound, self._language)}.json"
        if path.exists():
            return remembered(json.loads(path.read_text("utf-8")))
        if self._listening is not self._language:
            self._recogniser.listen_for(self._language)
            self._listening = self._language
        event = self._recogniser.hear(sound)
        path.write_text(json.dumps(asdict(event) if isinstance(event, Heard) else None), "utf-8")
        return event

    def _key(self, sound: Sound, language: Language) -> str:
        if id(language) not in self._names:
            said = repr((language.sayings.texts(), [sorted(one) for one in language.sayings.corpus.alike]))
            self._names[id(language)] = (language, hashlib.sha256(said.encode()).hexdigest())
        _, name = self._names[id(language)]
        return hashlib.sha256(sound.samples.tobytes() + f"{self.name} {name}".encode()).hexdigest()[:32]


def remembered(written: dict[str, Any] | None) -> HearingResult:
    """A hearing with hypotheses, from what was written down; silence where nothing was heard."""
    if written is None:
        return Silence()
    dictation = written["dictation"]
    return Heard(
        written["text"],
        written["confidence"],
        hypotheses=tuple(hypothesis(one) for one in written["hypotheses"]),
        dictation=hypothesis(dictation) if dictation else None,
        seconds=written["seconds"],
    )


def hypothesis(written: dict[str, Any]) -> Hypothesis:
    """One of them."""
    return Hypothesis(written["text"], written["score"], written["sound"], tuple(written["scores"]))
