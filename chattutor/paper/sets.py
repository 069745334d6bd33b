"""A teacher's own set of equations, checked line by line: what cannot be used is said, the rest is used.

A plain file has one equation a line; ``#`` starts a comment, a line ending in a colon is a heading, and what stands
around an equation (``3)``, a bullet, "Solve", "(3 marks)", an answer) is left away. In a table the equations are in the
column headed ``equation``, or in the first cell of a row that holds an equals sign.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from itertools import chain
from pathlib import Path
from typing import Literal, TypeAlias

from chattutor.common.exits import plain
from chattutor.paper.layout import in_a_row
from chattutor.paper.mended import equations_in, mended_text
from chattutor.paper.question_text import BULLET_OR_MINUS, DASH, QuestionText, is_instruction, question_text
from chattutor.paper.scans import FROM_A_SCAN, in_ones_and_noughts, scanned_line
from chattutor.paper.stacked import unstacked
from chattutor.paper.textfile import FileRow, as_meant, lines_of, read_text, rows
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import OutOfScope, Refusal
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import has_unknown
from dialogue.algebra.writing import BOARD
from dialogue.learner.diagnostic import clashes

FindingKind: TypeAlias = Literal[
    "encoding", "unreadable", "out of scope", "duplicate", "no unknown", "no solution", "always true", "hides an error",
    "not checked", "not read", "read as", "another answer",
]  # fmt: skip

MINUS = re.compile(r"[-–—−]\S")
TITLE = re.compile(r"(?!.*[.?!]$)[A-Za-z].*[A-Za-z]{3,}.*")  # no sentence
HEADING = re.compile(r"(?=.*[a-z]{3})[A-Z][A-Za-z]*(?: [A-Za-z]{1,12}){0,2}")  # Bronze; Part A
BETWEEN = re.compile(r"\s*[;|]\s*|\s*,\s+|\s+and\s+|\s{3,}")
CLAIM = re.compile(r"\b(?:is|are|equals?|makes?|gives?|gets?|costs?|left|total|altogether)\b.*\d", re.IGNORECASE)
LETTERED = re.compile(r"(?:^|\s{2,})(?:\d{1,2}[a-h]?\s+)?([a-h])\s{2,}(?=[\w(−-])")  # 1   a  3x = 12     b  5x = 20
NUMBERED = re.compile(r"(\d{1,3})(?:\s+|\s?/\s+)(?=[\w(\[{]|[−-]\S)")  # 1  3x = 12; 1/ 3x = 12
LEVEL = re.compile(r"([A-Z][A-Za-z]*(?: [A-Za-z]{1,12}){0,2}):\s+(\S.*=.*)")  # Bronze: 2x + 3 = 11; 5x = 20
FOR_ANSWER = re.compile(r"\w?\s*=[\s._…?]*")  # x = ......
STARS = "★☆⭐* "
LEAST_NUMBERED = 3  # lines that begin with 1, 2, 3 and so on: question numbers
MOST_QUOTED = 60  # characters of a line
LEAST_DASHES = 3  # lines that all begin with a minus sign: a list, it may be
HEADINGS = ("equation", "equations", "question", "problem")
MOST_TRIED = 300  # equations of a file of which every wrong rule is tried


@dataclass(frozen=True, slots=True)
class Item:
    """One equation that can be used, where it stands, and the heading over it."""

    line: int
    equation: Equation
    heading: str = ""


@dataclass(frozen=True, slots=True)
class SetFinding:
    """Something to tell the teacher about a line (0: the whole file) as typed; ``used``: its equation is used all the
    same."""

    line: int
    kind: FindingKind
    sentence: str
    used: bool
    typed: str = ""

    def text(self) -> str:
        """``Line 3: ... ("x^2 = 9")``"""
        if not self.line:
            return self.sentence
        quoted = self.typed if len(self.typed) <= MOST_QUOTED else f"{self.typed[:MOST_QUOTED]}..."
        return f"Line {self.line}: {self.sentence}" + (f' ("{plain(quoted)}")' if quoted else "")


@dataclass(frozen=True, slots=True)
class EquationSet:
    """What a file holds."""

    items: tuple[Item, ...]
    findings: tuple[SetFinding, ...]


def read_set(path: Path, remarks: bool = True, most: int | None = None) -> EquationSet:
    """The set in a file, everything usable used, up to ``most`` equations; without ``remarks`` only what cannot be used
    is told.

    Raises CannotGoOn where the file cannot be read at all.
    """
    found = read_text(path)
    items: list[Item] = []
    findings: list[SetFinding] = []
    if found.guessed:
        sentence = f"The file does not say how it is encoded; it was read as {found.guessed}."
        findings.append(SetFinding(0, "encoding", sentence, used=True))
    first: dict[str, int] = {}
    known: dict[str, Equation | Refusal] = {}  # a long file says the same again and again
    scanned = scanned_line(found.text) is not None
    if scanned:
        findings.append(SetFinding(0, "read as", FROM_A_SCAN, used=True))
    rows_of_it = list(_rows(in_ones_and_noughts(found.text) if scanned else found.text))
    if len(rows_of_it) >= LEAST_DASHES and all(MINUS.match(typed) for _, typed, _ in rows_of_it):
        sentence = "Every line begins with a minus sign. If they are bullets, leave a space after each."
        findings.append(SetFinding(0, "read as", sentence, used=True))
    dashes = sum(DASH.match(typed) is not None for _, typed, _ in rows_of_it)
    if dashes > 1:
        sentence = f"A dash and a space at the start of {dashes} lines was taken for a bullet, not for a minus sign."
        findings.append(SetFinding(0, "read as", sentence, used=True))
    numbered = _numbered([typed for _, typed, _ in rows_of_it])
    if len(numbered) >= LEAST_NUMBERED:
        sentence = f"The numbers at the start of {len(numbered)} lines were taken for question numbers."
        findings.append(SetFinding(0, "read as", sentence, used=True))
        rows_of_it = [
            (line, NUMBERED.sub("", typed, count=1) if place in numbered else typed, heading)
            for place, (line, typed, heading) in enumerate(rows_of_it)
        ]
    for line, typed, heading in rows_of_it:
        if len(items) == most:
            sentence = f"Only the first {most} equations are used; the file was not read from this line on."
            findings.append(SetFinding(line, "not read", sentence, used=False))
            break
        asked = question_text(typed)
        text = asked.equation
        if text not in known:
            known[text] = _read(text)
        equation = known[text]
        mended = mended_text(text) if isinstance(equation, Refusal) else ""
        if mended:
            equation = read_equation(mended)
        if isinstance(equation, Refusal):
            kind: FindingKind = "out of scope" if isinstance(equation, OutOfScope) else "unreadable"
            findings.append(SetFinding(line, kind, equation.sentence, used=False, typed=typed))
            continue
        written = equation.text()
        if written in first:
            sentence = f"This equation is on line {first[written]} too; it is used once."
            findings.append(SetFinding(line, "duplicate", sentence, used=False, typed=typed))
            continue
        first[written] = line
        if not has_unknown(equation.left) and not has_unknown(equation.right):
            sentence = "There is no unknown letter in this equation."
            findings.append(SetFinding(line, "no unknown", sentence, used=False, typed=typed))
            continue
        if mended:
            sentence = f"This was read as {equation.text(BOARD)}."
            findings.append(SetFinding(line, "read as", sentence, used=True, typed=typed))
        if remarks:
            said = chain(_doubts(asked, equation, dashes > 1), _remarks(equation, len(items) < MOST_TRIED))
            findings += [SetFinding(line, kind, sentence, used=True, typed=typed) for kind, sentence in said]
        items.append(Item(line, equation, heading))
    if remarks and len(items) > MOST_TRIED:
        sentence = f"Hidden errors were looked for in the first {MOST_TRIED} equations only."
        findings.append(SetFinding(0, "not checked", sentence, used=True))
    return EquationSet(tuple(items), tuple(findings))


def _numbered(lines: list[str]) -> set[int]:
    """The places of the lines that begin with the next number, 1 first, and a gap or a stroke: ``1  4x + 3 = 27``."""
    found: set[int] = set()
    for place, typed in enumerate(lines):
        number = NUMBERED.match(typed)
        if number is not None and int(number[1]) == len(found) + 1:
            found.add(place)
    return found


def _read(text: str) -> Equation | Refusal:
    try:
        return read_equation(text)
    except Refusal as refusal:
        return refusal


def _rows(text: str) -> Iterator[tuple[int, str, str]]:
    """(line, what is typed there, heading over it); without comments, headings and instructions."""
    column: int | None = None
    heading = ""
    for place, row in enumerate(rows("\n".join(unstacked(lines_of(text))))):
        cells = row.cells
        if place == 0 and len(cells) > 1 and not any("=" in cell for cell in cells):
            column = _column(cells)  # a row of headings, in whatever language
            continue
        typed = _cell(row, column).partition("#")[0].strip()
        if column is None and (side_by_side := _equations_of(row)):
            yield from ((row.line, each, heading) for cell in side_by_side for each in _several(cell))
            continue
        if not typed or is_instruction(typed):
            continue
        title = place == 0 and len(cells) == 1 and TITLE.fullmatch(typed) and not CLAIM.search(typed)
        if (title or typed.endswith(":") or HEADING.fullmatch(typed.strip(STARS))) and "=" not in typed:
            heading = typed.rstrip(":").strip(STARS)
            continue
        level = LEVEL.fullmatch(typed)
        if level is not None and (under := _several(level[2])) and all(map(_to_solve, under)):
            yield from ((row.line, each, level[1]) for each in under)
            continue
        for each in _several(typed):
            yield row.line, each, heading


def _equations_of(row: FileRow) -> list[str]:
    """The cells of a row that hold an equals sign and are no answers, where they are several."""
    cells = [as_meant(cell) for cell in row.cells if "=" in cell and not _is_answer(as_meant(cell))]
    return cells if len(cells) > 1 else []


def _is_answer(text: str) -> bool:
    """Whether a text is an answer, or room for one."""
    read = _read(question_text(text).equation)
    return FOR_ANSWER.fullmatch(text) is not None or (isinstance(read, Equation) and is_solved(read))


def _to_solve(text: str) -> bool:
    """Whether a text is an equation, and no answer."""
    read = _read(question_text(text).equation)
    return isinstance(read, Equation) and not is_solved(read)


def _several(typed: str) -> list[str]:
    """The equations of a line that holds several; an unknown alone beside an equation is its answer, not another."""
    letters = LETTERED.findall(typed)
    if letters and letters == [chr(ord(letters[0]) + place) for place in range(len(letters))]:
        lettered = [part.strip() for part in LETTERED.split(typed)[2::2]]
        if all(map(_to_solve, lettered)):
            return lettered
    numbered = in_a_row(typed)
    if len(numbered) > 1 and all(map(_to_solve, numbered)):
        return numbered
    parts = [part for part in BETWEEN.split(typed) if part.strip()]
    if len(parts) > 1 and typed.count("=") == len(parts) and all(map(_to_solve, parts)):
        return parts
    return _in_sentence(typed) or [typed]


def _in_sentence(typed: str) -> list[str]:
    """A sentence with several equations, cut behind each; nothing where one cannot be read or is no question."""
    found = equations_in(typed)
    if len(found) < 2 or not all(map(_to_solve, found)):
        return []
    parts, at = list[str](), 0
    for each in found:
        end = typed.find(each, at) + len(each)
        if end < at + len(each):
            return []
        parts.append(typed[at:end].strip(" ,;"))
        at = end
    return parts if all(_to_solve(each) or mended_text(each) for each in parts) else []


def _column(cells: tuple[str, ...]) -> int | None:
    names = [cell.lower() for cell in cells]
    return next((names.index(name) for name in HEADINGS if name in names), None)


def _cell(row: FileRow, column: int | None) -> str:
    if column is not None:
        return as_meant(row.cells[column]) if column < len(row.cells) else ""
    return as_meant(next((cell for cell in row.cells if "=" in cell), " ".join(filter(None, row.cells))))


def _doubts(asked: QuestionText, equation: Equation, bullets: bool) -> Iterator[tuple[FindingKind, str]]:
    """What was taken for what, and an answer beside the equation that is not its answer."""
    for sentence in asked.doubts:
        if not (bullets and sentence == BULLET_OR_MINUS):
            yield "read as", sentence
    solution = equation.solution()
    if asked.answer and solution.value != _value(asked.answer):
        answer = {"none": "no number solves it", "every": "every number solves it"}.get(solution.kind)
        yield "another answer", f"The answer beside it is {asked.answer}; {answer or f'it is {solution.value}'}."


def _value(text: str) -> Fraction | None:
    try:
        return Fraction(linear(read_expression(text)).constant)
    except Refusal:
        return None


def _remarks(equation: Equation, try_rules: bool) -> Iterator[tuple[FindingKind, str]]:
    solution = equation.solution()
    if solution.kind == "none":
        yield "no solution", "No number solves this equation; learners will have to say so."
    elif solution.kind == "every":
        yield "always true", "Every number solves this equation; learners will have to say so."
    elif try_rules:
        hidden = [clash[0] for clash in clashes(equation, solution) if len(clash) == 1]
        if hidden:
            yield "hides an error", f"The answer hides an error: {doing(hidden[0])} also gives {solution.value}."


@cache
def _phrases() -> dict[str, str]:
    return dict(tomllib.loads(files(__package__).joinpath("phrases.toml").read_text("utf-8"))["doing"])


def doing(error: str) -> str:
    """What a learner did who made the error: ``subtracting the coefficient``."""
    return _phrases()[error]
