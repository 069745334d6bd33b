"""The page when it is cut off and killed, and with a class at work.

    python tests/bench/bench_page.py [--mishaps 1000] [--learners 40] [--answers 12] [--think 2 8] [--browsers 4]

Mishaps: a learner says one thing after another, each of its own words; at each the connection is cut, before or after
the answer, or (one in ten) the server is killed within a few milliseconds and started again. Then the logs are read:
everything said must be there once, in order. A class: real sockets to one server, each learner answering after a time
to think drawn evenly from ``--think`` seconds, a few of them in real Chromium, from when everybody is in. The time is
taken in this process, from before an answer is sent until the lesson that answers it has come. Browsers take the
processors that the server needs, which a class's own do not: so the server's time is told apart, what it ran and what
it waited for a processor. Memory is the server's (RSS).
"""

import argparse
import os
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent), str(HERE.parents[1]), str(HERE.parent / "page")]

from bench_load import memory, told  # noqa: E402 - after the path to it
from page_learner import GONE, PageLearner  # noqa: E402 - after the path to it
from rows import cannot, row  # noqa: E402 - after the path to it
from served import Served, begun, say  # noqa: E402 - after the path to it

from chattutor.session_logs.reader import read_session  # noqa: E402 - after the path to it

A_LESSON = 10  # things said; then another learner: nobody is let say more at once
MOST_SECONDS = 60.0  # for one thing said to be taken, restarts and all
KILLS = 0.1  # share of mishaps
SAYINGS = ("hint", "3x = 12", "what?", "where are we", "undo", "subtract 2 from both sides", "4", "repeat")


def mishaps(count: int, folder: Path, random: Random) -> tuple[int, int, int]:
    """How many kills there were, and how many things said were lost, and how many taken twice or out of order."""
    path = folder / "set.txt"
    path.write_text("3x + 2 = 14\n5x - 4 = 31\n2x + 9 = 23\n7x + 1 = 50\n", "utf-8")  # more than ten turns
    kills = lost = wrong = 0
    with Served(folder / "logs", "--equations", path, "--seed", "1") as served:
        for start in range(0, count, A_LESSON):
            code = f"l{start}"
            learner = PageLearner(served.address, code)
            learner.reach()
            wanted = []
            for number in range(min(A_LESSON, count - start)):
                text = f"I wonder about {start + number}"
                wanted.append(text)
                kills += _mishap(learner, served, text, random)
            learner.close()
            kept = _kept(folder / "logs" / code)
            lost += len(set(wanted) - set(kept))
            wrong += kept != [text for text in wanted if text in set(kept)]
    return kills, lost, wrong


def _mishap(learner: PageLearner, served: Served, text: str, random: Random) -> bool:
    kill = random.random() < KILLS
    said = learner.send(text)
    if kill:
        time.sleep(random.uniform(0, 0.012))
        served.kill()
        served.start()
    else:
        if random.random() < 0.5:
            learner.answer()
        time.sleep(random.uniform(0, 0.004))
    learner.cut()
    deadline = time.monotonic() + MOST_SECONDS
    while time.monotonic() < deadline:
        try:
            learner.reach()
            while not learner.settle(said):  # given back, as where the lesson had not begun; it is said again
                said = learner.send(text)
                learner.answer()
        except GONE:
            learner.cut()
        else:
            return kill
    raise AssertionError(f"not taken in {MOST_SECONDS:g} s: {text}, after {learner.lesson}")


def _kept(home: Path) -> list[str]:
    """What was said, by the logs, oldest first."""
    sessions = [read_session(path) for path in sorted(home.glob("*.jsonl"))]
    return [turn.said.text for session in sessions for turn in session.turns if turn.said is not None]


