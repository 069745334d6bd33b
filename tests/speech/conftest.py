"""Sounds and languages the tests of the recognisers share. Utterances are made here, at test time, by eSpeak NG."""

import subprocess
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import spoken_moves
from virtual_microphone import VirtualMicrophone, lacking, virtual_microphone

from speech.audio.sound import RATE, Sound
from speech.language import Language, compiled, only
from speech.synthesis.espeak import EspeakSpeaker

RECORDINGS = Path(__file__).parent / "recordings"


VOICE = "gmw/en-US"
SPEAK = """
import sys
from speech.synthesis.espeak import EspeakSpeaker
sys.stdout.buffer.write(EspeakSpeaker(sys.argv[1]).sound(sys.argv[2]).samples.tobytes())
"""


@pytest.fixture(scope="session")
def say() -> Callable[[str], Sound]:
    """A sentence as an American formant voice says it, in a process of its own.

    eSpeak NG keeps something of the voice it spoke with before: the same sentence sounds otherwise after another voice.
    """
    speaker = EspeakSpeaker(VOICE)
    if not speaker.availability().ok:
        pytest.skip(speaker.availability().reason)

    @cache
    def said(text: str) -> Sound:
        spoken = subprocess.run([sys.executable, "-c", SPEAK, VOICE, text], capture_output=True, check=True)
        return Sound(np.frombuffer(spoken.stdout, dtype=np.float32))

    return said


@pytest.fixture(scope="session")
def anything() -> Language:
    return only(compiled(spoken_moves.anything()))


@pytest.fixture(scope="session")
def answers() -> Language:
    return only(compiled(spoken_moves.answer()))


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
