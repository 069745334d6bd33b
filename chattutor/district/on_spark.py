"""The pages of a whole district on Apache Spark: in this computer's processors, or on a cluster with the same code.

Rows are brought together by learner, each learner is looked at where those rows are, and what was found of a school's
learners is put together into its page. Nothing is held at once but one learner's rows, and one school's findings.
"""

import os
import shutil
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

import chattutor
from chattutor.common.exits import CannotGoOn, LogTrouble, reason
from chattutor.district.from_rows import NEEDED, packed_learner, school_page
from chattutor.exchange.packed_rows import packed_by
from chattutor.review.class_reading import as_json
from chattutor.session_logs.writer import FILE_MODE, FOLDER_MODE

NO_ENGINE = "The pages of a district need Spark: pip install 'chattutor[district]'."
NO_JAVA = "Spark needs Java 17 or later, which is not here; on Debian: apt-get install default-jre-headless."
OLD = "was packed by an earlier version, without what a page needs: pack those logs again."
PACKED_BY, UNKNOWN = "packed_by", "an earlier one"
WORKING = ".working-"  # the folder for what Spark writes on the way: learners' words are in it


class SparkSettings(NamedTuple):
    """How many processors of this computer may work (0: all), the memory of its Java process in MB, and the address
    of a cluster in place of this computer."""

    cores: int = 0
    memory: int = 2048
    master: str = ""


class SchoolPage(NamedTuple):
    """A school's class page, as JSON, and the other versions of the program by which rows of it were packed."""

    school: str
    page: bytes
    others: tuple[str, ...]


def pages(packed: Path, out: Path, engine: SparkSettings) -> Iterator[SchoolPage]:
    """The class page of each school. Raises CannotGoOn."""
    with _session(out, engine) as spark:
        rows = _read(spark, packed)
        learners = rows.groupBy("school", "learner").applyInArrow(
            _learner, "school string, found binary, packed_by string"
        )
        made = learners.groupBy("school").applyInArrow(_school, "school string, page binary, packed_by string")
        for row in made.orderBy("school").collect():
            others = tuple(each for each in row["packed_by"].split("\n") if each != packed_by())
            yield SchoolPage(row["school"], bytes(row["page"]), others)


def _read(spark: Any, packed: Path) -> Any:
    from pyspark.errors import PySparkException

    try:
        rows = spark.read.parquet(str(packed))
    except PySparkException as error:
        raise LogTrouble(f"{packed} holds no packed logs that can be read.") from error
    if not {"school", PACKED_BY, *NEEDED} <= set(rows.columns):
        raise LogTrouble(f"{packed} {OLD}")
    return rows.select("school", PACKED_BY, *NEEDED)


def _learner(key: Any, rows: Any) -> Any:
    """A learner's rows, where they are."""
    import pyarrow

    found = packed_learner({name: rows.column(name).to_pylist() for name in NEEDED})
    return pyarrow.table(
        {"school": [key[0].as_py()], "found": pyarrow.array([found], pyarrow.binary()), PACKED_BY: [_versions(rows)]}
    )


def _school(key: Any, found: Any) -> Any:
    """What was found of a school's learners, where that is."""
    import pyarrow

    page = as_json(school_page(found.column("found").to_pylist()))
    return pyarrow.table(
        {"school": [key[0].as_py()], "page": pyarrow.array([page], pyarrow.binary()), PACKED_BY: [_versions(found)]}
    )


def _versions(rows: Any) -> str:
    """By what rows were packed, a version a line."""
    told = {
        version for each in rows.column(PACKED_BY).unique().to_pylist() for version in (each or UNKNOWN).split("\n")
    }
    return "\n".join(sorted(told))


@contextmanager
def _session(out: Path, engine: SparkSettings) -> Iterator[Any]:
    """Spark, begun and ended. Raises CannotGoOn."""
    try:
        import pyarrow  # noqa: F401 - Spark hands over by it
        from pyspark.errors import PySparkException
        from pyspark.sql import SparkSession
    except ImportError as error:
        raise CannotGoOn(NO_ENGINE) from error
    if shutil.which("java") is None and "JAVA_HOME" not in os.environ:
        raise CannotGoOn(NO_JAVA)
    root = str(Path(str(chattutor.__file__)).parents[1])
    os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, (root, os.environ.get("PYTHONPATH"))))
    os.environ.setdefault("PYSPARK_PYTHON", sys.executable)
    try:
        out.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
        working = TemporaryDirectory(dir=out, prefix=WORKING)
    except OSError as error:
        raise LogTrouble(f"{out} cannot be written: {reason(error)}.") from error
    settings = {
        "spark.local.dir": working.name,
        "spark.driver.memory": f"{engine.memory}m",
        "spark.ui.enabled": "false",
        "spark.ui.showConsoleProgress": "false",
        "spark.sql.sources.partitionColumnTypeInference.enabled": "false",  # a school called 007 stays so
        "spark.sql.session.timeZone": "UTC",
    }
    with working:
        builder = SparkSession.builder.appName("chattutor").master(engine.master or f"local[{engine.cores or '*'}]")
        for name, value in settings.items():
            builder = builder.config(name, value)
        with _aside(Path(working.name) / "said"):
            try:
                spark = builder.getOrCreate()
            except PySparkException as error:
                raise CannotGoOn(f"Spark could not be started: {_told(Path(working.name) / 'said')}") from error
        try:
            yield spark
        finally:
            spark.stop()


@contextmanager
def _aside(file: Path) -> Iterator[None]:
    """Whatever a process begun here says of itself goes into a file: Java speaks of its own modules on every start."""
    kept = os.dup(2)
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, FILE_MODE)
    os.dup2(handle, 2)
    try:
        yield
    finally:
        os.dup2(kept, 2)
        os.close(handle)
        os.close(kept)


def _told(file: Path) -> str:
    """The last thing that Java said."""
    lines = file.read_text("utf-8", "replace").split("\n")
    return next((line.strip() for line in reversed(lines) if line.strip()), "it did not say why.")
