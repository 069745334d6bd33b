"""``chattutor voice``: what works here, and hearing a recording, with real engines."""

import json
import os
import subprocess
import sys
import threading
import wave
from pathlib import Path

import numpy as np
from spoken_lesson import OPTIONAL, WITHOUT, spoken
from virtual_microphone import VirtualMicrophone

from speech.audio.shaping import at_speed
from speech.audio.sound import read_audio

RECORDING = Path(__file__).parents[2] / "speech" / "recordings" / "7_jackson_3.wav"


def run(*words: str, **more: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", WITHOUT, ",".join(OPTIONAL), "voice", *words]
    return subprocess.run(command, capture_output=True, text=True, env=os.environ | more)


def heard(cache: Path, *words: str) -> list[dict[str, object]]:
    told = run("hear", *words, XDG_CACHE_HOME=str(cache))
    return [json.loads(line) for line in told.stdout.splitlines()]


def test_every_engine_and_device_is_told_with_its_reason() -> None:
    told = run()
    assert told.returncode == 0
    lines = told.stdout.splitlines()
    assert any(line.startswith("listening with pocketsphinx: works (") for line in lines)
    assert any(line.startswith("listening with vosk: ") for line in lines)
    assert {line.partition(":")[0] for line in lines} >= {"microphone", "loudspeaker"}


def test_options_may_come_before_or_after_the_files_or_between(cache: Path) -> None:
    before = heard(cache, "--expecting", "value", str(RECORDING), str(RECORDING))
    assert [one["file"] for one in before] == [str(RECORDING)] * 2
    assert heard(cache, str(RECORDING), "--expecting", "value", str(RECORDING)) == before


def test_without_a_microphone_nothing_is_built(tmp_path: Path) -> None:
    told = run("check", XDG_CACHE_HOME=str(tmp_path), PULSE_SERVER="unix:/nonexistent/sound")
    assert (told.returncode, told.stdout, told.stderr.count("\n")) == (1, "", 1)
    assert told.stderr.startswith("chattutor: no microphone can be opened: ")
    assert not list(tmp_path.rglob("*"))


def test_the_building_that_comes_once_shows_how_far_it_is(tmp_path: Path) -> None:
    told = [run("hear", "--expecting", "yesno", str(RECORDING), XDG_CACHE_HOME=str(tmp_path)) for _ in range(2)]
    assert "Preparing to recognise answers (yesno), one time only: 100%" in told[0].stderr.splitlines()
    assert told[1].stderr == ""


def test_a_recording_of_another_form_is_heard_alike(cache: Path, tmp_path: Path) -> None:
    """As any recorder makes them."""
    said = spoken(tmp_path, "subtract nine from both sides", "slt")
    with wave.open(str(said)) as file:
        rate, data = file.getframerate(), np.frombuffer(file.readframes(file.getnframes()), "<i2")
    with wave.open(str(coarse := tmp_path / "8 bit.wav"), "wb") as out:
        out.setparams((1, 1, rate, 0, "NONE", ""))
        out.writeframes(((data.astype(np.int32) >> 8) + 128).astype(np.uint8).tobytes())
    with wave.open(str(fine := tmp_path / "48 kHz stereo.wav"), "wb") as out:
        places = np.arange(len(data) * 48_000 // rate) * rate / 48_000
        wide = np.interp(places, np.arange(len(data)), data).astype("<i2")
        out.setparams((2, 2, 48_000, 0, "NONE", ""))
        out.writeframes(np.repeat(wide, 2).tobytes())
    meant = [one["meaning"] for one in heard(cache, "--expecting", "move", str(said), str(coarse), str(fine))]
    assert meant == [{"act": "move", "operation": "subtract", "operand": "9", "sides": "both"}] * 3


def test_files_of_one_person_are_heard_as_in_a_lesson(cache: Path, tmp_path: Path) -> None:
    """Alone a file is heard alike wherever it stands; of one person, here as high as a child, better after others."""
    said = ("divide both sides by three", "add four to both sides", "multiply both sides by six",
            "subtract nine from both sides", "divide both sides by five", "add seven to both sides")  # fmt: skip
    files = [str(tmp_path / f"{number}.wav") for number in range(len(said))]
    for file, text in zip(files, said, strict=True):
        with wave.open(file, "wb") as out:
            out.setparams((1, 2, 16_000, 0, "NONE", ""))
            out.writeframes(at_speed(read_audio(spoken(tmp_path, text, "slt")), 1.2).pcm())
    alone = heard(cache, "--expecting", "move", *files)
    assert heard(cache, "--expecting", "move", *files[2::-1]) == alone[2::-1]
    known = heard(cache, "--expecting", "move", "--one-speaker", *files)
    assert known[0] == alone[0]  # nothing is known yet
    right = [sum(one["text"] == text for one, text in zip(told, said, strict=True)) for told in (alone, known)]
    assert right[1] >= right[0] + 2, (alone, known)


def test_a_file_without_sound_is_an_error_or_nothing_heard(cache: Path, tmp_path: Path) -> None:
    for name, samples in (("none.wav", 0), ("silent.wav", 32_000)):
        with wave.open(str(tmp_path / name), "wb") as out:
            out.setparams((1, 2, 16_000, 0, "NONE", ""))
            out.writeframes(bytes(2 * samples))
    (tmp_path / "empty.wav").write_bytes(b"")
    none, silent, empty = heard(cache, *(str(tmp_path / name) for name in ("none.wav", "silent.wav", "empty.wav")))
    assert set(none) == set(empty) == {"file", "error"}
    assert (silent["text"], silent["doubtful"], silent["meaning"]) == ("", True, {"act": "unclear"})


def test_the_microphone_is_tried_and_what_was_heard_is_told(
    room: VirtualMicrophone, cache: Path, tmp_path: Path
) -> None:
    said = spoken(tmp_path, "subtract four from both sides", "slt")
    command = [sys.executable, "-u", "-m", "chattutor", "voice", "check", "--expecting", "move"]
    environment = os.environ | room.environment | {"XDG_CACHE_HOME": str(cache)}
    with subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        lines = []
        for line in process.stdout:
            lines.append(line.rstrip("\n"))
            if line.startswith("Say a move"):
                threading.Timer(0.2, room.say, [said, False]).start()
    assert process.returncode == 0
    assert [line.partition(" ")[0] for line in lines] == ["Listening", "Say", "Loudest:", "Heard:", "The"]
    assert lines[2].count("#") > 20
    assert "four" in lines[3] or "both" in lines[3]  # how well is bench_speech's matter


def test_a_file_that_is_not_sound_is_an_error_on_its_own_line(cache: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.wav"
    bad.write_bytes(b"not sound")
    told = run("hear", str(bad), str(RECORDING), "--expecting", "yesno", XDG_CACHE_HOME=str(cache))
    assert told.returncode == 1
    first, second = (json.loads(line) for line in told.stdout.splitlines())
    assert "error" in first
    assert set(second) == {"file", "engine", "text", "acts", "doubtful", "easily_misheard", "meaning"}


def test_no_file_named_is_one_clear_line() -> None:
    told = run("hear")
    assert told.returncode != 0
    assert told.stderr.strip().startswith("chattutor: Name the audio files")
