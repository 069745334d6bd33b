"""The engines there are, in order of preference: what `choose` is given, unless the caller knows better."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from speech.recognition.moonshine.moonshine import MoonshineRecogniser
from speech.recognition.pocketsphinx import PocketsphinxRecogniser
from speech.recognition.recogniser import Recogniser
from speech.recognition.vosk import VoskRecogniser


def recognisers(
    model: Path | None = None,
    environment: Mapping[str, str] | None = None,
    folders: Iterable[Path] | None = None,
    one_speaker: bool = False,
) -> list[Recogniser]:
    """Moonshine is held to no list and hears best; vosk comes next, where the user put a model for it; pocketsphinx
    is there wherever its wheel is, and gets used to `one_speaker`."""
    return [MoonshineRecogniser(), VoskRecogniser(model, environment, folders), PocketsphinxRecogniser(one_speaker)]


def second_recogniser(first: Recogniser, one_speaker: bool = False) -> Recogniser | None:
    """One that errs independently of the first: pocketsphinx beside vosk."""
    second = PocketsphinxRecogniser(one_speaker)
    return second if first.name == "vosk" and second.availability().ok else None
