"""A learner made of sound: speaks into the virtual microphone, listens to the tutor, and reads its log afterwards.

Nothing of chattutor is replaced: the lesson is a process of its own that captures, endpoints, recognises, judges,
writes its log and speaks. The learner only plays sound when the tutor has said all of its reply and is quiet, as a
person would, who knows by the words that it was all.
"""

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from virtual_microphone import TUTOR, VirtualMicrophone

from speech.audio.sound import Sound
from speech.synthesis.espeak import EspeakSpeaker

RATE = 16_000
BLOCK = 2 * RATE // 50  # bytes in 20 ms
LOUD = 0.01  # peak above which the tutor counts as speaking
QUIET = 0.45  # seconds of quiet after which the tutor, all of whose words were heard, listens (its guard is 0.3)
LONG_QUIET = 4.0  # seconds of quiet after which it has finished whatever was heard
SHARE = 0.9  # of a reply's loud seconds, by the same voice, which is all of it: a busy machine swallows some
WITHIN = 30.0  # seconds in which anything waited for must have happened


OPTIONAL = ("moonshine_voice",)  # these lessons are heard by the fallback, slower, and holding Python's lock longest
WITHOUT = """
import sys
sys.modules.update(dict.fromkeys(sys.argv.pop(1).split(",")))  # as where these packages are not installed
from chattutor.cli import main
sys.exit(main())
"""


def until(true: Any, what: str, within: float = WITHIN) -> Any:
    """Wait for something, looking twenty times a second; what it was. Raises AssertionError when it does not come."""
    end = time.monotonic() + within
    while time.monotonic() < end:
        if found := true():
            return found
        time.sleep(0.05)
    raise AssertionError(f"waited {within:.0f} s for {what}")


