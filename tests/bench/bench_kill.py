"""Lessons killed at random instants, in a bad world: what was shown is in the log, and the lesson goes on from there.

    python tests/bench/bench_kill.py [--short] [--kills 1000] [--voice 100] [--seed 1]

Each lesson is killed (SIGKILL) again and again, while it starts, waits, works, writes, or stands still, and resumed
until it is over. After every kill: each line shown is logged, in order, once; the answers logged are those given,
none twice; the replies of the log are those of the state that was resumed, worked out anew in this process; and
the log is sound. Where a file system of a given size can be mounted (root), disks are really full; else no file may
grow.

Most lessons are forked from this process, which has the program loaded; the table says how many were started as a shell
would. ``--voice``: ``lesson --voice`` with a sound server without hardware, each answer typed or spoken.
"""

import argparse
import os
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random

import bad_worlds
from killing import Findings, Lesson, answer, follow, forked, latest, look, started
from rows import row

from chattutor.session_logs.reader import Session
from chattutor.session_logs.replay import replay
from chattutor.session_logs.verifying import Checked, verify
from dialogue.learner.families import draw
from dialogue.tutor import Turn, Utterance, is_over, step
from dialogue.understanding.interpret import understand

SITTINGS = 12  # of one lesson, at most
Starter = Callable[[list[str]], Lesson]


@dataclass
class Series:
    """Kills of one sort: how lessons are started, and how many are to be killed."""

    name: str
    kills: int
    start: Starter
    begins: float  # seconds after which a lesson usually has asked its first question
    stops: bool = False  # stopped (SIGSTOP) for a while before it is killed or let go on
    speak: Callable[[Lesson, Random], None] | None = None  # by voice: says something aloud, and waits a little


def asked(shown: bytes) -> bool:
    """Whether the last line is a question."""
    return shown.endswith(b"?\n")


def _asked_once(shown: bytes) -> bool:
    return b"?\n" in shown  # by voice a notice may follow


def held(series: Series, lesson: Lesson, folder: Path, learner: str, known: set[str], before: Turn | None,
         random: Random) -> None:  # fmt: skip
    """Take part in a lesson for a while, and kill it."""
    chance = random.random()
    if chance < 0.2:
        lesson.read_for(random.uniform(0, series.begins * 1.2))
    elif lesson.wait_for(asked if series.speak is None else _asked_once) and chance > 0.35:  # below: killed at once
        turn = _up_to_now(folder, learner, known, before)
        for serial in range(random.randrange(9)):
            if turn is None or is_over(turn.state):
                break
            text = answer(turn.state, random, serial)
            if series.speak is None:
                turn = _exchanged(lesson, turn, text, folder, learner, known, before)
                continue
            lesson.say(text)
            lesson.wait_while(lambda: _typed(folder, learner, known) < len(lesson.said))
            turn = _up_to_now(folder, learner, known, before)
        if series.speak is not None and random.random() < 0.5:
            series.speak(lesson, random)
        if turn is not None:
            lesson.say(*(answer(turn.state, random, 50 + number) for number in range(random.randrange(1, 5))))
            lesson.read_for(random.uniform(0, 0.02 if series.speak is None else 0.5))
    if series.stops:
        os.kill(lesson.pid, signal.SIGSTOP)
        lesson.read_for(0.03)
        if random.random() < 0.5:
            os.kill(lesson.pid, signal.SIGCONT)
            lesson.read_for(random.uniform(0, 0.02))
    lesson.end()


def _up_to_now(folder: Path, learner: str, known: set[str], before: Turn | None) -> Turn | None:
    session = latest(folder, learner, known)
    if session is None or session.header is None:
        return before
    return follow(session, before if session.header.continues else None, Findings())


def _typed(folder: Path, learner: str, known: set[str]) -> int:
    session = latest(folder, learner, known)
    return sum(line.said.channel == "typed" for line in session.turns if line.said) if session else 0


def _exchanged(lesson: Lesson, turn: Turn, text: str, folder: Path, learner: str, known: set[str],
               before: Turn | None) -> Turn | None:  # fmt: skip
    """The turn after an answer, once its replies are shown."""
    had = len(lesson.shown)
    expected = step(turn.state, Utterance(text))
    lesson.say(text)
    wanted = had + sum(len(reply.text.encode()) + 1 for reply in expected.replies)
    lesson.wait_for(lambda shown: len(shown) >= wanted)
    if expected.state.phase != "between":
        return expected
    lesson.wait_for(lambda shown: len(shown) > wanted and asked(shown))
    return _up_to_now(folder, learner, known, before)


