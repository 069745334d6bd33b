"""Names for codes from any table that has both: a key of ours, a school's export, a list typed by hand.

Which columns they are in is read off the headings or, where those say nothing, off what is in them; what was guessed is
said. Names are only shown: nothing of them is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from chattutor.common.exits import CannotGoOn, LogTrouble, plain
from chattutor.paper.textfile import FileRow, as_meant, read_text, rows
from chattutor.session_logs.learner_code import CODE
from chattutor.session_logs.spreadsheet import as_it_was

CODES = ("code", "learner code", "learner", "login", "username", "user name", "user", "id")
GIVEN = ("givenname", "given name", "first name", "firstname", "forename", "preferred name")
FAMILY = ("familyname", "family name", "last name", "lastname", "surname")
WHOLE = ("name", "full name", "fullname", "pupil", "student", "pupil name", "student name", "display name")
SCHOOLS_OWN = "sourcedid"  # the number by which a school's system knows somebody: no code of ours
MOST_QUOTED = 60


@dataclass(frozen=True, slots=True)
class NameList:
    """Code to name, and a sentence on what was guessed; empty for a key of ours."""

    names: dict[str, str]
    told: str = ""


def names_in(path: Path) -> NameList:
    """The names of a table. Raises LogTrouble, with the line where there is one."""
    try:
        table = list(rows(read_text(path).text, table=True))
    except CannotGoOn as trouble:
        raise LogTrouble(trouble.sentence) from trouble
    if not table:
        raise LogTrouble(f"{path} is empty: there is no name in it.")
    heads = [_cell(cell).lower() for cell in table[0].cells]
    code, parts = _by_heading(heads)
    body = table[1:] if code is not None or parts else table
    if code is None or not parts:
        code, parts = _by_content(body, heads, code, parts)
        if code is None or not parts:
            raise LogTrouble(
                f"{path} has no column of codes and one of names: its line {table[0].line} is "
                f'"{plain(", ".join(table[0].cells))[:MOST_QUOTED]}". Two columns will do: code,name.'
            )
    found = _names(path, body, code, parts)
    columns = " and ".join(_called(table[0], heads, place, body is table) for place in parts)
    ours = [heads[place] for place in (code, *parts)] == ["code", "givenname", "familyname"]
    told = f"{path}: codes are taken from {_called(table[0], heads, code, body is table)}, names from {columns}."
    return NameList(found, "" if ours else told)


def _by_heading(heads: Sequence[str]) -> tuple[int | None, list[int]]:
    """The place of the codes, and those of the parts of a name."""
    code = _first(heads, CODES)
    parts = [place for names in (GIVEN, FAMILY) if (place := _first(heads, names)) is not None]
    whole = _first(heads, WHOLE)
    return code, parts or ([whole] if whole is not None else [])


def _first(heads: Sequence[str], names: Sequence[str]) -> int | None:
    return next((heads.index(name) for name in names if name in heads), None)


def _by_content(
    body: Sequence[FileRow], heads: Sequence[str], code: int | None, parts: list[int]
) -> tuple[int | None, list[int]]:
    """Codes are short, have no spaces and are each there once; a name is in the first other column of words."""
    columns = [[_cell(row.cells[at]) if at < len(row.cells) else "" for row in body]
               for at in range(max((len(row.cells) for row in body), default=0))]  # fmt: skip
    like_codes = [
        at
        for at, cells in enumerate(columns)
        if at not in parts
        and all(map(CODE.fullmatch, cells))
        and _differ(cells)
        and heads[at : at + 1] != [SCHOOLS_OWN]
    ]
    if code is None:
        code = next((at for at in like_codes if any(any(map(str.isdecimal, cell)) for cell in columns[at])),
                    like_codes[0] if like_codes else None)  # fmt: skip
    words = [at for at, cells in enumerate(columns) if at != code and cells and all(map(_is_words, cells))]
    return code, parts or words[:1]


def _differ(cells: Sequence[str]) -> bool:
    return len({cell.lower() for cell in cells}) == len(cells) > 0


def _is_words(cell: str) -> bool:
    return any(map(str.isalpha, cell)) and not any(map(str.isdecimal, cell))


def _names(path: Path, body: Sequence[FileRow], code: int, parts: Sequence[int]) -> dict[str, str]:
    found: dict[str, str] = {}
    for row in body:
        cells = [_cell(cell) for cell in row.cells]
        name = " ".join(cells[place] for place in parts if place < len(cells) and cells[place])
        own = cells[code] if code < len(cells) else ""
        if not CODE.fullmatch(own) or not name:
            continue
        if found.get(own, name) != name:
            raise LogTrouble(
                f'{path}, line {row.line}: the code {own} is given to two people ("{plain(found[own])[:MOST_QUOTED]}" '
                f'and "{plain(name)[:MOST_QUOTED]}"). Give each a code of their own.'
            )
        found[own] = name
    if not found:
        raise LogTrouble(f"{path} has no line with a code and a name.")
    return found


def _cell(text: str) -> str:
    return as_it_was(" ".join(as_meant(text).split()))


def _called(first: FileRow, heads: Sequence[str], place: int, no_heads: bool) -> str:
    if no_heads or place >= len(heads) or not heads[place]:
        return f"column {place + 1}"
    return f'the column "{plain(first.cells[place])[:MOST_QUOTED]}"'
