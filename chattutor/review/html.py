"""The class page as one HTML file: no script, nothing from outside, prints on one page of A4, readable in grey.

The screen has everything. A class's printed sheet has as much as there is room for, each section in turn; what is left
out is said there, with whose it is.
"""

from typing import Any

from chattutor.review.document import rendered
from chattutor.review.phrasing import (
    EQUATIONS,
    cell_of,
    in_parts,
    left_over,
    named,
    stage_key,
    stages_of,
    times_seen,
    totals,
    unsure_pile,
)
from chattutor.review.print_room import Shelf, fill
from chattutor.review.see_first import HEADINGS
from dialogue.algebra.misconceptions import error_table

WIDE, BESIDE = 527.0, 10.0  # points across the sheet, and between parts of the class
LETTER, CODE_MOST = 4.1, 24  # points a letter of a code takes, and letters shown
TIGHT = 12  # stages: with more the grid is printed smaller
MOST_AWAY = 1000  # letters of the codes of who had no lesson: a class, and no whole school
MOST_PARTS, LEAST_ROWS = 3, 6  # of the class beside each other, and learners in each


def class_html(page: dict[str, Any], title: str = "Class page") -> str:
    """The page as text."""
    numbers = stages_of(page["learners"])
    learners = [_with_cells(row) for row in page["learners"]]
    parts = in_parts(learners, _rows(learners, numbers))
    see_first = [
        Shelf(HEADINGS[kind], rows, [_first(row) for row in rows], [row["code"] for row in rows])
        for kind in HEADINGS
        if (rows := [row for row in page["see_first"] if row["kind"] == kind])
    ]
    groups = Shelf("", [_group(row) for row in page["groups"]], [_group_words(row) for row in page["groups"]],
                   [f"{row['name']} ({', '.join(row['learners'])})" for row in page["groups"]])  # fmt: skip
    errors = Shelf("", _bars(page["errors"]), [f"{row['name']} {_seen(row['evidence'][0])}" for row in page["errors"]],
                   [row["name"] for row in page["errors"]])  # fmt: skip
    left = [{"equations": what[:EQUATIONS], "codes": codes} for what, codes in left_over(page["not_attempted"])]
    not_attempted = Shelf("", left, ["".join(map(str, row.values())) for row in left], ["" for _ in left], half=True)
    pile = unsure_pile(page["unsure"])
    unsure = Shelf("", pile, [_seen(row) for row in pile], [row["code"] for row in pile], half=True)
    others = len(page["others"]) + 24 * len(page["two_at_once"])  # each takes two lines
    away = named(page.get("no_lesson", {"learners": ()})["learners"], MOST_AWAY)
    others += len(away) + 12 * bool(away)
    fill(
        [*see_first, groups, errors, not_attempted, unsure],
        max(map(len, parts), default=0),
        others,
        len(numbers) > TIGHT,
    )
    return rendered(
        "class.html", title=title, kind="class", under=totals(page), page=page, see_first=see_first, stages=numbers,
        parts=parts, stage_key=stage_key(numbers), groups=groups, mended=_mended(page["learners"]), errors=errors,
        not_attempted=not_attempted, unsure=unsure, away=away,
        grouped=sorted({code for row in page["groups"] for code in row["learners"]} & set(page["others"])),
    )  # fmt: skip


def _rows(learners: list[dict[str, Any]], numbers: list[int]) -> int:
    """Learners one below the other, so that as many parts of the class stand side by side as fit."""
    across = _across(learners, numbers)
    parts = min(MOST_PARTS, int((WIDE + BESIDE) // (across + BESIDE)), -(-len(learners) // LEAST_ROWS))
    return max(1, -(-len(learners) // max(1, parts)))


def _across(learners: list[dict[str, Any]], numbers: list[int]) -> float:
    """Points that a part of the grid takes across, estimated from the longest in each column."""
    tight = len(numbers) > TIGHT
    longest = max((len(row["code"]) for row in learners), default=0)
    points = 6 + LETTER * min(longest, 16 if tight else CODE_MOST)
    for number in numbers:
        cells = [row["stages"][str(number)] for row in learners if str(number) in row["stages"]]
        counts = [f"{each['independent']}/{each['worked_on']}" for each in cells if each["worked_on"] > 1]
        points += 7.5 if number < 10 else 10
        points += 3 + 2.1 * max(map(len, counts)) if counts else 0
        points += 5.5 * any(each["better"] for each in cells)
    return points if tight else 1.13 * points


def _with_cells(learner: dict[str, Any]) -> dict[str, Any]:
    return learner | {"stages": {number: cell_of(row) for number, row in learner["stages"].items()}}


def _group(row: dict[str, Any]) -> dict[str, Any]:
    entry = error_table().get(row["error"])
    return row | {"source": entry.source if entry else ""}


def _bars(errors: list[dict[str, Any]]) -> list[dict[str, Any]]:
    most = max((row["count"] for row in errors), default=1)
    return [row | {"wide": max(0.1, round(6 * row["count"] / most, 1)), "times": times_seen(row)} for row in errors]


def _mended(learners: list[dict[str, Any]]) -> list[dict[str, Any]]:
    found: dict[str, list[str]] = {}
    for learner in learners:
        for name in learner["mended"]:
            found.setdefault(name, []).append(learner["code"])
    return [{"name": name, "learners": codes} for name, codes in found.items()]


def _seen(row: dict[str, Any]) -> str:
    return f"{row['line'][:40]} then {row['said'][:40]} {'.' * 30}"


def _first(row: dict[str, Any]) -> str:
    """As long as what will stand there, to estimate the room it takes."""
    also = "; ".join(row["also"])[:90]
    return f"{row['code']}: {row['why'][:220]}: {row['line'][:40]} then {row['said'][:40]} {also} {row['note'][:60]}"


def _group_words(row: dict[str, Any]) -> str:
    belief = row["belief"] or {"says": "", "opens": "", "contrast": ("", "")}
    others = "".join(each["name"] + ", ".join(each["learners"]) + "not told apart yet" for each in row["or"])
    lines = [
        f"{row['name']}, {others}: {', '.join(row['learners'])}",
        f"As a learner would say it: {belief['says']} One learner wrote: {_seen(row['evidence'][0])}",
        f"Open it with: {belief['opens']} Side by side: {''.join(belief['contrast'])} {'.' * 60}",
    ]
    return "\n".join(lines)
