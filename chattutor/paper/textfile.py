"""A file from somebody else's computer as numbered rows of cells: plain text, or a spreadsheet's export.

What it may be: UTF-8 with or without a mark, UTF-16, or an old Windows code page; lines ended in any of three ways;
cells parted by commas, semicolons or tabs.
"""

import csv
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from chattutor.common import files
from chattutor.common.exits import CannotGoOn

MAX_BYTES = 20_000_000  # a hundred thousand long lines
MAX_LINES = 200_000
LONGEST = 20_000  # characters of a line that are looked at: no line of work has as many, and no list of a class
NOT_TEXT = {
    b"PK\x03\x04": "a spreadsheet or word-processor file; save it as CSV or as plain text first",
    b"\xd0\xcf\x11\xe0": "an old spreadsheet or word-processor file; save it as CSV or as plain text first",
    b"%PDF": "a PDF; copy its text into a plain file first",
}
OLD_WINDOWS = "cp1252"
ENCODINGS = {
    "utf_8": "UTF-8", "utf_16": "UTF-16", "utf_16_le": "UTF-16", "utf_16_be": "UTF-16", OLD_WINDOWS: "Windows-1252",
}  # fmt: skip
LONG = 1_000  # characters of a line from which its gaps are
WIDEST = 4  # blanks and no more, since columns cannot be told any longer
WIDE = re.compile(rf"[ \t\xa0]{{{WIDEST},}}")
CIRCLED = {0x2460 + place: f" {place + 1}) " for place in range(20)}  # a number in a circle
FORMULA = re.compile(r"""=?["'](.*?)["']?|=(.*=.*)""")


@dataclass(frozen=True, slots=True)
class Text:
    """The text of a file; ``guessed`` names the encoding where the file did not say."""

    text: str
    guessed: str = ""


@dataclass(frozen=True, slots=True)
class FileRow:
    """One line of the file, counted from 1, and its cells (one cell in a plain file)."""

    line: int
    cells: tuple[str, ...]


def read_text(path: Path) -> Text:
    """The whole file. Raises CannotGoOn where it cannot be read or is no text."""
    content = files.content(path, MAX_BYTES)
    for start, what in NOT_TEXT.items():
        if content.startswith(start):
            raise CannotGoOn(f"{path} is {what}.")
    found = decoded(content)
    if "\0" in found.text:
        raise CannotGoOn(f"{path} is not a text file.")
    if found.text.count("\n") + found.text.count("\r") > 2 * MAX_LINES:  # a line may end in both
        raise CannotGoOn(f"{path} has more than {MAX_LINES:,} lines; split it into several files.")
    return found


def decoded(content: bytes) -> Text:
    """The bytes as text, in the encoding they are marked with or seem to be in. Never fails; what is no text at all
    has a zero in it."""
    with suppress(UnicodeDecodeError):
        if b"\0" not in content:
            return Text(content.decode("utf-8-sig"))
    from charset_normalizer import from_bytes  # only now: most files are UTF-8

    found = from_bytes(content, cp_isolation=list(ENCODINGS)).best()
    if found is None:
        return Text("\0") if b"\0" in content else Text(content.decode(OLD_WINDOWS, errors="replace"), "Windows-1252")
    return Text(str(found).removeprefix("\ufeff"), "" if found.bom else ENCODINGS[found.encoding])


def lines_of(text: str) -> list[str]:
    """The lines, ended in any way, none longer than what is looked at; a number in a circle as ``3)``."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").translate(CIRCLED).split("\n")
    return [line if len(line) <= LONG else WIDE.sub(" " * WIDEST, line[:LONGEST]) for line in lines]


def rows(text: str, table: bool | None = None) -> Iterator[FileRow]:
    """Rows that are not empty. ``table`` says whether it has cells; None finds out from the first lines."""
    lines = lines_of(text)
    parted = delimiter(lines) if table is None else (delimiter(lines) or ",") if table else ""
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        if not parted:
            yield FileRow(number, (line.strip(),))
            continue
        cells = tuple(cell.strip() for cell in _cells(line, parted))
        if any(cells):
            yield FileRow(number, cells)


def _cells(line: str, parted: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=parted, strict=False), [])
    except csv.Error:  # a cell past the bound of the csv module: the line is then one cell, and said to be too long
        return [line]


def delimiter(lines: list[str]) -> str:
    """The sign between cells; empty for a plain file. A comma inside a number is none."""
    sample = [line for line in lines[:200] if line.strip() and not line.lstrip().startswith("#")]
    for sign in "\t;,":
        if sample and sum(len(_cells(line, sign)) > 1 for line in sample) * 2 > len(sample):
            return "" if sign == "," and _decimal_commas(sample) else sign
    return ""


def _decimal_commas(sample: list[str]) -> bool:
    """Whether the commas seem to be decimal ones: each between two digits, in lines that each hold an equation."""
    commas = [(line, at) for line in sample for at, sign in enumerate(line) if sign == ","]
    return all(
        0 < at < len(line) - 1 and line[at - 1].isdecimal() and line[at + 1].isdecimal() for line, at in commas
    ) and not any('"' in line for line in sample)


def as_meant(cell: str) -> str:
    """Without what spreadsheets put around a text that they would take for a formula: ="4n=52", '4n=52, =4n=52."""
    bare = FORMULA.fullmatch(cell)
    return (bare[1] if bare[2] is None else bare[2]) if bare else cell
