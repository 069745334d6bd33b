"""``chattutor voice``: what works here, and hearing a recording, with real engines."""

import json
import subprocess
import sys
from pathlib import Path

RECORDING = Path(__file__).parents[1] / "speech" / "recordings" / "7_jackson_3.wav"


def run(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "chattutor", "voice", *words], capture_output=True, text=True)


def test_every_engine_and_device_is_told_with_its_reason() -> None:
    told = run()
    assert told.returncode == 0
    lines = told.stdout.splitlines()
    assert any(line.startswith("listening with pocketsphinx: works (") for line in lines)
    assert any(line.startswith("listening with vosk: ") for line in lines)
    assert {line.partition(":")[0] for line in lines} >= {"microphone", "loudspeaker"}


def test_a_file_that_is_not_sound_is_an_error_on_its_own_line(tmp_path: Path) -> None:
    bad = tmp_path / "bad.wav"
    bad.write_bytes(b"not sound")
    told = run("hear", str(bad), str(RECORDING), "--expecting", "yesno")
    assert told.returncode == 1
    first, second = (json.loads(line) for line in told.stdout.splitlines())
    assert "error" in first
    assert set(second) == {"file", "engine", "text", "doubtful", "meaning"}


def test_no_file_named_is_one_clear_line() -> None:
    told = run("hear")
    assert told.returncode != 0
    assert told.stderr.strip().startswith("chattutor: Name the audio files")
