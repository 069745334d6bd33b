"""How long a learner waits for the tutor's voice, and what a lesson by voice costs in memory.

    python tests/bench/bench_voice_lesson.py [--answers 20] [--silence 0.7]

Holds a lesson through a sound server without hardware (tests/speech/virtual_microphone.py): a recorded voice says
something, and the time is taken from the last loud sound at the microphone to the first loud sound at the loudspeaker,
both listened to in the same way. The pause that the lesson waits for, to know that somebody has finished, is taken off:
it is a choice (``--silence``), not work. Memory is the most that the lesson's process has held, languages built before.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import numpy as np

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS / "lesson" / "voice"), str(TESTS / "speech")]

from rows import cannot, row  # noqa: E402 - beside this file
from spoken_lesson import spoken, until  # noqa: E402 - beside the tests
from virtual_microphone import LEARNER, TUTOR, lacking, virtual_microphone  # noqa: E402

from chattutor.lesson.voice.language_builder import main as build  # noqa: E402
from chattutor.lesson.voice.language_builder import wanted  # noqa: E402
from chattutor.lesson.voice.languages import cache_folder  # noqa: E402

FRAME = 320  # bytes: 10 ms at 16 kHz
LOUD = 0.001  # of full scale: these sinks are silent otherwise, and a soft last consonant counts
SETTLED = 0.9  # seconds of the tutor's quiet after which the learner speaks
SAID = ("repeat please", "where are we", "subtract nine from both sides", "no it isn't", "give me a hint", "slower")
FIRST_SOUND, MEMORY = 0.3, 250  # the targets: seconds, MB
BETWEEN_PEOPLE = 200  # ms, about: Stivers and others 2009, PNAS 106(26), 10587-10592


class Listener:
    """When a sink was last silent, and when loud, by the monotonic clock."""

    def __init__(self, sink: str) -> None:
        command = ["parec", f"--device={sink}.monitor", "--format=s16le", "--rate=16000", "--channels=1",
                   "--latency-msec=10"]  # fmt: skip
        self._process = subprocess.Popen(command, stdout=subprocess.PIPE)
        self.loud = self.began = 0.0
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        assert self._process.stdout is not None
        while len(block := self._process.stdout.read(FRAME)) == FRAME:
            if np.abs(np.frombuffer(block, "<i2")).max() > LOUD * 32768:
                now = time.monotonic()
                if now - self.loud > SETTLED:
                    self.began = now  # loud again after a long quiet
                self.loud = now

    def quiet(self) -> bool:
        return time.monotonic() - self.loud > SETTLED

    def close(self) -> None:
        self._process.terminate()
        self._process.wait(10)


def megabytes(process: int) -> float:
    """The most memory that a process has held. Source: proc(5), VmHWM."""
    for line in Path(f"/proc/{process}/status").read_text().splitlines():
        if line.startswith("VmHWM"):
            return int(line.split()[1]) / 1024
    raise RuntimeError("no VmHWM: this benchmark needs Linux")


def hold(folder: Path, answers: int, silence: float) -> tuple[list[float], float]:
    """Seconds from the end of each thing said to the tutor's first sound, and the lesson's memory in MB."""
    (folder / "set.txt").write_text("4n + 9 = 37\n", "utf-8")
    build(cache_folder(), wanted())
    sounds = {text: spoken(folder, text, "slt") for text in SAID}
    command = [sys.executable, "-m", "chattutor", "lesson", "--voice", "--learner", "V1", "--logs", str(folder / "l"),
               "--equations", str(folder / "set.txt"), "--seed", "1", "--plain", "--silence", str(silence)]  # fmt: skip
    waits: list[float] = []
    with virtual_microphone() as room:
        learner, tutor = Listener(LEARNER), Listener(TUTOR)
        lesson = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, env=os.environ)
        try:
            until(lambda: tutor.loud and tutor.quiet(), "the first question", 60)
            for number in range(answers):
                until(tutor.quiet, "the tutor to be quiet", 60)
                before = tutor.began
                room.say(sounds[SAID[number % len(SAID)]])
                try:
                    until(lambda before=before: tutor.began != before, "an answer", 8)
                except AssertionError:
                    continue  # not heard as anything: that is bench_speech's matter
                waits.append(tutor.began - learner.loud - silence)
            return waits, megabytes(lesson.pid)
        finally:
            lesson.terminate()
            lesson.wait(10)
            learner.close()
            tutor.close()


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--answers", type=int, default=20)
    parser.add_argument("--silence", type=float, default=0.7)
    args = parser.parse_args()
    if absent := lacking():
        cannot("end of speech to the tutor's first sound", absent)
        print(absent)
        return 0
    with tempfile.TemporaryDirectory() as folder:
        waits, memory = hold(Path(folder), args.answers, args.silence)
    if len(waits) < 2:
        print(f"answered {len(waits)} of {args.answers}: too few to tell")
        return 1
    what = "end of speech to the tutor's first sound"
    whole = [1000 * (wait + args.silence) for wait in waits]
    row(what, whole, "ms", limit=BETWEEN_PEOPLE, limit_is="between people", note="as a learner hears it")
    row(what, [1000 * wait for wait in waits], "ms", limit=1000 * FIRST_SOUND, limit_is="aim",
        note=f"less the {args.silence} s that show an answer is over")  # fmt: skip
    row("memory of a lesson by voice", [memory], "MB", limit=MEMORY, limit_is="aim")
    after = f"after the pause of {args.silence} s"
    print(
        f"answered             {len(waits)} of {args.answers}, with a load of {os.getloadavg()[0]:.1f} on the machine"
    )
    print(f"first sound, median  {statistics.median(waits):.2f} s {after} (target {FIRST_SOUND})")
    print(f"first sound, 9 of 10 {statistics.quantiles(waits, n=10)[-1]:.2f} s")
    print(f"memory, most         {memory:.0f} MB (target {MEMORY})")
    return 0


if __name__ == "__main__":
    sys.exit(main())
