"""The pages of a district on Spark itself: of three invented schools, each the page of its own folder to the byte."""

import csv
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import duckdb
import pytest

sys.path[:0] = [str(Path(__file__).parents[1] / "review")]

from invented_class import write_class  # noqa: E402 - the tests' own helpers are found only now

from chattutor.cli import main  # noqa: E402
from chattutor.exchange.packed_rows import packed_by  # noqa: E402
from chattutor.exchange.parquet import pack  # noqa: E402
from chattutor.review.class_reading import class_json  # noqa: E402

SCHOOLS = {"north": 3, "south": 4, "007": 5}  # a name and a seed
if shutil.which("java") is None:
    pytest.skip("needs Java (Debian: default-jre-headless)", allow_module_level=True)
pytest.importorskip("pyspark", reason="needs pyspark (the district extra)")


class Done(NamedTuple):
    returncode: int
    stderr: str


@pytest.fixture
def district(java: None, capfd: pytest.CaptureFixture[str]) -> Callable[..., Done]:
    """The command, in this process: Java takes long to start and is started once; each command begins Spark anew."""

    def run(*words: str | Path) -> Done:
        code = main(["district", *map(str, words)])
        return Done(code, capfd.readouterr().err)

    return run


@pytest.fixture(scope="module")
def java() -> Iterator[None]:
    """Java, which the first command starts and this ends."""
    from pyspark import SparkContext

    yield
    gateway = SparkContext._gateway
    if gateway is not None:
        gateway.shutdown()
        gateway.proc.stdin.close()  # by which it knows that nobody needs it
        gateway.proc.wait(30)
        SparkContext._gateway = SparkContext._jvm = None


def test_every_school_has_the_page_of_its_own_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, district: Callable[..., Done]
) -> None:
    for school, seed in SCHOOLS.items():
        folder = write_class(tmp_path / school, 3, 2, seed=seed)
        pack(folder, tmp_path / "packed", school)
    out = tmp_path / "pages"
    assert district(tmp_path / "packed", "--to", out, "--html", "--cores", "2") == (0, "")
    for school in SCHOOLS:
        monkeypatch.chdir(tmp_path / school)
        assert (out / f"{school}.json").read_bytes() == class_json(Path()) + b"\n"
        assert f"School {school}" in (out / f"{school}.html").read_text("utf-8")
    with (out / "schools.csv").open(newline="") as table:
        assert [(row["school"], row["learners"], row["sessions"]) for row in csv.DictReader(table)] == [
            (school, "3", str(len(list((tmp_path / school).rglob("2*.jsonl"))))) for school in sorted(SCHOOLS)
        ]
    assert {path.suffix for path in out.iterdir()} == {".json", ".html", ".csv"}, (
        "nothing is left of what was on the way"
    )


def test_what_another_version_packed_is_said_of_each_school(tmp_path: Path, district: Callable[..., Done]) -> None:
    packed = tmp_path / "packed"
    for school in ("north", "south"):
        pack(write_class(tmp_path / school, 2, 1, seed=3), packed, school)
    (part,) = (packed / "school=north").rglob("*.parquet")
    rows = f"read_parquet('{part}', hive_partitioning = false)"
    change = f"COPY (SELECT * REPLACE ('0.0.9 abc' AS packed_by) FROM {rows}) TO '{part}.new' (FORMAT parquet)"  # noqa: S608
    duckdb.connect(":memory:").execute(change)
    Path(f"{part}.new").replace(part)
    assert district(packed, "--to", tmp_path / "pages") == (1, (
        f"north: packed by another version of chattutor (0.0.9 abc; this is {packed_by()}), so this page may differ "
        "from the school's own. Pack those logs again with this version.\n"
    ))  # fmt: skip
    assert (tmp_path / "pages" / "north.json").is_file() and (tmp_path / "pages" / "south.json").is_file()


def test_what_is_no_packed_log_is_said_in_a_line(tmp_path: Path, district: Callable[..., Done]) -> None:
    (tmp_path / "school=north").mkdir()
    other = tmp_path / "school=north" / "a.parquet"
    duckdb.connect(":memory:").execute(f"COPY (SELECT 1 AS turn, 'x' AS learner) TO '{other}' (FORMAT parquet)")
    done = district(tmp_path, "--to", tmp_path / "pages")
    assert done.returncode != 0 and done.stderr.count("\n") == 1 and "pack those logs again" in done.stderr
