"""Whatever goes wrong with the sound: one clear line, and the lesson goes on by keyboard in the same session.

Real processes and a real sound server; what is taken away is really taken away.
"""

import os
import shutil
import time
import wave
from pathlib import Path

import numpy as np
import pytest
from spoken_lesson import OPTIONAL, RATE, SpokenLesson, spoken, spoken_lesson, until
from virtual_microphone import VirtualMicrophone, microphone_alone, virtual_microphone

EQUATION = ("--stage", "6", "--seed", "1", "--plain", "--pace", "2.5")  # soon said
NOBODY = {"PULSE_SERVER": "unix:/nonexistent/sound"}  # no microphone, no loudspeaker
SPARE = 0.5  # of a processor: what a lesson that waits for a line may use at most; a loop that never waits uses one


def told(lesson: SpokenLesson, words: str, within: float = 30.0) -> str:
    """The one line on the screen with these words, once it is there."""
    until(lambda: [line for line in lesson.shown if words in line], words, within)
    (line,) = [line for line in lesson.shown if words in line]
    return line


def goes_on(lesson: SpokenLesson) -> None:
    """What is typed is answered, nothing is complained of, and it ends in good order with everything in one log."""
    until(lambda: lesson.turns, "the first question", 90)  # the notice about privacy is said before it
    before = len(lesson.turns)
    turn = lesson.type("repeat")
    assert turn["said"]["text"] == "repeat"
    assert turn["said"].get("channel", "typed") == "typed"
    assert turn["replies"]
    lesson.type("stop")
    assert lesson.process.wait(20) == 0
    assert lesson.complaints == []
    assert len(lesson.turns) >= before + 2
    assert len(list(lesson.logs.rglob("*.jsonl"))) == 1


def processor_seconds(process: int) -> float:
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def waits(lesson: SpokenLesson) -> None:
    """No busy loop."""
    time.sleep(0.5)
    began, used = time.monotonic(), processor_seconds(lesson.process.pid)
    time.sleep(1)
    assert processor_seconds(lesson.process.pid) - used < SPARE * (time.monotonic() - began)


def test_neither_microphone_nor_loudspeaker(room: VirtualMicrophone, cache: Path, tmp_path: Path) -> None:
    with spoken_lesson(room, tmp_path, cache, *EQUATION, more=NOBODY, newcomer=True) as lesson:
        assert "no microphone can be opened" in told(lesson, "The tutor cannot hear you (")
        assert "type for now" in told(lesson, "The tutor cannot hear you (")
        assert "Read the screen" in told(lesson, "The tutor cannot be heard (")
        waits(lesson)
        goes_on(lesson)


def test_microphone_and_loudspeaker_that_other_programs_hold(cache: Path, tmp_path: Path) -> None:
    with virtual_microphone() as own, own.busy(), spoken_lesson(own, tmp_path, cache, *EQUATION) as lesson:
        assert "close other programs that use it" in told(lesson, "The tutor cannot hear you (")
        assert "Read the screen" in told(lesson, "The tutor cannot be heard (")
        goes_on(lesson)


@pytest.mark.parametrize(
    ("package", "line"),
    [
        ("miniaudio", 'This lesson continues by keyboard: sound needs more packages: pip install "chattutor[voice]"'),
        ("pocketsphinx", "This lesson continues by keyboard: Nothing here can listen"),
    ],
)
def test_a_library_that_is_missing(
    package: str, line: str, room: VirtualMicrophone, cache: Path, tmp_path: Path
) -> None:
    with spoken_lesson(room, tmp_path, cache, *EQUATION, absent=(*OPTIONAL, package)) as lesson:
        told(lesson, line)
        goes_on(lesson)


