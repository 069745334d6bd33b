"""The engines there are, in order of preference: what `choose` is given, unless the caller knows better."""

import sys
from collections.abc import Iterable, Mapping
from pathlib import Path

from speech.ports import Recogniser, Speaker
from speech.recognisers.hama import HamaRecogniser
from speech.recognisers.pocketsphinx import PocketsphinxRecogniser
from speech.recognisers.vosk import VoskRecogniser
from speech.speakers.espeak import EspeakSpeaker
from speech.speakers.pyttsx3 import DRIVER, Pyttsx3Speaker
from speech.speakers.silent import SilentSpeaker


def recognisers(
    model: Path | None = None,
    environment: Mapping[str, str] | None = None,
    folders: Iterable[Path] | None = None,
    one_speaker: bool = False,
) -> list[Recogniser]:
    """vosk hears best, wherever the user put a model for it; pocketsphinx needs no model from outside, and gets used
    to `one_speaker`."""
    return [VoskRecogniser(model, environment, folders), PocketsphinxRecogniser(one_speaker)]


def second_ear(first: Recogniser, one_speaker: bool = False) -> Recogniser | None:
    """An ear that errs independently of the first: pocketsphinx beside vosk; beside pocketsphinx hama, where
    that optional package is installed."""
    second: Recogniser = PocketsphinxRecogniser(one_speaker) if first.name == "vosk" else HamaRecogniser()
    return second if second.availability().ok else None


def speakers() -> list[Speaker]:
    """The system's own voice on macOS and Windows, eSpeak NG elsewhere; silence always works."""
    voices: list[Speaker] = [EspeakSpeaker(), Pyttsx3Speaker()]
    if sys.platform in DRIVER:
        voices.reverse()
    return [*voices, SilentSpeaker()]
