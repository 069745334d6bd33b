"""Sheets to print: one self-contained HTML page, equations in MathML, equals signs in line, space for working.

Nothing is fetched when it is opened: the style is inside, and there is no script.
"""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from importlib.resources import files
from pathlib import Path
from typing import Literal, TypeAlias

from chattutor.common.exits import CannotGoOn, reason
from chattutor.common.files import write_whole
from chattutor.common.mathml import math
from chattutor.paper.keys import KeyEntry, key_entry
from dialogue.algebra.equation import Equation

Only: TypeAlias = Literal["sheets", "key"] | None


@dataclass(frozen=True, slots=True)
class Layout:
    """Equations on a page in columns and rows, lines of working marked under each, and the gap between them."""

    columns: int
    rows: int
    lines: int
    gap: str

    @property
    def count(self) -> int:
        """Equations on a page."""
        return self.columns * self.rows


NORMAL = Layout(columns=2, rows=5, lines=3, gap="4mm")
LARGE = Layout(columns=1, rows=4, lines=3, gap="4mm")  # 20 point: large print is from 16 point (from memory)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet's title, the line that says which it is (the same on its key), and its equations."""

    title: str
    code: str
    equations: tuple[Equation, ...]


def page(sheets: Sequence[Sheet], large: bool = False, only: Only = None) -> str:
    """The whole HTML page: every sheet, then every key."""
    layout = LARGE if large else NORMAL
    parts: list[str] = []
    if only != "key":
        parts += [part for sheet in sheets for part in _sheet(sheet, layout)]
    if only != "sheets":
        parts += [_key(sheet) for sheet in sheets]
    style = files(__package__).joinpath("page.css").read_text("utf-8")
    title = escape(sheets[0].title if sheets else "Equations") or "Equations"
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f"<title>{title}</title>\n<style>\n{style}</style>\n</head>\n"
        f'<body class="{"large" if large else "normal"}">\n' + "\n".join(parts) + "\n</body>\n</html>"
    )


def write_page(path: Path, text: str) -> None:
    """Write a page and say so on standard error. Raises CannotGoOn."""
    try:
        write_whole(path, text.encode("utf-8"), 0o644)
    except OSError as error:
        raise CannotGoOn(f"{path} cannot be written: {reason(error)}.") from error
    print(f"Written: {path}. Open it in a browser and print it.", file=sys.stderr)


def _sheet(sheet: Sheet, layout: Layout) -> Iterator[str]:
    pages = range(0, len(sheet.equations), layout.count)
    for place, start in enumerate(pages, 1):
        some = sheet.equations[start : start + layout.count]
        questions = "\n".join(_question(start + number, each, layout) for number, each in enumerate(some, 1))
        turn = f"Page {place} of {len(pages)}" if len(pages) > 1 else ""
        yield (
            f'<section class="page">\n<header><h1>{escape(sheet.title) or "Equations"}</h1>'
            '<span class="code">Code: ______________</span></header>\n'
            f'<div class="questions" style="--columns:{layout.columns};--rows:{layout.rows};--gap:{layout.gap}">\n'
            f"{questions}\n</div>\n<footer><span>{escape(sheet.code)}</span><span>{turn}</span></footer>\n</section>"
        )


def _question(number: int, equation: Equation, layout: Layout) -> str:
    """The equation, and under it an equals sign for each line of working, all in one line downwards."""
    first = (
        f'<span class="number">{number}.</span><span class="left">{math(equation.left)}</span>'
        f'<span class="equals">=</span><span class="right">{math(equation.right)}</span>'
    )
    working = '<span></span><span></span><span class="equals faint">=</span><span></span>' * layout.lines
    return f'<div class="question">{first}{working}</div>'


def _key(sheet: Sheet) -> str:
    rows = "\n".join(_key_row(number, key_entry(each)) for number, each in enumerate(sheet.equations, 1))
    return (
        f'<section class="page key">\n<header><h1>Key: {escape(sheet.title) or "Equations"}</h1>'
        f'<span class="code">{escape(sheet.code)}</span></header>\n<table>\n<thead><tr><th></th>'
        "<th>Equation and answer</th><th>Steps</th><th>A wrong answer may come from</th></tr></thead>\n"
        f"<tbody>\n{rows}\n"
        "</tbody>\n</table>\n</section>"
    )


def _key_row(number: int, entry: KeyEntry) -> str:
    equation = f"{math(entry.equation.left)} = {math(entry.equation.right)}"
    steps = "".join(f"<li>{escape(done)} <b>{escape(line)}</b></li>" for done, line in entry.steps)
    pointers = "".join(f"<li><b>{escape(value)}</b> {escape(errors)}</li>" for value, errors in entry.pointers)
    return (
        f'<tr><td>{number}.</td><td>{equation}<p class="answer">{escape(entry.answer)}</p></td>'
        f"<td><ol>{steps}</ol></td><td><ul>{pointers}</ul></td></tr>"
    )
