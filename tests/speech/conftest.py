"""Sounds and languages the tests of the ears share. Utterances are made here, at test time, by eSpeak NG."""

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
import spoken_moves
from virtual_microphone import VirtualMicrophone, lacking, virtual_microphone

from speech.audio.sound import RATE, Sound
from speech.language import Automaton, compiled
from speech.speakers.espeak import EspeakSpeaker

RECORDINGS = Path(__file__).parent / "recordings"


@pytest.fixture(scope="session")
def say() -> Callable[[str], Sound]:
    """A sentence as an American formant voice says it."""
    speaker = EspeakSpeaker("gmw/en-US")
    if not speaker.availability().ok:
        pytest.skip(speaker.availability().reason)
    return lambda text: speaker.sound(text)


@pytest.fixture(scope="session")
def anything() -> Automaton:
    return compiled(spoken_moves.anything())


@pytest.fixture(scope="session")
def answers() -> Automaton:
    return compiled(spoken_moves.answer())


@pytest.fixture
def noise() -> Sound:
    """Three seconds of loud steady noise."""
    draw = np.random.default_rng(7).standard_normal(3 * RATE) * 0.1
    return Sound(draw.astype(np.float32))


@pytest.fixture(scope="session")
def microphone() -> Iterator[VirtualMicrophone]:
    """One sound server for all tests that speak and listen."""
    absent = lacking()
    if absent:
        pytest.skip(absent)
    with virtual_microphone() as running:
        yield running
