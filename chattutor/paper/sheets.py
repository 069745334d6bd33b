"""Sheets to print: one self-contained HTML page, equations in MathML, equals signs in line, space for working.

Nothing is fetched when it is opened: the style is inside, and there is no script. The key is written on request.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import ceil
from pathlib import Path
from typing import Any, Literal, TypeAlias

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from chattutor.common.exits import CannotGoOn, reason
from chattutor.common.files import write_whole
from chattutor.common.mathml import equation_math, math
from chattutor.paper.keys import answer_text, key_entry
from dialogue.algebra.equation import Equation
from dialogue.learner.contexts import Story

Key: TypeAlias = Literal["short", "full"] | None

SOLVE = "Solve each equation. Write a new line for each step, and check your answer."
WRITE = "Write an equation for each, then solve it. Write a new line for each step."


@dataclass(frozen=True, slots=True)
class Layout:
    """Equations on a page in columns and rows, lines of working marked under each, and the gap between them."""

    columns: int
    rows: int
    lines: int
    gap: str = "4mm"

    @property
    def count(self) -> int:
        """Equations on a page."""
        return self.columns * self.rows


NORMAL = Layout(columns=2, rows=5, lines=3)
CLOSE = Layout(columns=2, rows=6, lines=3, gap="2.5mm")
IN_WORDS = Layout(columns=1, rows=5, lines=3, gap="3mm")
LARGE = Layout(columns=1, rows=4, lines=3, gap="2mm")  # 20 point: large print is from 16 point (from memory)
LARGE_WORDS = Layout(columns=1, rows=3, lines=3, gap="2mm")


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands at the top of every sheet; what is empty is a line to write on, or the usual instruction."""

    group: str = ""
    date: str = ""
    instruction: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet's title, the line that says which it is (the same on its key), and its equations, each with the story
    that is told in its place, if any."""

    title: str
    code: str
    equations: tuple[Equation, ...]
    stories: tuple[Story | None, ...] = ()

    @property
    def in_words(self) -> bool:
        """Whether any of it is told in words."""
        return any(self.stories)


def layout_of(sheet: Sheet, large: bool) -> Layout:
    """The roomiest layout that needs no page for a question or two; the questions are spread evenly over the pages."""
    if sheet.in_words:
        most = LARGE_WORDS if large else IN_WORDS
    elif large:
        most = LARGE
    else:
        most = CLOSE if NORMAL.count < len(sheet.equations) <= CLOSE.count else NORMAL
    pages = max(1, ceil(len(sheet.equations) / most.count))
    rows = ceil(len(sheet.equations) / pages / most.columns)
    return Layout(most.columns, most.rows if pages == 1 else rows, most.lines, most.gap)


def sheets_page(
    sheets: Sequence[Sheet], large: bool = False, key: Key = None, sheet: bool = True, heading: Heading | None = None
) -> str:
    """The whole HTML page: every sheet (unless ``sheet`` is false), then the key, where one is asked for."""
    shown = heading or Heading()
    return (
        templates()
        .get_template("sheets.html")
        .render(
            title=sheets[0].title if sheets else "",
            style=style(),
            large=large,
            heading=shown,
            pages=[part for each in sheets for part in _pages(each, large, shown)] if sheet else [],
            keys=[(each, list(_entries(each))) for each in sheets] if key == "full" else [],
            answers=[(each, list(_answers(each))) for each in sheets] if key == "short" else [],
        )
    )


@cache
def templates() -> Environment:
    """The templates of what is printed; everything put into them is escaped."""
    loader = PackageLoader("chattutor.paper")
    return Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True)


def style() -> Markup:
    """The style of everything printed."""
    return Markup(files(__package__).joinpath("page.css").read_text("utf-8"))  # noqa: S704 - our own file  # nosec B704 - made by our own writer, escaped there


def write_sheets(path: Path, text: str) -> None:
    """Write a page and say so on standard error. Raises CannotGoOn."""
    try:
        write_whole(path, text.encode("utf-8"), 0o644)
    except OSError as error:
        raise CannotGoOn(f"{path} cannot be written: {reason(error)}.") from error
    print(f"Written: {path}. Open it in a browser and print it.", file=sys.stderr)


def _pages(sheet: Sheet, large: bool, heading: Heading) -> Iterator[dict[str, Any]]:
    layout = layout_of(sheet, large)
    questions = list(_questions(sheet))
    starts = range(0, len(questions), layout.count)
    for place, start in enumerate(starts, 1):
        yield {
            "sheet": sheet,
            "layout": layout,
            "questions": questions[start : start + layout.count],
            "instruction": heading.instruction or (WRITE if sheet.in_words else SOLVE),
            "turn": f"Page {place} of {len(starts)}" if len(starts) > 1 else "",
        }


def _questions(sheet: Sheet) -> Iterator[dict[str, Any]]:
    told = sheet.stories or (None,) * len(sheet.equations)
    for number, (equation, story) in enumerate(zip(sheet.equations, told, strict=True), 1):
        left, right = (_markup(math(side)) for side in equation.sides())
        yield {"number": number, "story": story, "letter": equation.letter, "left": left, "right": right}


def _entries(sheet: Sheet) -> Iterator[dict[str, Any]]:
    for equation in sheet.equations:
        left, right = (_markup(math(side)) for side in equation.sides())
        yield {"left": left, "right": right, "key": key_entry(equation)}


def _answers(sheet: Sheet) -> Iterator[tuple[Markup, str]]:
    for equation in sheet.equations:
        yield _markup(equation_math(equation)), answer_text(equation, equation.solution())


def _markup(mathml: str) -> Markup:
    return Markup(mathml)  # noqa: S704 - made of an equation's tree: letters, digits and signs  # nosec B704 - made by our own writer, escaped there
