"""In which half-term a day is: by the first days that a teacher set, else by those of ``half_terms.toml``.

A teacher's file has a line for each half-term, its first day and its name: ``2026-11-02 Autumn 2``. Days may be written
``02/11/2026`` too, the day first. It is kept beside the logs, and a class and its pages use it from then on.
"""

import re
import tomllib
from collections.abc import Sequence
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

from chattutor.common.exits import CannotGoOn, reason
from chattutor.common.files import content, write_whole
from chattutor.session_logs.folder import HALF_TERMS

LINE = re.compile(r"(?:(\d{4})-(\d\d?)-(\d\d?)|(\d\d?)[/.](\d\d?)[/.](\d{4}))(?:[\s,;:]+(.*))?")
MOST = 100_000  # bytes of the file
LONGEST = 110  # days, from its first one, that the last half-term set can have: after them the table counts again


class HalfTerm(NamedTuple):
    """Its first day (ISO 8601) and what it is called."""

    first: str
    name: str


class HalfTermSpan(NamedTuple):
    """The first and the last day with a lesson in one half-term, and what it is called."""

    first: str
    last: str
    name: str


def spans(days: Sequence[str], told: Sequence[HalfTerm] = ()) -> list[HalfTermSpan]:
    """The half-terms in which there are days, which are sorted; ``told``: those that a teacher set, in order."""
    found: list[HalfTermSpan] = []
    for day in days:
        half_term = _half_term(day, told)
        name = half_term.name or f"from {half_term.first}"
        if found and found[-1].name == name:
            found[-1] = found[-1]._replace(last=day)
        else:
            found.append(HalfTermSpan(day, day, name))
    return found


def set_for(folder: Path) -> tuple[HalfTerm, ...]:
    """Those set for the logs in a folder; none where none are set, or what is kept cannot be used."""
    path = folder / HALF_TERMS
    if not path.is_file() or path.is_symlink():
        return ()
    try:
        return read(content(path, MOST).decode("utf-8-sig", "replace"), path.name)
    except CannotGoOn:
        return ()


def keep(folder: Path, text: str, source: str) -> str:
    """Keep a teacher's half-terms beside the logs, or forget them where the text is empty; what was done, in a
    sentence. Raises CannotGoOn."""
    found = read(text, source)
    path = folder / HALF_TERMS
    try:
        if not found:
            path.unlink(missing_ok=True)
            return "Half-terms are those of the program's own table again."
        write_whole(path, "".join(f"{each.first} {each.name}\n" for each in found).encode())
    except OSError as error:
        raise CannotGoOn(f"{path} cannot be written: {reason(error)}.") from error
    return f"{len(found)} half-terms are kept in {path}, the first from {found[0].first}."


def read(text: str, source: str) -> tuple[HalfTerm, ...]:
    """The half-terms of a teacher's file, in order. Raises CannotGoOn, which quotes the line."""
    found: list[HalfTerm] = []
    for number, line in enumerate(text.splitlines(), 1):
        typed = line.partition("#")[0].strip()
        if not typed:
            continue
        match = LINE.fullmatch(typed)
        try:
            if match is None:
                raise ValueError
            year, month, day = (match[1], match[2], match[3]) if match[1] else (match[6], match[5], match[4])
            first = date(int(year), int(month), int(day)).isoformat()
        except ValueError:
            raise CannotGoOn(
                f"{source}, line {number}: a first day and a name, please, such as 2026-11-02 Autumn 2. "
                f'("{typed[:60]}")'
            ) from None
        found.append(HalfTerm(first, (match[7] or "").strip()[:40]))
    return tuple(sorted(found))


def _half_term(day: str, told: Sequence[HalfTerm]) -> HalfTerm:
    """The one that a day is in."""
    usual = _usual(date.fromisoformat(day))
    before = [each for each in told if each.first <= day]
    if not before:
        return usual
    last = before[-1]
    is_last = last == told[-1]
    over = (date.fromisoformat(day) - date.fromisoformat(last.first)).days > LONGEST
    return usual if is_last and over else last


def _usual(day: date) -> HalfTerm:
    """By the table; a school year begins with its first row."""
    rows = _table()
    begun = [
        (date(year, month, first), name)
        for year in (day.year - 1, day.year)
        for month, first, name in rows
        if date(year, month, first) <= day
    ]
    first_day, name = max(begun)
    autumn = first_day.year if first_day.month >= rows[0][0] else first_day.year - 1
    return HalfTerm(first_day.isoformat(), f"{name}, {autumn}/{(autumn + 1) % 100:02}")


@cache
def _table() -> tuple[tuple[int, int, str], ...]:
    found = tomllib.loads(files(__package__).joinpath("half_terms.toml").read_text("utf-8"))["half_term"]
    return tuple((row["month"], row["day"], row["name"]) for row in found)
