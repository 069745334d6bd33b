"""Typed-in paper work: whose it is, the equation, and the lines under it.

A plain file has blocks parted by empty lines, the first line of each ``CODE: equation``, then a line of working a
line. A table has a row for each piece of work: the code, the equation, and a cell for each line of working.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from chattutor.paper.textfile import Row, as_meant, delimiter, rows
from chattutor.session_logs.learner import CODE

OPENING = re.compile(rf"({CODE.pattern})\s*:\s*(.*)")
TITLES = frozenset({"code", "learner", "pupil", "student"})


@dataclass(slots=True)
class Work:
    """One learner's work on one equation, all as typed; ``lines`` with their line numbers in the file."""

    line: int
    code: str
    equation: str
    lines: list[tuple[int, str]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Stray:
    """A line that belongs to no work."""

    line: int
    text: str


def works(text: str) -> Iterator[Work | Stray]:
    """Every piece of work in a file, in order."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    parted = delimiter(plain)
    yield from _of_table(rows(text, table=True)) if parted else _of_blocks(plain)


def _of_table(table: Iterator[Row]) -> Iterator[Work | Stray]:
    for place, row in enumerate(table):
        code, equation, *lines = (*map(as_meant, row.cells), "", "")
        if (place == 0 and code.lower() in TITLES) or code.startswith("#"):
            continue
        if not code or not equation:
            yield Stray(row.line, ", ".join(row.cells))
            continue
        yield Work(row.line, code, equation, [(row.line, each) for each in lines if each])


def _of_blocks(lines: list[str]) -> Iterator[Work | Stray]:
    work: Work | None = None
    for number, line in enumerate(lines, 1):
        typed = line.partition("#")[0].strip()
        opening = OPENING.fullmatch(typed)
        if opening is not None:
            if work is not None:
                yield work
            work = Work(number, opening[1], opening[2])
        elif typed and work is not None:
            work.lines.append((number, typed))
        elif typed:
            yield Stray(number, typed)
        elif not line.strip() and work is not None:
            yield work
            work = None
    if work is not None:
        yield work