def lessons(series: Series, folder: Path, random: Random, found: Findings) -> None:
    """Kill lessons of a series until there are enough kills."""
    killed = number = 0
    while killed < series.kills:
        number += 1
        learner = f"{series.name[:8].replace(' ', '')}-{number}"
        what = random.choice([["--stage", str(random.randrange(1, 16))], []])
        words = [*what, "--logs", str(folder), "--learner", learner, "--seed", str(random.randrange(10**6))]
        known: set[str] = set()
        last: Session | None = None
        turn: Turn | None = None
        for _ in range(SITTINGS):
            lesson = series.start([*words, "--go-on"])
            try:
                held(series, lesson, folder, learner, known, turn, random)
            except TimeoutError as error:
                found.must(False, f"{words}: {error}")
                lesson.end()
            killed += lesson.status == -signal.SIGKILL
            found.must(lesson.status in {0, -signal.SIGKILL}, f"{words}: exit code {lesson.status}")
            session = latest(folder, learner, known)
            if session is not None and session.header is not None:
                known.add(session.header.id)
                goes_on = session.header.continues.id if session.header.continues else None
                begun = last is not None and (len(last.turns) > 1 or last.header.continues is not None)  # type: ignore[union-attr]
                expected = last.header.id if begun and last is not None and last.header is not None else None
                found.must(goes_on == expected, f"{session.path} goes on with {goes_on}, not with {expected}")
                turn = turn if goes_on else None
                last = session
            turn = look(session, lesson, turn, found)
            if killed >= series.kills or (turn is not None and is_over(turn.state)):
                break
        _all_of(folder, learner, last, turn, found)
    found.count("killed", killed)
    found.count("lessons", number)


def _all_of(folder: Path, learner: str, last: Session | None, turn: Turn | None, found: Findings) -> None:
    """The lesson as a whole: its files are sound, and its replay ends in the very same state."""
    if (folder / learner).is_dir():
        for finding in verify(folder / learner, Checked()):
            empty = finding.kind == "torn" and finding.path.stat().st_size == 0
            found.count("killed between making a file and its first line", empty)
            found.must(finding.kind == "torn", f"{finding.path}: {finding.sentence}")  # half a line that nobody saw
    if last is not None and turn is not None:
        replayed = list(replay(last, folder))
        found.must(all(each.same for each in replayed), f"{last.path}: replays otherwise")
        same = replayed[-1].turn.state == turn.state if replayed else False
        found.must(same, f"{last.path}: the replay ends in another state")


def text_series(kills: int, random: Random, shell: bool) -> Iterator[Series]:
    """How the kills are shared out."""
    begins = _time_to_begin(forked)
    few = max(2, kills // 10)
    slow, back = (partial(one, random) for one in (bad_worlds.slow_disk, bad_worlds.clock_back))
    yield Series("forked", kills - 5 * few, forked, begins)
    yield Series("slow disk (fsync 10 to 60 ms)", few, lambda words: forked(words, slow), begins)
    yield Series("writes piece by piece", few, lambda words: forked(words, bad_worlds.piece_by_piece), begins)
    yield Series("clock set back", few, lambda words: forked(words, back), begins)
    yield Series("stopped and let go on", few, forked, begins, stops=True)
    if shell:
        yield Series("started by a shell", few, started, _time_to_begin(started))
    for name, more in bad_worlds.preloaded() if shell and kills >= 100 else ():
        yield Series(name, few // 5, partial(started, more=more), 0.5)


def _time_to_begin(start: Starter) -> float:
    with tempfile.TemporaryDirectory() as folder:
        began = time.monotonic()
        lesson = start(["--stage", "6", "--logs", folder, "--learner", "x", "--seed", "1"])
        lesson.wait_for(asked)
        took = time.monotonic() - began
        lesson.end()
    return took


@contextmanager
def told(name: str, all_found: list[Findings]) -> Iterator[Findings]:
    """A row of the table, printed once it is done."""
    found, began = Findings(), time.monotonic()
    yield found
    all_found.append(found)
    counts = dict(found.counts)
    checks = counts.pop("checks", 0)
    figures = ", ".join(f"{what} {number:,}" for what, number in counts.items() if number)
    print(f"{name:34} {len(found.wrong):>4} wrong of {checks:>7,} checks  {figures}; {time.monotonic() - began:.0f} s")
    for line in found.wrong[:5]:
        print(f"    {line[:600]}")
    sys.stdout.flush()


def main() -> int:
    """Print the table; 1 where something was not as it must be."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--short", action="store_true", help="some 20 kills, a full disk and a folder to read only")
    parser.add_argument("--kills", type=int, default=1000)
    parser.add_argument("--voice", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    random = Random(args.seed)
    understand("yes", "yesno", "x")  # what a lesson loads, loaded here once
    draw(6, 1, 5)
    found: list[Findings] = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        kills = 20 if args.short else args.kills
        for series in text_series(kills, random, shell=not args.short) if kills else ():
            with told(series.name, found) as these:
                lessons(series, folder / "text", random, these)
        with told("disk full", found) as these:
            bad_worlds.disk_full(folder, these, few=args.short)
        with told("folder to read only", found) as these:
            bad_worlds.read_only(folder, these)
        if args.voice:
            import killing_by_voice

            def by_voice(start: Starter, begins: float, speak: Callable[[Lesson, Random], None]) -> None:
                series = Series("by voice", args.voice, start, begins, speak=speak)
                lessons(series, folder / "voice", random, these)

            with told("by voice", found) as these:
                killing_by_voice.lessons(by_voice, folder / "voice", these)
    total = sum(each.counts.get("killed", 0) for each in found)
    wrong = sum(len(each.wrong) for each in found)
    row(
        "wrong after a kill, a full disk, a locked folder",
        [wrong],
        "",
        limit=0,
        note=f"{total:,} kills",
    )
    print(f"{total:,} kills, {sum(each.counts.get('checks', 0) for each in found):,} checks: {wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
