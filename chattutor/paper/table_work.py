"""Paper work in a table: a row for each piece of work, or a row for each learner and a column for each question."""

import re
from collections.abc import Iterator, Mapping

from chattutor.paper.line_shapes import ASKED_CELL
from chattutor.paper.piece_of_work import PaperWork, Stray
from chattutor.paper.question_columns import STEPS, TITLES, question_columns
from chattutor.paper.question_text import question_text
from chattutor.paper.textfile import FileRow, as_meant, rows
from chattutor.paper.whose import as_code, name_alone, name_on_heading
from dialogue.algebra.equation import Equation

NUMBERS = frozenset({"question", "questions", "q", "no", "number"})  # heads of a first column that names nobody
EQUATIONS = frozenset({"equation", "question", "problem"})
MARKS = frozenset({"mark", "marks", "score", "total", "points", "out of"})  # heads of columns that hold no work
QUESTION = re.compile(r"\(?\d{1,3}[a-z]?[.)]?", re.IGNORECASE)
NO_CELL = "This row has no code or no equation."


def in_lines(text: str) -> bool:
    """Whether most rows begin with an equation or a question's number: what parts the cells parts the lines of the
    working then."""
    first = [row.cells[0] for row in rows(text, table=True)]
    return 2 * sum("=" in cell.strip("='\"") or ASKED_CELL.fullmatch(cell) is not None for cell in first) > len(first)


def of_table(
    table: Iterator[FileRow], sheet: Mapping[int, Equation], learner: str = "", comma: bool = False
) -> Iterator[PaperWork | Stray]:
    """Every piece of work in a table; ``sheet``: the equation of each question's number; ``learner``: whose
    work it is where the first column numbers the questions; ``comma``: whether the cells are parted by semicolons, so
    that a comma between digits is the decimal one (common practice of spreadsheets, no source)."""
    numbered = False
    owner, work = learner, PaperWork(0, "", "")
    found = _without_numbers([_cut(row) for row in table])
    columns = question_columns(found, sheet, comma)
    if columns is not None:
        yield from columns.works(found)
        return
    for place, row in enumerate(found):
        code, equation, *lines = (*map(as_meant, row.cells), "", "")
        if code.lower().rstrip(".") in NUMBERS:
            numbered = True
            continue
        if not (numbered or sheet) and not learner and (name := name_on_heading("   ".join(row.cells))):
            owner = name
        if numbered and (named := _owner(row)):
            owner = named
            continue
        if numbered and owner and equation and (not code or QUESTION.fullmatch(code)):
            if code:
                work = PaperWork(row.line, as_code(owner), question_text(STEPS.split(equation)[0]).equation)
                work.lines += [(row.line, each) for each in STEPS.split(equation)[1:]]
                yield work
            elif work.code:
                work.lines.append((row.line, equation))
            work.lines += [(row.line, each) for each in lines if "=" in each]  # not what was done, nor marks
            continue
        if (place == 0 and code.lower() in TITLES) or code.startswith("#"):
            continue
        code = learner if numbered else code
        if not code or not equation:
            yield Stray(row.line, ", ".join(filter(None, row.cells)), NO_CELL)
            continue
        equation, *more = STEPS.split(equation)
        done = [(row.line, each) for each in (*more, *lines) if each]
        yield PaperWork(row.line, as_code(code), question_text(equation).equation, done, named="" if numbered else code)


def _without_numbers(found: list[FileRow]) -> list[FileRow]:
    """A table headed by a name, a question's number and its equation, without the numbers and the marks: the equation
    is the second cell then."""
    head = [as_meant(cell).lower().rstrip(".") for cell in found[0].cells] if found else []
    if len(head) < 3 or head[0] not in TITLES or head[1] not in NUMBERS or head[2] not in EQUATIONS:
        return found
    kept = [at for at, title in enumerate(head) if at != 1 and title not in MARKS]
    return [
        FileRow(row.line, tuple(row.cells[at] for at in kept if at < len(row.cells)))
        if at == 0 or "=" in "".join(row.cells[2:3])
        else row
        for at, row in enumerate(found)
    ]


def _cut(row: FileRow) -> FileRow:
    """The row, cut at semicolons where it is one cell of a table with other signs between."""
    cells = row.cells[0].split(";") if len(row.cells) == 1 else row.cells
    return FileRow(row.line, tuple(cell.strip() for cell in cells))


def _owner(row: FileRow) -> str:
    """Whose the rows below are, where a row says nothing else."""
    code, *rest = row.cells
    return name_on_heading("   ".join(row.cells)) if code and any(rest) else name_alone(code)
