"""A teacher's own set of equations, checked line by line: what cannot be used is said, the rest is used.

A plain file has one equation a line; ``#`` starts a comment, a line ending in a colon is a heading, and a number
before an equation (``3)``, ``b.``) is left away. In a table the equations are in the column headed ``equation``, or
in the first cell of a row that holds an equals sign.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Literal, TypeAlias

from chattutor.paper.textfile import Row, as_meant, read_text, rows
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.refusals import OutOfScope, Refusal
from dialogue.algebra.tree import has_unknown
from dialogue.learner.diagnostic import clashes

FindingKind: TypeAlias = Literal[
    "encoding", "unreadable", "out of scope", "duplicate", "no unknown", "no solution", "always true", "hides an error",
    "not checked", "not read",
]  # fmt: skip

ITEM = re.compile(r"(?:\d{1,3}|[A-Za-z])(?:\)\s*|\.\s+)")
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
    """Something to tell the teacher about a line (0: the whole file); ``used``: the equation is used all the same."""

    line: int
    kind: FindingKind
    sentence: str
    used: bool

    def text(self) -> str:
        """``Line 3: ...``"""
        return f"Line {self.line}: {self.sentence}" if self.line else self.sentence


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
    for line, text, heading in _equations(found.text):
        if len(items) == most:
            sentence = f"The first {most} equations are used; the file was not read from this line on."
            findings.append(SetFinding(line, "not read", sentence, used=False))
            break
        if text not in known:
            known[text] = _read(text)
        equation = known[text]
        if isinstance(equation, Refusal):
            kind: FindingKind = "out of scope" if isinstance(equation, OutOfScope) else "unreadable"
            findings.append(SetFinding(line, kind, equation.sentence, used=False))
            continue
        written = equation.text()
        if written in first:
            sentence = f"This is the equation of line {first[written]} again; it is used once."
            findings.append(SetFinding(line, "duplicate", sentence, used=False))
            continue
        first[written] = line
        if not has_unknown(equation.left) and not has_unknown(equation.right):
            findings.append(SetFinding(line, "no unknown", "There is no unknown letter in this equation.", used=False))
            continue
        if remarks:
            findings += _remarks(line, equation, len(items) < MOST_TRIED)
        items.append(Item(line, equation, heading))
    if remarks and len(items) > MOST_TRIED:
        sentence = f"Hidden errors were looked for in the first {MOST_TRIED} equations only."
        findings.append(SetFinding(0, "not checked", sentence, used=True))
    return EquationSet(tuple(items), tuple(findings))


def _read(text: str) -> Equation | Refusal:
    try:
        return read_equation(text)
    except Refusal as refusal:
        return refusal


def _equations(text: str) -> Iterator[tuple[int, str, str]]:
    """(line, equation as typed, heading over it)."""
    column: int | None = None
    heading = ""
    for place, row in enumerate(rows(text)):
        cells = row.cells
        if place == 0 and len(cells) > 1 and not any("=" in cell for cell in cells):
            column = _column(cells)  # a row of headings, in whatever language
            continue
        typed = _cell(row, column).partition("#")[0].strip()
        if not typed:
            continue
        if typed.endswith(":") and "=" not in typed:
            heading = typed[:-1].strip()
            continue
        yield row.line, ITEM.sub("", typed, count=1) if ITEM.match(typed) else typed, heading


def _column(cells: tuple[str, ...]) -> int | None:
    names = [cell.lower() for cell in cells]
    return next((names.index(name) for name in HEADINGS if name in names), None)


def _cell(row: Row, column: int | None) -> str:
    if column is not None:
        return as_meant(row.cells[column]) if column < len(row.cells) else ""
    return as_meant(next((cell for cell in row.cells if "=" in cell), row.cells[0]))


def _remarks(line: int, equation: Equation, try_rules: bool) -> Iterator[SetFinding]:
    solution = equation.solution()
    if solution.kind == "none":
        yield SetFinding(
            line, "no solution", "No number solves this equation; learners will have to say so.", used=True
        )
    elif solution.kind == "every":
        yield SetFinding(
            line, "always true", "Every number solves this equation; learners will have to say so.", used=True
        )
    elif try_rules:
        hidden = [clash[0] for clash in clashes(equation, solution) if len(clash) == 1]
        if hidden:
            sentence = f"The answer hides an error: {doing(hidden[0])} also gives {solution.value}."
            yield SetFinding(line, "hides an error", sentence, used=True)


@cache
def _phrases() -> dict[str, str]:
    return dict(tomllib.loads(files(__package__).joinpath("phrases.toml").read_text("utf-8"))["doing"])


def doing(error: str) -> str:
    """What a learner did who made the error: ``subtracting the coefficient``."""
    return _phrases()[error]
