"""The class page as one HTML file: no script, nothing from outside, prints on one page of A4, readable in grey."""

import os
from html import escape
from pathlib import Path
from typing import Any

from chattutor.exits import LogTrouble, reason
from chattutor.review.terminal import COMMONEST, MARKS, PILE
from chattutor.review.wording import counted, in_parts, left_over, on_board, totals

STYLE = """
body { font: 11pt/1.35 system-ui, sans-serif; color: #111; background: #fff; max-width: 60rem; margin: 1.5rem auto;
       padding: 0 1rem }
h1 { font-size: 1.3rem; margin: 0 0 .2rem } h2 { font-size: 1rem; margin: 1rem 0 .2rem; border-bottom: 1px solid #777 }
ul { margin: 0; padding-left: 1.1rem } li { margin: .1rem 0 }
table { border-collapse: collapse } th, td { border: 1px solid #777; padding: .05rem .45rem; text-align: center }
th[scope=row] { text-align: left; font-weight: 600 }
.math { font-family: "STIX Two Math", "Cambria Math", serif } .small { font-size: .85rem; color: #333 }
.grids { display: flex; flex-wrap: wrap; gap: .3rem 1.5rem; align-items: start } p { margin: .2rem 0 }
@media print { body { font-size: 8.5pt; margin: 0; max-width: none } @page { size: A4; margin: 12mm } }
"""


def write_page(text: str, target: Path) -> None:
    """Write a page, readable by its owner only. Raises LogTrouble."""
    try:
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with open(handle, "w", encoding="utf-8", errors="backslashreplace", newline="") as out:
            out.write(text)
    except OSError as error:
        raise LogTrouble(f"{target} cannot be written: {reason(error)}.") from error


def class_html(page: dict[str, Any]) -> str:
    """The page as text."""
    count = totals(page)
    unsure = [f"{as_text(row['code'])}: on {as_math(row['line'])}, “{as_text(row['said'])}”" for row in page["unsure"]]
    if len(unsure) > PILE:
        unsure[PILE:] = [f"and {len(unsure) - PILE} more"]
    sections = [
        _section("See first", [_first(row) for row in page["see_first"]]),
        _stages(page["learners"]),
        _section("Commonest errors", [_error(row) for row in page["errors"][:COMMONEST]]),
        _section("Groups to re-teach", [_group(row) for row in page["groups"]]),
        _section("Not attempted", [_left(*each) for each in left_over(page["not_attempted"])]),
        _section("Unsure what was said", unsure),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1"><title>Class page</title>'
        f"<style>{STYLE}</style></head>\n<body><main><h1>Class page</h1><p class=small>{count}</p>\n"
        + "\n".join(sections)
        + "\n</main></body></html>\n"
    )


def as_text(value: object) -> str:
    """Text of a log fit for HTML."""
    return escape("".join(each if each.isprintable() else " " for each in str(value)))


def as_math(value: object) -> str:
    """An equation of a log as a teacher writes it, fit for HTML."""
    return f"<span class=math>{as_text(on_board(str(value)))}</span>"


def _section(title: str, items: list[str]) -> str:
    inside = "".join(f"<li>{item}</li>" for item in items)
    return f"<section><h2>{title}</h2>{f'<ul>{inside}</ul>' if items else '<p>none</p>'}</section>"


def _first(row: dict[str, str]) -> str:
    return f"<b>{as_text(row['code'])}</b>: {as_text(row['reason'])}"


def _error(row: dict[str, Any]) -> str:
    seen = row["evidence"][0]
    return (
        f"{as_text(row['name'])}: {counted(row['count'], 'time')}, {counted(len(row['learners']), 'learner')}, such as "
        f"{as_math(seen['line'])} then “{as_text(seen['said'])}”"
    )


def _group(row: dict[str, Any]) -> str:
    who = ", ".join(as_text(code) for code in row["learners"])
    return f"<b>{as_text(row['name'])}</b>: {who}. Start with {as_math(row['starter'])}"


def _left(equations: str, codes: list[str]) -> str:
    return f"<span class=math>{as_text(equations)}</span>: {', '.join(map(as_text, codes))}"


def _stages(learners: list[dict[str, Any]]) -> str:
    numbers = sorted({int(number) for learner in learners for number in learner["stages"]})
    tables = "".join(_grid(part, numbers) for part in in_parts(learners))
    key = " &ensp; ".join(f"{mark} {meaning}" for meaning, mark in MARKS.items())
    return (
        "<section><h2>Stages</h2><p class=small>How the latest equation of each stage went: "
        f"{key}</p><div class=grids>{tables}</div></section>"
    )


def _grid(learners: list[dict[str, Any]], numbers: list[int]) -> str:
    head = "".join(f"<th scope=col>{number or 'own'}</th>" for number in numbers)
    rows = "".join(
        f"<tr><th scope=row>{as_text(learner['code'])}</th>{''.join(_cell(learner, number) for number in numbers)}</tr>"
        for learner in learners
    )
    return f"<table><thead><tr><th scope=col>learner</th>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _cell(learner: dict[str, Any], number: int) -> str:
    cell = learner["stages"].get(str(number))
    if cell is None:
        return "<td></td>"
    return f'<td><span role=img aria-label="{cell["now"]}">{MARKS[cell["now"]]}</span></td>'
