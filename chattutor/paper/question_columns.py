"""A table with a row for each learner and a column for each question, headed by its number: ``Name, Q1, Q2``.

What was asked stands in the head itself (``Q1  3x + 2 = 14``), in the first row under it where that holds an equation
in each of those columns and no name, or on the sheet; where it stands nowhere, the table is none of these.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from chattutor.paper.mended import mended_text
from chattutor.paper.one_line import steps_on_line
from chattutor.paper.piece_of_work import PaperWork, Stray
from chattutor.paper.question_text import question_text
from chattutor.paper.stated import answers, stated_equation
from chattutor.paper.textfile import FileRow, as_meant
from chattutor.paper.whose import as_code, is_about_work, name_alone
from dialogue.algebra.equation import Equation

TITLES = frozenset({"code", "learner", "pupil", "student", "name"})
HEAD = re.compile(
    r"(?:questions?|qu?|no)?\.?\s*(\d{1,3})()|(?:questions?|qu?)\.?\s*(\d{1,3})\b[.:)]*\s+(.*)", re.IGNORECASE
)
STEPS = re.compile(r"\s*(?:;|=>|⇒|→)\s*")  # between the lines of working in one cell
STROKES = re.compile(r"\s+/\s+")
DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
NOT_READ = "These columns are of no question, so they are not read."
NOBODY = "This row names nobody, so it is not marked."


@dataclass(frozen=True, slots=True)
class QuestionColumns:
    """Where each question's cells are, what was asked, and whose column it is; ``under``: the questions stand in a row
    under the head; ``comma``: a comma between digits is the decimal one."""

    columns: Mapping[int, Sequence[int]]
    asked: Mapping[int, str]
    heads: Sequence[str]
    name: int
    under: bool
    comma: bool

    def works(self, rows: Sequence[FileRow]) -> Iterator[PaperWork | Stray]:
        """Every learner's work on every question, and what of the table is not read."""
        head, *learners = rows
        used = {self.name, *(column for each in self.columns.values() for column in each)}
        beside = [cell for column, cell in enumerate(self.heads) if cell and column not in used]
        if beside:
            yield Stray(head.line, ", ".join(beside), NOT_READ)
        for row in learners[self.under :]:
            cells = [self._meant(cell) for cell in row.cells]
            name = cells[self.name] if self.name < len(cells) else ""
            if not name or is_about_work(name) or name.startswith("#"):
                yield Stray(row.line, ", ".join(filter(None, row.cells)), NOBODY)
                continue
            for number, columns in self.columns.items():
                if number not in self.asked:
                    continue
                found = [cells[column] for column in columns if column < len(cells) and cells[column]]
                found.sort(key=lambda cell: -cell.count("="))  # the working before the answer
                lines = [(row.line, step) for cell in found for step in _steps(cell)]
                yield PaperWork(row.line, as_code(name), self.asked[number], lines, named=name)

    def _meant(self, cell: str) -> str:
        text = as_meant(cell)
        return DECIMAL_COMMA.sub(".", text) if self.comma else text


def question_columns(rows: Sequence[FileRow], sheet: Mapping[int, Equation], comma: bool) -> QuestionColumns | None:
    """The columns of a table of this kind; None for any other."""
    if not rows:
        return None
    heads = [as_meant(cell).strip() for cell in rows[0].cells]
    columns: dict[int, list[int]] = {}
    in_head: dict[int, str] = {}
    for column, head in enumerate(heads):
        match = HEAD.fullmatch(head)
        if match is None:
            continue
        number = int(match[1] or match[3])
        columns.setdefault(number, []).append(column)
        equation = _to_solve(DECIMAL_COMMA.sub(".", match[4] or "") if comma else match[4] or "")
        if equation:
            in_head.setdefault(number, equation)
    titled = (column for column, head in enumerate(heads) if (head.lower().split() or [""])[-1] in TITLES)
    name = next(titled, 0)
    if not columns or any(name in each for each in columns.values()):
        return None
    under = {} if in_head or sheet else _asked_under(rows, columns, name, comma)
    asked = in_head or under or {number: sheet[number].text() for number in columns if number in sheet}
    return QuestionColumns(columns, asked, heads, name, bool(under), comma) if asked else None


def _asked_under(
    rows: Sequence[FileRow], columns: Mapping[int, Sequence[int]], name: int, comma: bool
) -> dict[int, str]:
    """The equations of the first row under the head, where it has one for each question, and no name."""
    if len(rows) < 2 or name >= len(rows[1].cells) or name_alone(rows[1].cells[name]):
        return {}
    found: dict[int, str] = {}
    for number, places in columns.items():
        cell = rows[1].cells[places[0]] if places[0] < len(rows[1].cells) else ""
        equation = _to_solve(DECIMAL_COMMA.sub(".", as_meant(cell)) if comma else as_meant(cell))
        if not equation:
            return {}
        found[number] = equation
    return found


def _to_solve(text: str) -> str:
    """The equation of a cell; empty where it is none, or an answer."""
    asked = question_text(text).equation
    asked = asked if stated_equation(asked) is not None else mended_text(asked)
    return "" if answers(asked) else asked


def _steps(cell: str) -> Iterator[str]:
    """A cell's lines of working: parted by semicolons, arrows, commas, or strokes with an equation on both sides."""
    for part in STEPS.split(cell):
        pieces = STROKES.split(part)
        for each in pieces if all(piece.count("=") == 1 for piece in pieces) else [part]:
            yield from steps_on_line(each)
