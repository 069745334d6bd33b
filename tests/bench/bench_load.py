"""Thirty lessons at once: how long from an answer to the whole of its reply, and what each process holds in memory.

    python tests/bench/bench_load.py [--lessons 30] [--answers 12] [--think 2 8] [--at-once] [--start]

Real processes, each a ``chattutor lesson`` with pipes on both sides, its log synced turn by turn on one disk. Every
learner answers after a time to think drawn evenly from ``--think`` (seconds); ``--at-once`` is harsher: everybody's
answers come at the same instant, as after a teacher's "now". The time is taken in this process, from before an answer
is written until its last line is read. Memory is each process's own share (PSS) and all it holds (RSS), from Linux's
``smaps_rollup``, at the end. ``--start``: how long until the first question, of each started alone and of all started
at once.
"""

import argparse
import os
import selectors
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from killing import Findings, Lesson, answer, follow, latest, started
from rows import row

from dialogue.tutor import Turn, Utterance, is_over, step

LIMIT, MEMORY = 100.0, 120.0  # ms, MB: of the text


@dataclass
class Learner:
    """One lesson and whoever takes it: the state is followed here, so that answers make sense and replies are known."""

    lesson: Lesson
    name: str
    turn: Turn | None = None
    text: str = ""  # what is said next, thought out with its reply before it is due
    due: float = 0.0  # when the next answer is given
    asked_at: float = 0.0  # 0 while nothing is waited for
    wanted: int = 0  # bytes shown once the reply is whole
    answers: int = 0
    times: list[float] = field(default_factory=list)  # ms


def begin_all(count: int, folder: Path, together: bool) -> tuple[list[Learner], list[float]]:
    """So many lessons that have asked their first question, and the seconds each took."""
    learners: list[Learner] = []
    seconds: list[float] = []
    began = time.perf_counter()
    for number in range(count):
        if not together:
            began = time.perf_counter()
        words = ["--logs", str(folder), "--learner", f"l{number}", "--stage", str(3 + number % 10), "--seed", "1"]
        learners.append(Learner(started(words, installed()), f"l{number}"))
        if not together:
            learners[-1].lesson.wait_for(asks)
            seconds.append(time.perf_counter() - began)
    if together:
        waiting = selectors.DefaultSelector()
        for learner in learners:
            waiting.register(learner.lesson.out, selectors.EVENT_READ, learner)
        while waiting.get_map():
            for key, _ in waiting.select():
                lesson = key.data.lesson
                lesson.read_for(0)
                if asks(lesson.shown) or lesson.over:
                    seconds.append(time.perf_counter() - began)
                    waiting.unregister(key.fd)
    for learner in learners:
        session = latest(folder, learner.name, set())
        learner.turn = follow(session, None, Findings()) if session else None
    return learners, seconds


def installed() -> dict[str, str]:
    """The environment of an installed program, which keeps its compiled files."""
    return {"PYTHONDONTWRITEBYTECODE": ""}


def asks(shown: bytes) -> bool:
    """Whether the last line is a question."""
    return shown.endswith(b"?\n")


def teach(learners: list[Learner], answers: int, think: tuple[float, float], at_once: bool, random: Random) -> None:
    """Let everybody answer so often."""
    waiting = selectors.DefaultSelector()
    for learner in learners:
        waiting.register(learner.lesson.out, selectors.EVENT_READ, learner)
        _think(learner, random)
    now = time.perf_counter()
    for learner in learners:
        learner.due = now + (think[0] if at_once else random.uniform(*think))
    busy = [learner for learner in learners if learner.turn is not None]
    while busy:
        now = time.perf_counter()
        for learner in busy:
            if not learner.asked_at and learner.due <= now:
                _answer(learner)
        soonest = min((learner.due for learner in busy if not learner.asked_at), default=now + 1)
        for key, _ in waiting.select(max(0.0, soonest - time.perf_counter())):
            _read(key.data, think, at_once, random)
        busy = [one for one in busy if one.asked_at or (one.answers < answers and not _over(one))]
    waiting.close()


