"""What a learner may say or do at any moment of a lesson by voice, through the microphone."""

import time
from pathlib import Path
from typing import Any

import pytest
from spoken_lesson import SpokenLesson, loud_seconds, spoken, spoken_lesson, until
from virtual_microphone import VirtualMicrophone

from speech.synthesis.espeak import EspeakSpeaker

EQUATION = ("--stage", "6", "--seed", "1", "--plain")
PACE = 2.5  # soon said


def event(turn: dict[str, Any]) -> str:
    return str(turn["record"].get("event"))


def seconds(turn: dict[str, Any], pace: float = 1.0) -> float:
    """How long the reply is when nobody stops it."""
    return loud_seconds(EspeakSpeaker().sound(" ".join(one["spoken"] for one in turn["replies"]), pace))


def asked(lesson: SpokenLesson, text: str) -> dict[str, Any]:
    """Say it, at most three times; other voices for whoever was not understood."""
    for voice in ("slt", "rms", "slt"):
        turn = lesson.say(text, voice)
        if event(turn) not in {"unheard", "unclear", "silence", "doubtful"}:
            return turn
    return turn


@pytest.mark.flaky(reruns=1)  # in real time: a busy machine swallows sound
@pytest.mark.timeout(400)
def test_slower_where_are_we_wait_and_silence(room: VirtualMicrophone, cache: Path, tmp_path: Path) -> None:
    with spoken_lesson(room, tmp_path, cache, *EQUATION, "--pace", str(PACE)) as lesson:
        lesson.begun(90)
        before = lesson.tutor.seconds
        slow = asked(lesson, "slower please")
        assert event(slow) == "slower"
        assert lesson.tutor.seconds - before > 1.1 * seconds(slow, PACE)  # said again, and stretched
        assert event(asked(lesson, "where are we")) == "progress"
        assert asked(lesson, "wait")["record"]["next"] == "paused"
        turns = len(lesson.turns)
        time.sleep(12)  # longer than the patience with which silence is asked about
        assert len(lesson.turns) == turns
        assert asked(lesson, "yes it is")["record"]["next"] != "paused"
        asks = until(lambda: [turn for turn in lesson.turns if event(turn) == "silence"], "a question", 40)[-1]
        assert asks["replies"][-1]["text"] == "Are you thinking, stuck, or can you not hear me?"


@pytest.mark.flaky(reruns=1)  # in real time: a busy machine swallows sound
@pytest.mark.timeout(300)
def test_a_key_or_the_word_stops_the_tutors_voice_and_nothing_else(
    room: VirtualMicrophone, cache: Path, tmp_path: Path
) -> None:
    with spoken_lesson(room, tmp_path, cache, *EQUATION, "--pace", "0.6") as lesson:
        lesson.begun(90)
        stop = spoken(tmp_path, "please stop", "slt")
        for interrupt in (lesson.press, lambda: room.say(stop)):
            before, turns = lesson.tutor.seconds, len(lesson.turns)
            room.say(spoken(tmp_path, "can you repeat that", "slt"))
            until(lambda before=before: lesson.tutor.seconds > before + 0.2, "the tutor to speak")
            interrupt()
            until(lambda: time.monotonic() - lesson.tutor.last > 1, "the tutor to be quiet")
            assert lesson.tutor.seconds - before < 0.8 * seconds(lesson.turns[turns], 0.6)
        assert lesson.process.poll() is None  # whoever stops the voice does not stop the lesson
        assert lesson.type("repeat")["replies"]
