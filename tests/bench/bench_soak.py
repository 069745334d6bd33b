"""One process, thousands of turns of mixed use: does it hold on to memory, and is any turn slow?

    python tests/bench/bench_soak.py [turns] [--minutes 60] [--review-every 500] [--keep 40] [--rest 3]

Lessons one after another in this process, as ``chattutor lesson`` holds them: equations chosen one by one or of a stage
or of a file, answers right, wrong, nothing in particular, requests, and now and then something very long; every lesson
logged and synced; one in five broken off and resumed by replay; now and then a review of all the logs so far.
With ``--rest`` it rests so many times as long as each turn took, and leaves the rest of the processor to others.
After every forty lessons (``--keep``) the logs are thrown away: with a folder that grows, a review and a learner's past
take more memory because they read more, and that is no leak. A
turn is timed from what was said until the reply is shown, by the clock and (which other programs do not lengthen) in
processor time. Memory is what Linux holds for the process (RSS) and what
Python holds (tracemalloc, from a separate run with ``--traced``, which makes turns slower).
"""

import argparse
import gc
import os
import shutil
import statistics
import sys
import tempfile
import time
import tracemalloc
from array import array
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from killing import answer
from rows import row

from chattutor.commands.lesson import add_parser
from chattutor.lesson.session_setup import start
from chattutor.review.class_reading import class_json
from dialogue.tutor.core.state import Turn, Utterance

SLOW = 100.0  # ms
TOLD = 12  # slow turns
LONG = ("and then " * 150, "x" * 1000, "2(" * 200, "one hundred and " * 60, "3x + " * 190 + "1 = 2")
LESSON = 60  # answers, after which a lesson is stopped


@dataclass
class Times:
    """What was slow, what there was in all, and memory along the way."""

    ms: "array[float]" = field(default_factory=lambda: array("d"))
    cpu: "array[float]" = field(default_factory=lambda: array("d"))
    slow: list[tuple[float, float, int, str]] = field(
        default_factory=list
    )  # ms, of processor, which turn, what was said
    memory: list[tuple[int, float]] = field(default_factory=list)


class Learner:
    """Ears and face of lessons at once: answers what it is shown."""

    def __init__(self, times: Times, random: Random, most: int, rest: float) -> None:
        self.times, self.random, self.left, self.rest = times, random, most, rest
        self.turn: Turn | None = None
        self.text = ""
        self.asked_at = self.cpu_at = 0.0
        self.breaks_off = random.random() < 0.2

    def notice(self, text: str, aloud: str | None = None) -> None:
        """Nothing is shown."""

    def show(self, turn: Turn) -> None:
        """Record how long it took."""
        if self.asked_at and turn.state.phase != "between":
            took, cpu = 1000 * (time.perf_counter() - self.asked_at), 1000 * (time.process_time() - self.cpu_at)
            self.times.ms.append(took)
            self.times.cpu.append(cpu)
            if took > SLOW:
                self.times.slow = sorted([*self.times.slow, (cpu, took, len(self.times.ms), self.text[:60])])[-TOLD:]
            self.asked_at = 0.0
            time.sleep(self.rest * took / 1000)
        self.turn = turn

    def listen(self) -> Utterance | None:
        """The next answer; the end where the lesson is broken off, as by closing the window."""
        assert self.turn is not None
        self.left -= 1
        if self.left <= 0:
            if self.breaks_off:
                raise KeyboardInterrupt
            return Utterance("stop")
        chance = self.random.random()
        self.text = self.random.choice(LONG) if chance < 0.01 else answer(self.turn.state, self.random, self.left)
        self.asked_at, self.cpu_at = time.perf_counter(), time.process_time()
        return Utterance(self.text)


def resident() -> float:
    """MB that the process holds."""
    with open("/proc/self/statm", encoding="ascii") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def held(times: Times) -> float:
    """MB: of Python's own where it is traced, else of the process; less the times recorded here."""
    gc.collect()
    ours = (len(times.ms) + len(times.cpu)) * times.ms.itemsize / 1e6
    return (tracemalloc.get_traced_memory()[0] / 1e6 if tracemalloc.is_tracing() else resident()) - ours