def loud_seconds(sound: Sound) -> float:
    """How much of a sound is loud, in blocks as the loudspeaker is listened to."""
    blocks = sound.samples[: len(sound.samples) // (BLOCK // 2) * (BLOCK // 2)].reshape(-1, BLOCK // 2)
    return 0.02 * float(np.sum(np.abs(blocks).max(axis=1, initial=0.0) > LOUD))


class TutorHeard:
    """What comes out of the tutor's loudspeaker, listened to without a break."""

    def __init__(self, environment: dict[str, str]) -> None:
        command = ["parec", f"--device={TUTOR}.monitor", "--format=s16le", f"--rate={RATE}", "--channels=1",
                   "--latency-msec=20"]  # fmt: skip
        self._process = subprocess.Popen(command, env=os.environ | environment, stdout=subprocess.PIPE)
        self.last = 0.0  # when it was last loud, by the monotonic clock
        self.seconds = 0.0  # of loud sound so far
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        assert self._process.stdout is not None
        while block := self._process.stdout.read(BLOCK):
            if np.abs(np.frombuffer(block[: len(block) // 2 * 2], "<i2")).max(initial=0) > LOUD * 32768:
                self.last = time.monotonic()
                self.seconds += 0.02

    def close(self) -> None:
        """Stop listening."""
        self._process.terminate()
        self._process.wait(10)


class SpokenLesson:
    """A running ``chattutor lesson --voice`` and whoever speaks to it."""

    def __init__(
        self,
        microphone: VirtualMicrophone,
        folder: Path,
        cache: Path,
        words: tuple[str, ...],
        absent: tuple[str, ...] = OPTIONAL,
        more: dict[str, str] | None = None,
        newcomer: bool = False,
    ) -> None:
        self.microphone, self.folder = microphone, folder
        self.logs = folder / "logs"
        if not newcomer:  # the notice about records was read aloud another day
            (self.logs / "V1").mkdir(parents=True, exist_ok=True)
        self.tutor = TutorHeard(microphone.environment)
        command = [sys.executable, "-c", WITHOUT, ",".join(absent), "lesson", "--voice", "--learner", "V1",
                   "--logs", str(self.logs), *words]  # fmt: skip
        environment = os.environ | microphone.environment | {"XDG_CACHE_HOME": str(cache)} | (more or {})
        self.process = subprocess.Popen(
            command, env=environment, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
        )
        self.pace = float(words[words.index("--pace") + 1]) if "--pace" in words else 1.0
        self.shown: list[str] = []
        self.complaints: list[str] = []
        for stream, lines in ((self.process.stdout, self.shown), (self.process.stderr, self.complaints)):
            threading.Thread(target=self._collect, args=(stream, lines), daemon=True).start()

    def _collect(self, stream: Any, lines: list[str]) -> None:
        lines.extend(iter(stream.readline, ""))

    @property
    def turns(self) -> list[dict[str, Any]]:
        """The turns in the log so far."""
        lines = [line for path in self.logs.rglob("*.jsonl") for line in path.read_text("utf-8").splitlines(True)]
        records = [json.loads(line) for line in lines if line.endswith("\n")]
        return [one for one in records if "record" in one]

    def begun(self, within: float) -> None:
        """Wait for the first question."""
        until(lambda: self.turns, "the first question", within)
        self._hear_out(self.turns[0], self.tutor.seconds)

    def say(self, text: str, voice: str = "slt") -> dict[str, Any]:
        """Say it, hear the reply out, and give the turn as it was logged."""
        return self.play(spoken(self.folder, text, voice))

    def play(self, sound: Path) -> dict[str, Any]:
        """Play a sound into the microphone, hear the reply out, and give the turn as it was logged."""
        before, loud = len(self.turns), self.tutor.seconds
        self.microphone.say(sound)
        return self._replied(before, loud)

    def type(self, text: str) -> dict[str, Any]:
        """Type a line."""
        before, loud = len(self.turns), self.tutor.seconds
        self.press(text)
        return self._replied(before, loud)

    def press(self, text: str = "") -> None:
        """Type a line, or Enter alone, and wait for nothing."""
        assert self.process.stdin is not None
        self.process.stdin.write(text + "\n")
        self.process.stdin.flush()

    def _replied(self, before: int, loud: float) -> dict[str, Any]:
        turn = until(lambda: self.turns[before : before + 1], "a reply")[0]
        self._hear_out(turn, loud)
        return dict(turn)

    def _hear_out(self, turn: dict[str, Any], before: float) -> None:
        """Wait until all of the reply was heard, and for a little quiet after it; or for a long quiet."""
        text = " ".join(one["spoken"] for one in turn["replies"])
        all_of_it = before + SHARE * loud_seconds(EspeakSpeaker().sound(text, self.pace))
        began = time.monotonic()

        def finished() -> bool:
            quiet = time.monotonic() - max(self.tutor.last, began)
            return quiet > (QUIET if self.tutor.seconds >= all_of_it else LONG_QUIET)

        until(lambda: self.process.poll() is not None or finished(), "the tutor to be quiet")

    def close(self) -> None:
        """End it, as Ctrl-C would."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
        self.tutor.close()


@contextmanager
def spoken_lesson(
    microphone: VirtualMicrophone,
    folder: Path,
    cache: Path,
    *words: str,
    absent: tuple[str, ...] = OPTIONAL,
    more: dict[str, str] | None = None,
    newcomer: bool = False,
) -> Iterator[SpokenLesson]:
    """Start a lesson by voice; end it afterwards whatever happened. ``absent`` packages are not there for it, and
    ``more`` is put into its environment. A newcomer is told first what is kept."""
    lesson = SpokenLesson(microphone, folder, cache, words, absent, more, newcomer)
    try:
        yield lesson
    finally:
        lesson.close()


def spoken(folder: Path, text: str, voice: str) -> Path:
    """The text as a WAV file, by one of flite's recorded voices."""
    path = folder / f"{voice} {text}.wav"
    if not path.exists():
        subprocess.run(["flite", "-voice", voice, "-t", text, "-o", str(path)], check=True, timeout=20)
    return path
