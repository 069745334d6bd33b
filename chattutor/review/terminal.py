"""The class page on a terminal: what fits on one screen for a class of thirty."""

from typing import Any

from rich.columns import Columns
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from chattutor.review.wording import counted, in_parts, left_over, on_board, totals

MARKS = {"independent": "●", "prompted": "◐", "shown": "○", "not yet": "–", "not attempted": "·"}
COMMONEST = 2
PILE = 5


def print_class(page: dict[str, Any], console: Console) -> None:
    """Print the page."""
    learners = page["learners"]
    console.print(Text(totals(page), style="bold"))
    if not learners:
        console.print("There are no session logs here.")
        return
    _section(console, "See first", [f"{row['code']}: {row['reason']}" for row in page["see_first"]])
    _stages(console, learners)
    _section(console, "Commonest errors", [line for row in page["errors"][:COMMONEST] for line in _error(row)])
    _section(
        console,
        "Groups to re-teach",
        [
            f"{row['name']}: {', '.join(row['learners'])}. Start with {on_board(row['starter'])}"
            for row in page["groups"]
        ],
    )
    _section(
        console,
        "Not attempted",
        [f"{what}: {', '.join(codes)}" for what, codes in left_over(page["not_attempted"])],
    )
    unsure = [f"{row['code']}, on {on_board(row['line'])}: {row['said']!r}" for row in page["unsure"]]
    more = [f"and {len(unsure) - PILE} more (--json lists them)"] if len(unsure) > PILE else []
    _section(console, "Unsure what was said", unsure[:PILE] + more)
    faults = page["files_with_faults"]
    if faults:
        _section(console, "Files with something wrong", [f"{len(faults)}: chattutor logs verify says which and why"])


def _section(console: Console, title: str, lines: list[str]) -> None:
    console.print()
    console.print(Text(title, style="bold"))
    for line in lines or ["none"]:
        console.print(
            Padding(Text("".join(each if each.isprintable() else " " for each in line)), (0, 0, 0, 2), expand=False)
        )


def _error(row: dict[str, Any]) -> list[str]:
    seen = row["evidence"][0]
    return [
        f"{row['name']}: {counted(row['count'], 'time')}, {counted(len(row['learners']), 'learner')}",
        f"    such as  {on_board(seen['line'])}   then   {seen['said']}",
    ]


def _stages(console: Console, learners: list[dict[str, Any]]) -> None:
    console.print()
    console.print(Text("Stages", style="bold"))
    numbers = sorted({int(number) for learner in learners for number in learner["stages"]})
    tables = [_grid(part, numbers) for part in in_parts(learners)]
    console.print(Padding(Columns(tables, padding=(0, 4)), (0, 0, 0, 2), expand=False))
    console.print("  " + "   ".join(f"{mark} {meaning}" for meaning, mark in MARKS.items()))


def _grid(learners: list[dict[str, Any]], numbers: list[int]) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1), show_edge=False)
    table.add_column("")
    for number in numbers:
        table.add_column(str(number) if number else "own", justify="center")
    for learner in learners:
        cells = [learner["stages"].get(str(number)) for number in numbers]
        table.add_row(learner["code"], *(MARKS[cell["now"]] if cell else "" for cell in cells))
    return table
