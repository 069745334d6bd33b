"""Session logs packed into Parquet, by school and month, for whoever has more of them than one computer reads.

``OUT/school=NAME/month=2026-09/*.parquet``: the rows of ``packed_rows.py``. The partitioning is the one that cluster
engines call Hive partitioning. Packed again, a school's part is made anew whole. It holds learners' words, as the logs
do: ``logs erase`` takes a learner out of it.
"""

import json
import os
import re
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple, TextIO

from chattutor.common.exits import USAGE, CannotGoOn, LogTrouble, reason
from chattutor.exchange.packed_rows import COLUMNS, MAKING, packed_by, rows_of
from chattutor.session_logs.learner_code import CODE
from chattutor.session_logs.writer import FILE_MODE, FOLDER_MODE, now

PACKED = "packed"  # the folder in a folder of logs, unless another is named
NEW = ".new"  # what taking out writes to, until it is whole
FIRST = "2020"  # a session that says it was begun before had a wrong clock
WHICH = f"($2 IS NULL OR learner = $2) AND ($3 IS NULL OR (created < $3 AND created >= '{FIRST}'))"  # of Rows
NO_TIME = "it holds sessions whose clock was wrong; their age is unknown: erase them by learner."
MONTH, NO_MONTH = re.compile(r"[0-9]{4}-[0-9]{2}-"), "0000-00"  # a month is a folder's name: nothing else may be one
NO_ENGINE = 'Packing needs DuckDB: pip install "chattutor[scale]".'


def engine() -> Any:
    """A DuckDB of its own, which goes to no network. Raises CannotGoOn."""
    try:
        import duckdb
    except ImportError as error:
        raise CannotGoOn(NO_ENGINE) from error
    return duckdb.connect(":memory:", config={"autoinstall_known_extensions": "false"})


def pack(folder: Path, out: Path, school: str) -> int:
    """Pack a folder of logs as one school's, as teachers judged them; how many rows. Raises CannotGoOn."""
    if not CODE.fullmatch(school):
        raise CannotGoOn("Name the school with 1 to 32 letters, digits, - or _.", USAGE)
    connection = engine()
    try:
        out.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
        with TemporaryDirectory(dir=out, prefix=MAKING) as making:
            rows = Path(making) / "rows.jsonl"
            with open(os.open(rows, os.O_WRONLY | os.O_CREAT | os.O_EXCL, FILE_MODE), "w", encoding="utf-8") as into:
                count = _write(folder, school, into)
            if count:
                with _in_words(out):
                    _copy(connection, rows, Path(making))
                shutil.rmtree(out / f"school={school}", ignore_errors=True)
                os.replace(Path(making) / "made" / f"school={school}", out / f"school={school}")
    except OSError as error:
        raise LogTrouble(f"{out} cannot be written: {reason(error)}.") from error
    return count


class Rows(NamedTuple):
    """Which rows: those of a learner, those of sessions begun before a time (ISO 8601), or those that are both."""

    learner: str | None = None
    before: str | None = None


def holding(paths: Iterable[Path], which: Rows) -> tuple[list[Path], list[str]]:
    """Those files that have such rows, and a sentence on each that cannot be asked. Raises CannotGoOn."""
    found: list[Path] = []
    unread: list[str] = []
    # our own text; the path is bound
    ask = f"SELECT count(*) FROM read_parquet($1, hive_partitioning = false) WHERE {WHICH}"  # noqa: S608 # nosec B608
    wrong = f"($2 IS NULL OR learner = $2) AND $3 IS NOT NULL AND (created < '{FIRST}' OR created > '{now()}')"
    # our own text; the path is bound
    odd = f"SELECT count(*) FROM read_parquet($1, hive_partitioning = false) WHERE {wrong}"  # noqa: S608 # nosec B608
    connection = engine()
    for path in paths:
        try:
            if _asked(connection, ask, path, which):
                found.append(path)
            if which.before is not None and _asked(connection, odd, path, which):
                unread.append(f"{path}: {NO_TIME}")
        except LogTrouble as trouble:
            unread.append(f"{trouble.sentence} Was it packed by chattutor? Check it yourself.")
    return found, unread


def take_out(path: Path, which: Rows) -> int:
    """Write a Parquet file anew without such rows; how many bytes smaller it is. Raises CannotGoOn."""
    was = path.stat().st_size
    beside = path.with_name(path.name + NEW)
    connection = engine()
    # our own text; what comes from outside is bound or quoted
    rows = f"SELECT * FROM read_parquet($1, hive_partitioning = false) WHERE NOT coalesce({WHICH}, false)"  # noqa: S608 # nosec B608
    # our own text; the path is bound
    if not _asked(connection, f"SELECT count(*) FROM ({rows})", path, which):  # noqa: S608 # nosec B608
        path.unlink()
        return was
    with _in_words(path):
        connection.execute("CREATE TABLE left_over AS " + rows, [str(path), *which])
        connection.execute(f"COPY left_over TO {_quoted(beside)} (FORMAT parquet, COMPRESSION zstd)")
    beside.chmod(FILE_MODE)
    os.replace(beside, path)
    return was - path.stat().st_size


def _asked(connection: Any, ask: str, path: Path, which: Rows) -> int:
    with _in_words(path):
        return int(connection.execute(ask, [str(path), *which]).fetchone()[0])
    return 0


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """What the engine cannot do, as one sentence. Raises LogTrouble."""
    import duckdb

    try:
        yield
    except duckdb.Error as error:
        why = str(error).splitlines()[0].rstrip(".")
        raise LogTrouble(f"Packed data could not be read or written, {path}: {why}.") from error


def _copy(connection: Any, rows: Path, making: Path) -> None:
    columns = ", ".join(f"{name}: '{kind}'" for name, kind in COLUMNS.items())
    source = f"read_json({_quoted(rows)}, format = 'newline_delimited', columns = {{{columns}}})"
    options = "FORMAT parquet, COMPRESSION zstd, PARTITION_BY (school, month)"
    # our own text; what comes from outside is bound or quoted
    connection.execute(f"COPY (SELECT * FROM {source}) TO {_quoted(making / 'made')} ({options})")  # noqa: S608 # nosec B608
    for path in (making / "made").rglob("*"):
        path.chmod(FOLDER_MODE if path.is_dir() else FILE_MODE)


def _quoted(path: Path) -> str:
    return "'" + str(path).replace("'", "''") + "'"


def _write(folder: Path, school: str, into: TextIO) -> int:
    count = 0
    for row in rows_of(folder):
        created = row.get("created", "")
        month = created[:7] if MONTH.match(created) else NO_MONTH
        into.write(
            json.dumps(row | {"school": school, "month": month, "packed_by": packed_by()}, ensure_ascii=True) + "\n"
        )
        count += 1
    return count
