"""A class that speaks: how long each waits for the tutor's voice, and what the server and its recogniser hold.

    python tests/bench/bench_page_voices.py [--voices 12] [--answers 6] [--think 4 12] [--silence 0.5]

Real sockets to one server, each sending sound in real time as the page's scripts do, and taking as long over the
tutor's sentences as they last. A synthetic voice answers after a time to think, drawn evenly from ``--think`` seconds.
The time is taken here, from the last loud sample sent to the first sound that comes back: the pause that shows an
answer to be over is in it. Processor time and memory (RSS, and PSS as each one's share) are those of the server and of
the process that hears.
"""

import argparse
import asyncio
import json
import os
import sys
import tempfile
import time
from contextlib import suppress
from pathlib import Path
from random import Random

import numpy as np

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent), str(HERE.parents[1]), str(HERE.parent / "page")]

from bench_load import memory, told  # noqa: E402 - after the path to it
from bench_page import processor_seconds  # noqa: E402 - after the path to it
from page_learner import cookies  # noqa: E402 - after the path to it
from rows import row  # noqa: E402 - after the path to it
from served import Served  # noqa: E402 - after the path to it
from websockets.asyncio.client import ClientConnection, connect  # noqa: E402 - after the path to it
from websockets.exceptions import ConnectionClosed  # noqa: E402 - after the path to it

from speech.audio.sound import RATE, Sound  # noqa: E402 - after the path to it
from speech.synthesis.espeak import EspeakSpeaker  # noqa: E402 - after the path to it

SAID = ("subtract nine from both sides", "repeat please", "where are we", "give me a hint", "seven", "yes")
BLOCK = 640  # samples: 40 ms, as the page sends them
QUIET = (np.random.default_rng(0).standard_normal(BLOCK) * 4).astype("<i2").tobytes()
LOUD = 33  # of 32,768, as in bench_voice_lesson.py
PATIENCE = 25.0  # seconds without an answer, after which it is said again
START = 0.4  # seconds between two who begin


class Speaker:
    """One learner's page, its microphone and its loudspeaker."""

    def __init__(self, number: int, sounds: list[bytes], args: argparse.Namespace) -> None:
        self._random, self._sounds, self._args = Random(number), sounds, args
        self._left: list[bytes] = []  # of what is being said
        self._ended = 0.0  # when the last loud sample of it went out; 0 once it is answered
        self._until = 0.0  # when what is being played will have been
        self.waits: list[float] = []
        self.unheard = 0
        self.refused = ""

    async def hold(self, address: str, cookie: str) -> None:
        """Until so many answers have come."""
        host = address.partition("//")[2].partition("/")[0]
        async with connect(
            f"ws://{host}/lesson/voice", origin=f"http://{host}",  # type: ignore[arg-type]  # a str will do
            additional_headers={"Cookie": cookie}, compression=None, max_size=None,
        ) as line:  # fmt: skip
            sending = asyncio.create_task(self._send(line))
            try:
                async with asyncio.timeout(self._args.seconds):
                    await self._listen(line)
            except (ConnectionClosed, TimeoutError):
                pass
            finally:
                sending.cancel()

    async def _send(self, line: ClientConnection) -> None:
        due = time.perf_counter()
        while True:
            block = self._left.pop(0) if self._left else QUIET
            if np.abs(np.frombuffer(block, "<i2")).max() > LOUD:
                self._ended = time.perf_counter()
            await line.send(block)
            due += BLOCK / RATE
            await asyncio.sleep(max(0.0, due - time.perf_counter()))

    async def _listen(self, line: ClientConnection) -> None:
        number = 0
        while len(self.waits) < self._args.answers:
            found = await line.recv()
            if isinstance(found, bytes):
                self._play(line, number, (len(found) - 44) / 2 / RATE)
                continue
            message = json.loads(found)
            number = message.get("id", number)
            if message["what"] == "notice" and not self.waits:
                self.refused = message["text"]
            if message.get("state") == "listening":
                asyncio.get_running_loop().call_later(self._random.uniform(*self._args.think), self._say)

    def _play(self, line: ClientConnection, number: int, seconds: float) -> None:
        now = time.perf_counter()
        if self._ended and not self._left:
            self.waits.append(1000 * (now - self._ended))
            self._ended = 0.0
        self._until = max(now, self._until) + seconds
        loop = asyncio.get_running_loop()
        for what, at in (("began", self._until - seconds), ("played", self._until)):
            loop.call_later(at - now, lambda what=what: asyncio.ensure_future(self._tell(line, what, number)))

    async def _tell(self, line: ClientConnection, what: str, number: int) -> None:
        with suppress(ConnectionClosed):  # all answers have come
            await line.send(json.dumps({"do": what, "id": number}))

    def _say(self) -> None:
        if self._left:
            return
        if self._ended:
            self.unheard += 1
        sound = self._random.choice(self._sounds)
        self._left = [sound[at : at + 2 * BLOCK].ljust(2 * BLOCK, b"\0") for at in range(0, len(sound), 2 * BLOCK)]
        asyncio.get_running_loop().call_later(PATIENCE, self._again, sound)

    def _again(self, sound: bytes) -> None:
        if self._ended and not self._left and time.perf_counter() - self._ended > PATIENCE / 2:
            self._say()


