"""The class page as one HTML file: no script, nothing from outside, prints on one page of A4, readable in grey."""

from typing import Any

from chattutor.review.document import as_math, as_said, as_text, document, section, without_pictures
from chattutor.review.drawing import can_draw
from chattutor.review.phrasing import (
    EQUATIONS,
    MOST,
    NAME,
    NOTE,
    clipped,
    counted,
    in_parts,
    left_over,
    named,
    stage_key,
    stages_of,
    times,
    totals,
    unsure_pile,
)
from chattutor.review.terminal import COMMONEST, GROUPS, LEFT, MARKS, PILE


def class_html(page: dict[str, Any]) -> str:
    """The page as text."""
    pictures = can_draw()
    body = "\n".join([
        section("See first", [_first(row) for row in page["see_first"]]),
        _stages(page["learners"], pictures),
        section("Commonest errors", [_error(row) for row in page["errors"][:COMMONEST]], _bars(page, pictures)),
        section("Groups to re-teach", _some([_group(row) for row in page["groups"]], GROUPS, "group")),
        "<div class=two>",
        section("Not attempted", _some([_left(*each) for each in left_over(page["not_attempted"])], LEFT, "list")),
        section("Unsure what was said", _some([_unsure(row) for row in unsure_pile(page["unsure"])], PILE, "learner")),
        "</div>",
    ])  # fmt: skip
    return document("Class page", "class", totals(page), body)


def _some(items: list[str], most: int, noun: str) -> list[str]:
    """No more than fit; how many are left out is said."""
    return items if len(items) <= most else [*items[:most], f"and {counted(len(items) - most, noun)} more"]


def _codes(codes: list[str]) -> str:
    return ", ".join(map(_code, named(codes)))


def _math(text: str) -> str:
    """An equation, where there is room for it."""
    return as_math(text) if len(text) <= MOST else as_text(clipped(text))


def _code(code: str) -> str:
    return f"<span class=working>{as_text(clipped(code))}</span>"


def _first(row: dict[str, str]) -> str:
    seen = f": {_math(row['line'])}" if row["line"] else ""
    seen += f" then {as_said(clipped(row['said']))}" if row["said"] else ""
    note = f" Note: {as_text(clipped(row['note'], NOTE))}" if row["note"] else ""
    return f"<b>{_code(row['code'])}</b>: {as_text(clipped(row['why'], NAME))}{seen}.{note}"


def _error(row: dict[str, Any]) -> str:
    seen = row["evidence"][0]
    return (
        f"<b>{as_text(clipped(row['name'], NAME))}</b>: {times(row)}, such as "
        f"<span class=working>{_math(seen['line'])}</span> then {as_said(clipped(seen['said']))}"
    )


def _group(row: dict[str, Any]) -> str:
    return (
        f"<b>{as_text(clipped(row['name'], NAME))}</b>: {_codes(row['learners'])}. "
        f"Start with <span class=working>{_math(row['starter'])}</span>"
    )


def _left(equations: list[str], codes: list[str]) -> str:
    return f"{', '.join(_math(each) for each in equations[:EQUATIONS])}: {_codes(codes)}"


def _unsure(row: dict[str, Any]) -> str:
    seen = f"{_math(row['line'])} {as_said(clipped(row['said']))}"
    return f"{_code(row['code'])}: {counted(row['count'], 'turn')}, on {seen}"


def _bars(page: dict[str, Any], pictures: bool) -> str:
    if not pictures or not page["errors"]:
        return ""
    from chattutor.review.pictures import error_bars

    return error_bars(page["errors"])


def _stages(learners: list[dict[str, Any]], pictures: bool) -> str:
    numbers = stages_of(learners)
    table = _table(learners, numbers)
    if not numbers:
        inside = "<p>none</p>"
    elif pictures:
        from chattutor.review.pictures import stage_grid

        inside = f"{stage_grid(learners, numbers)}<details><summary>The same as a table</summary>{table}</details>"
    else:
        inside = without_pictures(table)
    return (
        "<section class=keep><h2>Stages</h2><p class=small>How the latest equation of each stage went.</p>"
        f"{inside}<p class=small>{as_text(stage_key(numbers))}</p></section>"
    )


def _table(learners: list[dict[str, Any]], numbers: list[int]) -> str:
    tables = "".join(_grid(part, numbers) for part in in_parts(learners))
    key = " &ensp; ".join(f"{mark} {meaning}" for meaning, mark in MARKS.items())
    return f"<p class=small>{key}</p><div class=grids>{tables}</div>"


def _grid(learners: list[dict[str, Any]], numbers: list[int]) -> str:
    head = "".join(f"<th scope=col>{number or 'own'}</th>" for number in numbers)
    rows = "".join(
        f"<tr><th scope=row>{as_text(clipped(learner['code']))}</th>"
        f"{''.join(_cell(learner, number) for number in numbers)}</tr>"
        for learner in learners
    )
    return f"<table><thead><tr><th scope=col>learner</th>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _cell(learner: dict[str, Any], number: int) -> str:
    cell = learner["stages"].get(str(number))
    if cell is None:
        return "<td></td>"
    return f'<td><span role=img aria-label="{cell["now"]}">{MARKS[cell["now"]]}</span></td>'