def at_work(args: argparse.Namespace, folder: Path) -> None:
    """A class, measured."""
    times: list[float] = []
    with Served(folder / "logs", "--stage", "6", "--seed", "1") as served:
        alone = memory(served.process.pid)[1]
        all_in = threading.Barrier(args.learners + 1)
        threads = [
            threading.Thread(target=_learns, args=(served, number, args, times, all_in))
            for number in range(args.learners)
        ]
        for thread in threads:
            thread.start()
        before: list[tuple[float, float]] = []

        def begin() -> None:
            before.append(_ran_and_waited(served.process.pid))
            all_in.wait()

        in_browsers = _browsers(served, args, begin)
        for thread in threads:
            thread.join()
        held, after = memory(served.process.pid)[1], _ran_and_waited(served.process.pid)
    told(f"a typed turn in the page, {args.learners} learners, thinking {args.think[0]:g} to {args.think[1]:g} s",
         times, "ms", 100.0)  # fmt: skip
    if in_browsers:
        told(f"the same in Chromium, until it is on the page ({args.browsers} browsers)", in_browsers, "ms")
    turns = len(times) + len(in_browsers)
    ran, waited = (1000 * (then - now) / turns for then, now in zip(after, before[0], strict=True))
    print(
        f"the server for each turn, all it does meanwhile included: {ran:.1f} ms of processor, and {waited:.1f} ms in "
        "which it was ready and others had the processors"
    )
    row("processor time of a typed turn in the page", [ran], "ms")
    row("waiting of the page's server for a processor, a typed turn", [waited], "ms")
    print(f"memory of the server: {held:.0f} MB, before anybody came {alone:.0f} MB")
    row(f"memory of the page's server, {args.learners} learners typing", [held], "MB", limit=400.0)


def processor_seconds(pid: int) -> float:
    """What a process has used so far, in itself and in the system."""
    numbers = Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(numbers[11]) + int(numbers[12])) / os.sysconf("SC_CLK_TCK")


def _ran_and_waited(pid: int) -> tuple[float, float]:
    """Seconds that a process has run, and that its threads have been ready to run and waited. Source: kernel
    documentation, scheduler/sched-stats."""
    each = [path.read_text("ascii").split() for path in Path(f"/proc/{pid}/task").glob("*/schedstat")]
    return processor_seconds(pid), sum(int(one[1]) for one in each) / 1e9


def _learns(
    served: Served, number: int, args: argparse.Namespace, times: list[float], all_in: threading.Barrier
) -> None:
    random = Random(number)
    learner = PageLearner(served.address, f"l{number}")
    learner.reach()
    all_in.wait()
    for _ in range(args.answers):
        time.sleep(random.uniform(*args.think))
        if learner.lesson["over"]:
            break
        text = random.choice(SAYINGS)
        began = time.perf_counter()
        learner.send(text)
        learner.answer()
        times.append(1000 * (time.perf_counter() - began))
    learner.close()


def _browsers(served: Served, args: argparse.Namespace, begin: Callable[[], None]) -> list[float]:
    """Come in, ``begin``, and answer."""
    chromium = shutil.which("chromium")
    if chromium is None or not args.browsers:
        if args.browsers:
            cannot("a typed turn in Chromium", "Chromium is not here")
        begin()
        return []
    from playwright.sync_api import sync_playwright

    times, random = [], Random(0)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        pages = [browser.new_context().new_page() for _ in range(args.browsers)]
        for number, page in enumerate(pages):
            begun(page, served, f"b{number}")
        begin()
        for _ in range(args.answers):
            for page in pages:
                time.sleep(random.uniform(*args.think) / len(pages))
                page.evaluate("document.querySelector('#words').value = 'hint'")
                times.append(page.evaluate(
                    """() => new Promise(done => {
                        const began = performance.now(), was = document.body.dataset.turn;
                        new MutationObserver(() => document.body.dataset.turn !== was
                            && requestAnimationFrame(() => done(performance.now() - began)))
                            .observe(document.body, { attributes: true });
                        document.querySelector('#say .main').click();
                    })"""
                ))  # fmt: skip
        say(pages[0], "repeat")
        browser.close()
    return times


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--mishaps", type=int, default=1_000)
    parser.add_argument("--learners", type=int, default=40)
    parser.add_argument("--answers", type=int, default=12)
    parser.add_argument("--think", type=float, nargs=2, default=(2.0, 8.0))
    parser.add_argument("--browsers", type=int, default=4)
    args = parser.parse_args()
    print(f"load before: {os.getloadavg()[0]:.1f}; processors: {os.cpu_count()}")
    with tempfile.TemporaryDirectory() as name:
        if args.mishaps:
            kills, lost, wrong = mishaps(args.mishaps, Path(name), Random(1))
            print(
                f"{args.mishaps} cuts and kills ({kills} kills): {lost} lost, {wrong} lessons out of order or doubled"
            )
            row(
                f"said in the page and lost, or taken twice ({args.mishaps} cuts and kills)",
                [lost + wrong],
                "",
                limit=0,
            )
    with tempfile.TemporaryDirectory() as name:
        if args.learners:
            at_work(args, Path(name))
    print(f"load after: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    sys.exit(main())
