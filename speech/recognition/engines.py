"""The engines there are, in order of preference: what `choose` is given, unless the caller knows better."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from speech.recognition.hama import HamaRecogniser
from speech.recognition.pocketsphinx import PocketsphinxRecogniser
from speech.recognition.recogniser import Recogniser
from speech.recognition.vosk import VoskRecogniser


def recognisers(
    model: Path | None = None,
    environment: Mapping[str, str] | None = None,
    folders: Iterable[Path] | None = None,
    one_speaker: bool = False,
) -> list[Recogniser]:
    """vosk hears best, wherever the user put a model for it; pocketsphinx needs no model from outside, and gets used
    to `one_speaker`."""
    return [VoskRecogniser(model, environment, folders), PocketsphinxRecogniser(one_speaker)]


def second_recogniser(first: Recogniser, one_speaker: bool = False) -> Recogniser | None:
    """One that errs independently of the first: pocketsphinx beside vosk; beside pocketsphinx hama, where
    that optional package is installed."""
    second: Recogniser = PocketsphinxRecogniser(one_speaker) if first.name == "vosk" else HamaRecogniser()
    return second if second.availability().ok else None
