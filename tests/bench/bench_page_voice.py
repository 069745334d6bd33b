"""How long a learner waits for the tutor's voice in the page, by Chromium's fake microphone.

    python tests/bench/bench_page_voice.py [--answers 12] [--silence 0.7]

The microphone plays a file: a quiet room, and every so often a recorded voice says what ``bench_voice_lesson.py`` says.
The time is taken in the page, by one clock: from the last loud sample that it sends to the first loud sample that it
plays, with what the browser says its output is late by. The pause that the lesson waits for is taken off, as there:
the difference between the two is what the page costs.
"""

import argparse
import os
import shutil
import statistics
import sys
import tempfile
from pathlib import Path

import numpy as np

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS), str(TESTS / "lesson" / "voice"), str(TESTS / "speech"), str(TESTS / "page")]

from bench_voice_lesson import LOUD, SAID  # noqa: E402 - beside this file
from playwright.sync_api import Page, sync_playwright  # noqa: E402 - after the path to it
from rows import cannot, row  # noqa: E402 - beside this file
from served import Served, begun  # noqa: E402 - after the path to it
from spoken_lesson import spoken  # noqa: E402 - after the path to it

from chattutor.page.browser_sound import as_wav  # noqa: E402 - after the path to it
from speech.audio.sound import (  # noqa: E402 - after the path to it
    RATE,
    Sound,
    read_audio,
)

LEAD, EVERY = 14.0, 15.0  # seconds before the first thing is said, and from one to the next
AIM = 0.1  # seconds more than on a terminal
WATCH = """(() => {
  const loud = LOUD * 32768, send = WebSocket.prototype.send, start = AudioBufferSourceNode.prototype.start;
  let last = null;
  window.waits = [];
  WebSocket.prototype.send = function (data) {
    if (data instanceof ArrayBuffer) {
      const block = new Int16Array(data), now = performance.now();
      for (let at = block.length - 1; at >= 0; at--) {
        if (Math.abs(block[at]) > loud) { last = now - (block.length - at) / 16; break; }
      }
    }
    return send.call(this, data);
  };
  AudioBufferSourceNode.prototype.start = function (at) {
    const sound = this.buffer.getChannelData(0), rate = this.buffer.sampleRate;
    const first = sound.findIndex(each => Math.abs(each) > LOUD) / rate;
    const { currentTime, outputLatency, baseLatency } = this.context;
    if (last !== null) {
      window.waits.push(performance.now() + 1000 * (at - currentTime + first + (outputLatency || baseLatency)) - last);
      last = null;
    }
    return start.call(this, at);
  };
})()""".replace("LOUD", str(LOUD))


def hold(folder: Path, answers: int, silence: float) -> list[float]:
    """Seconds from the end of each thing said to the tutor's first sound."""
    (folder / "set.txt").write_text("4n + 9 = 37\n", "utf-8")
    path = folder / "said.wav"
    path.write_bytes(as_wav(_said(folder, answers)))
    flags = ["--no-sandbox", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream"]
    words = ("--equations", folder / "set.txt", "--seed", "1", "--silence", str(silence))
    with Served(folder / "logs", *words) as served, sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=shutil.which("chromium"), args=[*flags, f"--use-file-for-fake-audio-capture={path}%noloop"]
        )
        page = browser.new_page()
        page.add_init_script(WATCH)
        begun(page, served)
        page.click("#microphone")
        waits = _waits(page, LEAD + EVERY * answers)
        browser.close()
    return [wait / 1000 - silence for wait in waits if wait < 1000 * (EVERY - 2)]


def _waits(page: Page, seconds: float) -> list[float]:
    page.wait_for_timeout(1000 * seconds)
    found: list[float] = page.evaluate("window.waits")
    return found


def _said(folder: Path, answers: int) -> Sound:
    """What the microphone hears; soft enough noise that it is nobody's voice."""
    room = np.random.default_rng(0)
    parts = [room.standard_normal(round(LEAD * RATE)) * LOUD / 8]
    for number in range(answers):
        said = read_audio(spoken(folder, SAID[number % len(SAID)], "slt")).samples
        rest = round(EVERY * RATE) - len(said)
        parts += [said, room.standard_normal(rest) * LOUD / 8]
    return Sound(np.concatenate(parts).astype(np.float32))


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--answers", type=int, default=12)
    parser.add_argument("--silence", type=float, default=0.7)
    args = parser.parse_args()
    what = "end of speech to the tutor's first sound, in the page"
    if shutil.which("chromium") is None:
        cannot(what, "Chromium is not here")
        return 0
    with tempfile.TemporaryDirectory() as folder:
        waits = hold(Path(folder), args.answers, args.silence)
    if len(waits) < 2:
        print(f"answered {len(waits)} of {args.answers}: too few to tell")
        return 1
    row(what, [1000 * wait for wait in waits], "ms", note=f"less the {args.silence} s that show an answer is over")
    print(f"answered             {len(waits)} of {args.answers}, load {os.getloadavg()[0]:.1f}")
    print(f"first sound, median  {statistics.median(waits):.2f} s after the pause of {args.silence} s")
    print(f"from {min(waits):.2f} to {max(waits):.2f} s; 9 of 10 {statistics.quantiles(waits, n=10)[-1]:.2f} s")
    return 0


if __name__ == "__main__":
    sys.exit(main())