def lesson(number: int, folder: Path, equations: Path, times: Times, random: Random, rest: float) -> None:
    """One lesson of one of forty learners."""
    parser = argparse.ArgumentParser()
    add_parser(parser.add_subparsers())
    what = random.choice([[], ["--stage", str(random.randrange(1, 16))], ["--equations", str(equations)]])
    words = [*what, "--learner", f"s{number % 40}", "--logs", str(folder), "--seed", str(number), "--go-on"]
    learner = Learner(times, random, random.randrange(2, LESSON), rest)
    start(parser.parse_args(["lesson", *words]), learner, learner, interactive=False)


def slope(points: list[tuple[int, float]]) -> float:
    """MB in a thousand turns, by least squares."""
    if len(points) < 2:
        return 0.0
    x, y = [at / 1000 for at, _ in points], [mb for _, mb in points]
    return statistics.linear_regression(x, y).slope


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("turns", nargs="?", type=int, default=10_000)
    parser.add_argument("--minutes", type=float, default=0.0, help="go on for so long, however many turns that is")
    parser.add_argument("--review-every", type=int, default=500)
    parser.add_argument("--keep", type=int, default=40, help="lessons whose logs are kept; 0 for all")
    parser.add_argument("--rest", type=float, default=0.0, help="after each turn, times as long as it took")
    parser.add_argument("--traced", action="store_true")
    args = parser.parse_args()
    if args.traced:
        tracemalloc.start()
    random, times, number, reviews = Random(1), Times(), 0, 0
    print(f"load before: {os.getloadavg()[0]:.1f}")
    sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - what a lesson interrupted says
    with tempfile.TemporaryDirectory() as name:
        folder, equations = Path(name) / "logs", Path(name) / "set.txt"
        equations.write_text("3x + 2 = 14\n2(n - 1) = 8\nx/3 = 5\n", encoding="utf-8")
        until = time.monotonic() + 60 * args.minutes
        while (made := len(times.ms)) < args.turns or time.monotonic() < until:
            if args.keep and number and number % args.keep == 0:
                shutil.rmtree(folder)
            lesson(number, folder, equations, times, random, args.rest)
            number += 1
            if len(times.ms) // args.review_every > made // args.review_every:
                class_json(folder)
                reviews += 1
                times.memory.append((len(times.ms), held(times)))
                at, mb = times.memory[-1]
                print(f"{at:>7,} turns, {number:>4} lessons: {mb:.2f} MB, load {os.getloadavg()[0]:.1f}", flush=True)
    ordered = sorted(times.ms)
    settled = [point for point in times.memory if point[0] >= args.turns / 5]
    what = "Python's own" if args.traced else "of the process"
    print(f"turns: median {statistics.median(ordered):.2f} ms, 99th {ordered[int(0.99 * len(ordered))]:.1f}, "
          f"most {ordered[-1]:.0f}, n = {len(ordered):,}; {number} lessons, {reviews} reviews")  # fmt: skip
    print(f"memory {what}: {settled[0][1]:.2f} MB at {settled[0][0]:,} turns, {settled[-1][1]:.2f} MB at "
          f"{settled[-1][0]:,}; {slope(settled):+.3f} MB in a thousand turns")  # fmt: skip
    busy = sorted(times.cpu)
    print(f"of processor: median {statistics.median(busy):.2f} ms, 99th {busy[int(0.99 * len(busy))]:.1f}, "
          f"most {busy[-1]:.0f}; turns over {SLOW:.0f} ms: {sum(each > SLOW for each in busy)}, by the clock "
          f"{sum(each > SLOW for each in ordered)}")  # fmt: skip
    for cpu, took, at, text in reversed(times.slow):
        print(f"    {took:6.0f} ms by the clock, {cpu:.0f} of processor, turn {at:,}: {text!r}")
    row("soak: a turn of mixed use, logged", ordered, "ms", limit=SLOW, limit_is="of any turn")
    row("soak: memory gained in a thousand turns", [slope(settled)], "MB")


if __name__ == "__main__":
    main()
