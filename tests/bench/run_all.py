"""Every benchmark, with short settings, and one table of what they found: under fifteen minutes on two processors.

    python tests/bench/run_all.py [--write] [--only PART ...] [--verbose]

Each benchmark runs by itself, one after another, and hands over rows (rows.py); what it prints is shown with
--verbose. One that cannot run, or takes longer than it may, leaves a row that says why. --write puts the table, with
the machine and the day, into FIGURES.md between its marks. The peers are in the extra: pip install -e '.[bench]'.
"""

import argparse
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from rows import ROWS
from table import machine, table, written

HERE = Path(__file__).parent
FIGURES = HERE / "FIGURES.md"
ALL = 890.0  # seconds, together


@dataclass(frozen=True)
class Bench:
    """A benchmark, the words it is given, and the most seconds it may take; all together have ALL."""

    name: str
    words: tuple[str, ...] = ()
    seconds: int = 60


BENCHES = (
    Bench("judge", ("1",)),
    Bench("verdicts", ("50000",), seconds=120),
    Bench("understand"),
    Bench("diagnosis", ("--equations", "40"), seconds=90),
    Bench("lessons", ("600",)),
    Bench("tracing", ("500", "6")),
    Bench("learner", ("160", "1000"), seconds=120),
    Bench("turn", ("--lines", "300", "--sympy-lines", "60", "--turns", "1500", "--starts", "15"), seconds=90),
    Bench("review", seconds=120),
    Bench("truth", ("1",), seconds=200),
    Bench("load", ("--answers", "6"), seconds=120),
    Bench("soak", ("2000",), seconds=90),
    Bench("kill", ("--short",), seconds=60),
    Bench("page", ("--mishaps", "60", "--answers", "6"), seconds=120),
    Bench("speech", ("--engines", "moonshine,pocketsphinx"), seconds=120),
    Bench("stock_model", seconds=120),
    Bench("voice_lesson", ("--answers", "12"), seconds=150),
)


def run(bench: Bench, rows: Path, verbose: bool, seconds: float) -> list[dict[str, object]]:
    """The rows of one benchmark; where it fails, one that says why is among them."""
    rows.write_text("")
    command = [sys.executable, str(HERE / f"bench_{bench.name}.py"), *bench.words]
    why = ""
    process = subprocess.Popen(
        command,
        env=os.environ | {ROWS: str(rows)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    )
    try:
        said, _ = process.communicate(timeout=min(seconds, bench.seconds))
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)  # and all that it has started
        said, _ = process.communicate()
        why = f"it took longer than its {min(seconds, bench.seconds):.0f} s"
    if verbose:
        print(said, flush=True)
    if process.returncode and not why:
        why = f"exit {process.returncode}: {(said.strip().splitlines() or ['it said nothing'])[-1]}"
    found: list[dict[str, object]] = [json.loads(line) for line in rows.read_text("utf-8").splitlines()]
    if why:
        found.append({"what": f"bench_{bench.name}.py", "why": why})
    return [{"bench": bench.name, **one} for one in found]


def main() -> int:
    """Print the table; 1 where a benchmark failed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--write", action="store_true", help="put the table into FIGURES.md")
    parser.add_argument("--only", nargs="+", default=[bench.name for bench in BENCHES], metavar="PART")
    parser.add_argument("--verbose", action="store_true", help="show what each benchmark prints")
    given = parser.parse_args()
    if unknown := set(given.only) - {bench.name for bench in BENCHES}:
        parser.error(f"there is no {', '.join(sorted(unknown))}; there are {', '.join(one.name for one in BENCHES)}")
    began, here, found = time.monotonic(), machine(), []
    with tempfile.TemporaryDirectory() as folder:
        for bench in BENCHES:
            if bench.name in given.only:
                started = time.monotonic()
                found += run(bench, Path(folder) / "rows", given.verbose, max(1.0, began + ALL - started))
                print(f"bench_{bench.name}.py: {time.monotonic() - started:.0f} s", file=sys.stderr, flush=True)
    page = (
        f"{here}; {(time.monotonic() - began) / 60:.0f} minutes, load {os.getloadavg()[0]:.1f} after.\n\n{table(found)}"
    )
    print(page)
    if given.write:
        FIGURES.write_text(written(FIGURES.read_text("utf-8"), page), "utf-8")
    return 1 if any("bench_" in str(one["what"]) for one in found) else 0


if __name__ == "__main__":
    sys.exit(main())