def _over(learner: Learner) -> bool:
    return learner.lesson.over or not learner.text


def _think(learner: Learner, random: Random) -> None:
    if learner.turn is not None and not is_over(learner.turn.state):
        learner.text = answer(learner.turn.state, random, learner.answers)
        learner.turn = step(learner.turn.state, Utterance(learner.text))
        learner.wanted = len(learner.lesson.shown) + sum(len(each.text.encode()) + 1 for each in learner.turn.replies)
    else:
        learner.text = ""


def _answer(learner: Learner) -> None:
    learner.answers += 1
    learner.asked_at = time.perf_counter()
    learner.lesson.say(learner.text)


def _read(learner: Learner, think: tuple[float, float], at_once: bool, random: Random) -> None:
    learner.lesson.read_for(0)
    if learner.asked_at and (len(learner.lesson.shown) >= learner.wanted or learner.lesson.over):
        now = time.perf_counter()
        learner.times.append(1000 * (now - learner.asked_at))
        learner.asked_at = 0.0
        _think(learner, random)
        learner.due = learner.due + think[0] if at_once else now + random.uniform(*think)


def memory(pid: int) -> tuple[float, float]:
    """MB of a process: its own share, and all it holds."""
    found = dict(_kilobytes(Path(f"/proc/{pid}/smaps_rollup")))
    return found["Pss"] / 1000, found["Rss"] / 1000


def _kilobytes(path: Path) -> Iterator[tuple[str, int]]:
    for line in path.read_text(encoding="ascii").splitlines()[1:]:
        name, value = line.split()[:2]
        yield name.rstrip(":"), int(value)


def told(what: str, samples: list[float], unit: str, limit: float | None = None) -> None:
    """One line of the table, and its row."""
    ordered = sorted(samples)
    high = ordered[min(len(ordered) - 1, int(0.99 * len(ordered)))]
    aim = f", aim {limit:.0f}" if limit else ""
    print(
        f"{what:52} median {statistics.median(ordered):8.1f} {unit}, 10th to 90th {ordered[len(ordered) // 10]:.1f} to "
        f"{ordered[int(len(ordered) * 0.9)]:.1f}, 99th {high:.1f}, most {ordered[-1]:.1f}, n = {len(ordered)}{aim}"
    )
    row(what, ordered, unit, limit=limit, limit_is="of the 99th percentile" if unit == "ms" else "")


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--lessons", type=int, default=30)
    parser.add_argument("--answers", type=int, default=12, help="of each learner")
    parser.add_argument("--think", type=float, nargs=2, default=(2.0, 8.0), help="seconds, from and to")
    parser.add_argument("--at-once", action="store_true")
    parser.add_argument("--start", action="store_true")
    args = parser.parse_args()
    print(f"load before: {os.getloadavg()[0]:.1f}; processors: {os.cpu_count()}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        learners, seconds = begin_all(args.lessons, folder, together=args.start)
        how = "all started at once" if args.start else "started one after another"
        told(f"first question, {how}", [1000 * each for each in seconds], "ms")
        teach(learners, args.answers, (args.think[0], args.think[1]), args.at_once, Random(1))
        held = [memory(learner.lesson.pid) for learner in learners if not learner.lesson.over]
        for learner in learners:
            learner.lesson.end()
    times = [each for learner in learners for each in learner.times]
    asked = "everybody at once" if args.at_once else f"thinking {args.think[0]:g} to {args.think[1]:g} s"
    told(f"answer to reply, {args.lessons} lessons, {asked}", times, "ms", LIMIT)
    if held:
        told("memory of each, its own share (PSS)", [own for own, _ in held], "MB", MEMORY)
        told("memory of each, all it holds (RSS)", [whole for _, whole in held], "MB", MEMORY)
    print(f"load after: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    sys.exit(main())
