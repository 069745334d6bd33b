"""The same kills of ``lesson --voice``: a sound server without hardware, each answer typed or spoken into it.

One lesson in ten is started as a shell would; the others are forked from this process, which has the packages loaded,
but no model, no language, and no sound.

What is spoken is a recorded voice of flite's; what the tutor makes of it is not looked at here, only that all of it is
logged. Silence is an answer too, which the lesson logs by itself.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

from killing import Findings, Lesson, forked, started

import speech.audio.endpoint
import speech.recognition.engines
import speech.recognition.hands_free  # noqa: F401 - loaded before anything is forked
from chattutor.lesson.voice import by_voice  # noqa: F401

sys.path[:0] = [str(Path(__file__).parents[1] / name) for name in ("speech", "lesson/voice")]

from spoken_lesson import spoken  # noqa: E402 - the tests' own helpers are found only now
from virtual_microphone import VirtualMicrophone, lacking, virtual_microphone  # noqa: E402

WORDS = ("four", "add three to both sides", "hint", "yes", "I don't know", "twelve")
BY_A_SHELL = 0.1
IMPATIENT = 0.9  # press Enter at once, so that what is said first is not heard out
LONGEST = 3.0  # seconds after something was spoken, within which the lesson is killed
Kill = Callable[[Callable[[list[str]], Lesson], float, Callable[[Lesson, Random], None]], None]


def lessons(kill: Kill, folder: Path, found: Findings) -> None:
    """Kill lessons by voice; ``kill`` is told how to start one, how long that takes, and how to speak to it."""
    absent = lacking()
    if absent:
        found.count(f"not tried, {absent}")
        return
    folder.mkdir()
    with virtual_microphone() as microphone:
        random = Random(1)

        def start(words: list[str]) -> Lesson:
            if random.random() < BY_A_SHELL:
                found.count("started by a shell")
                lesson = started(["--voice", *words], microphone.environment)
            else:
                lesson = forked(["--voice", *words])  # the sound server is in this process's environment
            if random.random() < IMPATIENT:
                lesson.press_enter()
            return lesson

        def speak(lesson: Lesson, random: Random) -> None:
            _speak(microphone, folder, found, lesson, random)

        kill(start, _time_to_begin(start, folder), speak)


def _time_to_begin(start: Callable[[list[str]], Lesson], folder: Path) -> float:
    began = time.monotonic()
    lesson = start(["--logs", str(folder / "first"), "--learner", "x", "--stage", "6"])
    lesson.wait_for(lambda shown: b"?\n" in shown)
    took = time.monotonic() - began
    lesson.end()
    return took


def _speak(microphone: VirtualMicrophone, folder: Path, found: Findings, lesson: Lesson, random: Random) -> None:
    """Say something aloud, and wait for a random while: for the recogniser, the log, or the tutor's voice."""
    playing = microphone.say(spoken(folder, random.choice(WORDS), "slt"), wait=False)
    found.count("spoken")
    lesson.read_for(random.uniform(0, LONGEST))
    playing.terminate()
    playing.wait(10)