def test_a_microphone_unplugged_in_the_middle_of_a_sentence(cache: Path, tmp_path: Path) -> None:
    with virtual_microphone() as own, spoken_lesson(own, tmp_path, cache, *EQUATION) as lesson:
        lesson.begun(60)
        sound = spoken(tmp_path, "multiply by seven and then add thirteen", "slt")
        playing = own.say(sound, wait=False)
        time.sleep(0.8)
        own.unplug()
        playing.wait(10)
        assert "It tries again every few seconds" in told(lesson, "The tutor cannot hear you (")
        assert [turn for turn in lesson.turns if turn.get("said")] == []  # half a sentence is nothing said
        waits(lesson)
        goes_on(lesson)


@pytest.mark.parametrize("fault", ["cannot be written to", "is corrupt"])
def test_a_cache(fault: str, room: VirtualMicrophone, cache: Path, tmp_path: Path) -> None:
    folder = tmp_path / "cache"
    if fault == "is corrupt":
        shutil.copytree(cache, folder)
        for kept in folder.rglob("language-*.json"):
            kept.write_bytes(kept.read_bytes()[:1000])
    else:
        folder.write_text("a file where a folder should be")  # as root may write into every folder
    with spoken_lesson(room, tmp_path, folder, *EQUATION) as lesson:
        if fault != "is corrupt":
            told(lesson, "so it will be done again next time")
        goes_on(lesson)


def test_a_microphone_that_falls_silent_is_tried_again(room: VirtualMicrophone, cache: Path, tmp_path: Path) -> None:
    with spoken_lesson(room, tmp_path, cache, *EQUATION) as lesson:
        lesson.begun(60)
        room.hold_still(True)
        try:
            told(lesson, "The tutor cannot hear you (the microphone went silent")
            assert lesson.type("repeat")["said"].get("channel", "typed") == "typed"
        finally:
            room.hold_still(False)
        told(lesson, "The tutor can hear you again.")
        time.sleep(1)
        assert lesson.say("can you repeat that")["said"].get("channel", "typed") == "spoken"
        goes_on(lesson)


def test_only_the_loudspeaker_missing(cache: Path, tmp_path: Path) -> None:
    """The lesson is heard on, and read instead of listened to; it is said once."""
    with microphone_alone() as own, spoken_lesson(own, tmp_path, cache, *EQUATION) as lesson:
        assert "you can still speak" in told(lesson, "The tutor cannot be heard (no loudspeaker can be opened")
        until(lambda: lesson.turns, "the first question", 60)
        time.sleep(1)
        assert lesson.say("can you repeat that")["said"].get("channel", "typed") == "spoken"
        told(lesson, "The tutor cannot be heard (")  # once for the whole lesson
        goes_on(lesson)


def test_noise_in_which_there_are_no_words(room: VirtualMicrophone, cache: Path, tmp_path: Path) -> None:
    """Three bursts of it, heard by a newcomer; ten minutes on end were tried by hand (see tests/bench/FIGURES.md)."""
    path = tmp_path / "noise.wav"
    noise = np.random.default_rng(3).standard_normal(RATE) * 3000
    with wave.open(str(path), "wb") as out:
        out.setparams((1, 2, RATE, 0, "NONE", "not compressed"))
        out.writeframes(np.clip(noise, -32000, 32000).astype("<i2").tobytes())
    with spoken_lesson(room, tmp_path, cache, *EQUATION, newcomer=True) as lesson:
        lesson.begun(60)
        for _ in range(3):  # nothing may be made of it but "say it again"
            room.say(path)
            time.sleep(2)
        assert all("balanced" not in turn["record"] for turn in lesson.turns)
        waits(lesson)
        goes_on(lesson)


def test_half_a_model_is_named_and_passed_over(room: VirtualMicrophone, cache: Path, tmp_path: Path) -> None:
    half = tmp_path / "vosk-model-small-en-us-0.15"
    (half / "am").mkdir(parents=True)
    (half / "am" / "final.mdl").write_bytes(b"half")
    with spoken_lesson(room, tmp_path, cache, *EQUATION, "--model", str(half), more=NOBODY) as lesson:
        assert "copy it again" in told(lesson, "Listening with pocketsphinx")
        goes_on(lesson)