async def spoken_class(served: Served, sounds: list[bytes], args: argparse.Namespace) -> list[Speaker]:
    """Everybody, from beginning to end."""
    speakers = [Speaker(number, sounds, args) for number in range(args.voices)]
    async with asyncio.TaskGroup() as room:
        for number, speaker in enumerate(speakers):
            cookie = await asyncio.to_thread(cookies, served.address, f"v{number}")
            room.create_task(speaker.hold(served.address, cookie))
            await asyncio.sleep(START)
    return speakers


def children(pid: int) -> list[int]:
    """The processes that a process has begun. Source: proc(5)."""
    return [int(each) for path in Path(f"/proc/{pid}/task").glob("*/children") for each in path.read_text().split()]


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--voices", type=int, default=12)
    parser.add_argument("--answers", type=int, default=6)
    parser.add_argument("--think", type=float, nargs=2, default=(4.0, 12.0))
    parser.add_argument("--silence", type=float, default=0.5)
    parser.add_argument("--seconds", type=float, default=240.0, help="the most that it may take")
    args = parser.parse_args()
    voice = EspeakSpeaker()
    sounds = [Sound(voice.sound(text, 0.9).samples * 0.6).pcm() for text in SAID]
    print(f"load before: {os.getloadavg()[0]:.1f}; processors: {os.cpu_count()}")
    with tempfile.TemporaryDirectory() as name:
        words = ("--stage", "6", "--seed", "1", "--voices", str(args.voices), "--silence", str(args.silence))
        with Served(Path(name) / "logs", *words) as served:
            began = time.monotonic()
            speakers = asyncio.run(spoken_class(served, sounds, args))
            took = time.monotonic() - began
            own = [served.process.pid, *children(served.process.pid)]
            held = [memory(pid) for pid in own]
            worked = [processor_seconds(pid) for pid in own]
    waits = [wait for speaker in speakers for wait in speaker.waits]
    if refused := {speaker.refused for speaker in speakers if speaker.refused}:
        print(refused)
    if len(waits) < 2:
        print("too few answers to tell")
        return 1
    turns = len(waits) / took
    told(f"a spoken turn in the page, {args.voices} voices, {turns:.2f} a second in all", waits, "ms", 1500.0)
    print(f"not heard: {sum(speaker.unheard for speaker in speakers)}")
    for what, processor, (share, size) in zip(("server", *("beside it",) * len(own)), worked, held, strict=False):
        print(f"{what}: {1000 * processor / len(waits):.0f} ms of processor a turn, {processor / took:.2f} of one "
              f"processor, {size:.0f} MB, its share {share:.0f}")  # fmt: skip
    shares = sum(share for share, _ in held)
    row(f"memory of the page's server and recogniser, {args.voices} voices", [shares], "MB", limit=400.0)
    print(f"together {shares:.0f} MB, what both use counted once; load after: {os.getloadavg()[0]:.1f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
