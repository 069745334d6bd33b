"""A school's year reviewed: from nothing, again, and with some new logs; beside pandas and DuckDB reading the same.

    python tests/bench/bench_review.py [LEARNERS SESSIONS] [--year] [--at DIR]

A fiftieth of a year unless ``--year`` is said: 1,000 learners with 60 sessions each, about 2,000,000 turns. Logs are
made by school_year.py (in DIR, and left there, if it is named: made once, they are used again). Each figure is of
processes of their own: seconds on the clock, seconds of processor time, and the most memory that one of them used.
Files just written are in the system's memory; what a slow disk adds is not in the figures. pandas and DuckDB, where
they are installed, only read the same lines into tables; neither checks a chain or makes a page.
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from rows import row
from school_year import write_year

ROOT = Path(__file__).parents[2]
FIFTIETH, YEAR = 20, 1000  # learners
SETTLED = 2.5  # seconds after which what is found of a file is kept
PLAIN = "import sys; sys.modules['msgspec'] = None; from chattutor.cli import main; sys.exit(main())"
PANDAS = """
import io, sys
from pathlib import Path
import pandas
turns = 0
for home in Path(sys.argv[1]).iterdir():
    if home.is_dir():  # a learner's files at once: quicker than one by one, and all at once take many gigabytes
        content = b"".join(path.read_bytes() for path in home.glob("*.jsonl"))
        turns += int(pandas.read_json(io.BytesIO(content), lines=True).get("turn").count())
print(f"{turns:,} turns")
"""
DUCKDB = """
import sys
import duckdb
where = sys.argv[1] + "/**/*.jsonl"
record = "STRUCT(task INTEGER, event VARCHAR, level VARCHAR)"
columns = f"{{turn: 'INTEGER', said: 'STRUCT(text VARCHAR)', record: '{record}'}}"
source = f"read_json('{where}', columns = {columns}, format = 'newline_delimited')"
print(duckdb.sql(f"SELECT count(turn), count(said.text), count(DISTINCT record.event) FROM {source}").fetchall())
"""


def measured(name: str, *words: str) -> tuple[float, str]:
    """Run it, and print what it took; its seconds on the clock, and its output."""
    used, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    command = [sys.executable, *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT) as process:
        out = process.stdout.read() if process.stdout is not None else ""
        _, status, own = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    wall, now = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime
    print(
        f"{name:<44} {wall:8.2f} s {cpu:8.2f} s cpu {own.ru_maxrss // 1024:6} MB   exit {process.returncode}",
        flush=True,
    )
    return wall, out


def review(folder: Path) -> tuple[str, ...]:
    """The words of the command."""
    return ("-m", "chattutor", "review", str(folder), "--json")


def forget(folder: Path) -> None:
    """Take away what reviews kept."""
    for kept in folder.glob(".review-*"):
        kept.unlink()


def part(folder: Path, into: Path, of: int) -> Path:
    """The logs of the first learners, one in so many, as links to the same files."""
    homes = sorted(home for home in folder.iterdir() if home.is_dir())
    homes = homes[: len(homes) // of]
    for home in homes:
        (into / home.name).mkdir(parents=True)
        for path in home.iterdir():
            os.link(path, into / home.name / path.name)
    return into


def main() -> None:
    """Make the logs if need be, and measure."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("learners", type=int, nargs="?", default=FIFTIETH)
    parser.add_argument("sessions", type=int, nargs="?", default=60, help="of each learner")
    parser.add_argument("--year", action="store_true", help="the whole year")
    parser.add_argument("--at", type=Path, help="where the logs are, or are made and left")
    asked = parser.parse_args()
    learners = YEAR if asked.year else asked.learners
    with TemporaryDirectory(dir=asked.at) as made:
        folder = (asked.at or Path(made)) / "year"
        if not folder.exists():
            print("{:,} sessions, {:,} turns, {:,} bytes".format(*write_year(folder, learners, asked.sessions)))
            time.sleep(SETTLED)
        print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f} before", flush=True)
        for of in (10, 4):
            measured(f"review, from nothing, a part: 1/{of}", *review(part(folder, Path(made) / f"part-{of}", of)))
        forget(folder)
        cold, first = measured("review, from nothing", *review(folder))
        warm, again = measured("review again, nothing changed", *review(folder))
        for path in sorted(folder.rglob("*.jsonl"))[: 30 * asked.sessions : asked.sessions]:
            os.utime(path)
        time.sleep(SETTLED)
        _, third = measured("review again, thirty logs changed", *review(folder))
        forget(folder)
        _, plain = measured("review, from nothing, standard library", "-c", PLAIN, *review(folder)[2:])
        print("the same page each time:", first == again == third == plain)
        measured("DuckDB reading the same", "-c", DUCKDB, str(folder))
        pandas, _ = measured("pandas reading the same", "-c", PANDAS, str(folder))
        print(f"load {os.getloadavg()[0]:.1f} after")
    turns = json.loads(first)["turns"]
    most, soon = (20, 2) if asked.year else (None, None)
    reading = f"review of {turns:,} turns"
    row(f"{reading}, from nothing", [cold], "s", peer="pandas, reading alone", theirs=[pandas], limit=most)
    row(f"{reading}, again", [warm], "s", limit=soon)


if __name__ == "__main__":
    main()
