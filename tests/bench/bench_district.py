"""The class pages of a district of invented schools, on Spark: time and memory by size, with one and two processors.

    python tests/bench/bench_district.py [turns in millions ...] [--cores 1 2] [--at DIR]

One school's year (100 invented learners, 60 sessions each, about 200,000 turns; school_year.py) is packed as a school
packs its own, and DuckDB makes as many schools of it as are asked for, each with sessions of its own names: what is on
the disk is as large as a district's, and nothing of it is remembered from one school to the next, since a page's worker
keeps less than one school. Three of the pages are compared with the local page of that school's logs, to the byte.
Seconds are on the clock; memory is the most that Java and all Python processes held together (PSS), looked at twice a
second. What is made is left in DIR, and used again.
"""

import argparse
import os
import subprocess
import sys
import threading
import time
from pathlib import Path
from tempfile import TemporaryDirectory

import duckdb
from rows import row
from school_year import write_year

from chattutor.exchange.packed_rows import packed_by
from chattutor.exchange.parquet import pack

ROOT = Path(__file__).parents[2]
LEARNERS, SESSIONS = 100, 60
COMPARED = (0, 1, 2)  # schools
AT_ONCE = 10  # schools made in one go


def make_schools(one: Path, out: Path, first: int, last: int) -> None:
    """Schools ``first`` to ``last`` of the one that is packed: its learners, with sessions of other names."""
    renamed = ", ".join(f"substr(md5({name} || k), 1, 16) AS {name}" for name in ("session", "lesson"))
    before = "CASE WHEN before = '' THEN '' ELSE substr(md5(before || k), 1, 16) END AS before"
    connection = duckdb.connect(":memory:", config={"memory_limit": "2GB", "threads": "2"})
    for start in range(first, last, AT_ONCE):
        some = (
            f"SELECT 's' || lpad(k::VARCHAR, 4, '0') AS school, rows.* EXCLUDE (school) REPLACE ({renamed}, {before})"
        )
        source = f"read_parquet('{one}/**/*.parquet', hive_partitioning = true, hive_types_autocast = false) AS rows"
        ks = f"range({start}, {min(start + AT_ONCE, last)}) AS numbers(k)"
        connection.execute(
            f"COPY ({some} FROM {source}, {ks}) TO '{out}' "
            "(FORMAT parquet, COMPRESSION zstd, PARTITION_BY (school, month), OVERWRITE_OR_IGNORE)"
        )


def held(process: int, worked: dict[int, float]) -> int:
    """Bytes that a process and all below it hold; ``worked`` is told the seconds that each has worked by now."""
    total = 0
    for pid in (process, *_below(process)):
        try:
            text = Path(f"/proc/{pid}/smaps_rollup").read_text("utf-8")
            fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        worked[pid] = (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
        total += sum(int(line.split()[1]) for line in text.splitlines() if line.startswith("Pss:")) * 1024
    return total


def _below(process: int) -> list[int]:
    children: dict[int, list[int]] = {}
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = path.read_text("utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        children.setdefault(int(fields[1]), []).append(int(path.parent.name))
    found, waiting = [], [process]
    while waiting:
        below = children.get(waiting.pop(), [])
        found += below
        waiting += below
    return found


def measured(packed: Path, out: Path, cores: int, memory: int) -> tuple[float, float, float]:
    """Seconds on the clock, seconds of processor, and the most memory in MB."""
    words = ["district", str(packed), "--to", str(out), "--cores", str(cores), "--memory", str(memory)]
    began = time.perf_counter()
    worked: dict[int, float] = {}  # Java is not waited for, so the system's sum of children leaves it out
    with subprocess.Popen([sys.executable, "-m", "chattutor", *words], cwd=ROOT, stdout=subprocess.DEVNULL) as process:
        most, over = 0, threading.Event()

        def look() -> None:
            nonlocal most
            while not over.wait(0.5):
                most = max(most, held(process.pid, worked))

        looking = threading.Thread(target=look)
        looking.start()
        code = process.wait()
        over.set()
        looking.join()
    wall = time.perf_counter() - began
    assert code == 0, f"it ended with {code}"
    return wall, sum(worked.values()), most / 1e6


def main() -> None:
    """Make the schools that are not there, and measure."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("millions", type=float, nargs="*", default=[0.4])
    parser.add_argument("--cores", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--memory", type=int, default=2048, help="MB for Java")
    parser.add_argument("--learners", type=int, default=LEARNERS, help="of a school")
    parser.add_argument("--at", type=Path)
    asked = parser.parse_args()
    with TemporaryDirectory(dir=asked.at) as made:
        home = asked.at or Path(made)
        version = packed_by().split()[-1]  # what another version packed is not used again
        logs, one = home / "year", home / f"one-{version}"
        if not logs.exists():
            began = time.perf_counter()
            print("{:,} sessions, {:,} turns, {:,} bytes".format(*write_year(logs, asked.learners, SESSIONS)))
            print(f"made in {time.perf_counter() - began:.0f} s", flush=True)
        if not one.exists():
            began = time.perf_counter()
            pack(logs, one, "one")
            print(f"packed in {time.perf_counter() - began:.0f} s", flush=True)
        source = f"read_parquet('{one}/**/*.parquet')"
        ask = f"SELECT count(*) FROM {source} WHERE kind = 'turn' AND event IS NOT NULL"  # noqa: S608 - our own text
        ((turns,),) = duckdb.sql(ask).fetchall()
        for millions in sorted(asked.millions):
            schools = max(1, round(millions * 1e6 / turns))
            packed = home / f"packed-{schools}-{version}"
            if not packed.exists():
                began = time.perf_counter()
                make_schools(one, packed, 0, schools)
                size = sum(path.stat().st_size for path in packed.rglob("*.parquet"))
                print(f"{schools} schools: {size:,} bytes, made in {time.perf_counter() - began:.0f} s", flush=True)
            for cores in asked.cores:
                wall, cpu, most = measured(packed, home / "pages", cores, asked.memory)
                what = f"district of {schools} schools, {schools * turns:,} turns, {cores} processors"
                print(
                    f"{what}: {wall:.1f} s, {cpu:.1f} s of processor, {most:,.0f} MB, load {os.getloadavg()[0]:.1f}",
                    flush=True,
                )
                row(f"{what}", [wall], "s")
                row(f"{what}: of processor", [cpu], "s")
                row(f"{what}: memory", [most], "MB")
            if logs.exists():
                words = [sys.executable, "-m", "chattutor", "review", ".", "--json"]
                here = os.environ | {"PYTHONPATH": str(ROOT)}
                local = subprocess.run(words, cwd=logs, env=here, capture_output=True, check=True)
                same = [
                    (home / "pages" / f"s{number:04}.json").read_bytes() == local.stdout
                    for number in COMPARED if number < schools
                ]  # fmt: skip
                print("the same as the local page, to the byte:", same, flush=True)


if __name__ == "__main__":
    main()
