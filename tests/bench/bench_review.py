"""A school's year reviewed: from nothing, again, and with one class's new logs; beside pandas and DuckDB reading it.

    python tests/bench/bench_review.py [learners] [sessions each] [DIR]

Logs are made by school_year.py (in DIR, and left there, if it is named). Each figure is of a process of its own:
seconds on the clock, seconds of processor time, and the most memory that one process of it used. pandas and DuckDB,
where they are installed, only read the same lines into tables; neither checks a chain or makes a page.
"""

import os
import resource
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from school_year import write_year

ROOT = Path(__file__).parents[2]
PLAIN = "import sys; sys.modules['msgspec'] = None; from chattutor.cli import main; sys.exit(main())"
PANDAS = """
import sys
from pathlib import Path
import pandas
turns = 0
for path in Path(sys.argv[1]).rglob("*.jsonl"):
    turns += int(pandas.read_json(path, lines=True).get("turn").count())
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


def measured(name: str, *words: str) -> str:
    """Run it, and print what it took; its output."""
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
    return out


def main() -> None:
    """Make the logs if need be, and measure."""
    learners = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    each = int(sys.argv[2]) if len(sys.argv) > 2 else 60
    with TemporaryDirectory() as made:
        folder = Path(sys.argv[3] if len(sys.argv) > 3 else made) / "year"
        if not folder.exists():
            print("{:,} sessions, {:,} turns, {:,} bytes".format(*write_year(folder, learners, each)))
        for kept in folder.glob(".review-*"):
            kept.unlink()
        review = ("-m", "chattutor", "review", str(folder), "--json")
        first = measured("review, from nothing", *review)
        measured("review again, nothing changed", *review)
        for path in sorted(folder.rglob("*.jsonl"))[: 30 * each : each]:
            os.utime(path)
        time.sleep(3)
        third = measured("review again, thirty logs changed", *review)
        for kept in folder.glob(".review-*"):
            kept.unlink()
        plain = measured("review, from nothing, standard library", "-c", PLAIN, *review[2:])
        print("the same page each time:", first == third == plain)
        measured("DuckDB reading the same", "-c", DUCKDB, str(folder))
        measured("pandas reading the same", "-c", PANDAS, str(folder))


if __name__ == "__main__":
    main()
