"""The class page on a terminal: what fits on one screen for a class of thirty."""

from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from chattutor.review.evidence import OUTCOMES
from chattutor.review.phrasing import (
    EQUATIONS,
    NOTE,
    cell_of,
    clipped,
    counted,
    first_reason,
    in_parts,
    left_over,
    named,
    on_board,
    stage_key,
    stages_of,
    times_seen,
    totals,
    twins,
    unsure_pile,
)
from chattutor.review.see_first import HEADINGS
from chattutor.session_logs.transcript import shown

MARKS = dict(zip(OUTCOMES, "●▲◐○–·", strict=True))
FIRST, COMMONEST, GROUPS, LEFT, PILE = 3, 2, 5, 3, 3  # rows of each kind or section; --html and --json have all
NO_LOGS, NOT_THEN = "There are no session logs here.", "There is no lesson on these days."
MOST_AWAY = 1000  # letters of the codes of who had no lesson: a class, and no whole school
TEACH = "groups to re-teach"
APART_HOW = "To tell them apart: chattutor review DIR --belongs SESSION CODE"
MOST_BESIDE, APART = 3, "  "  # parts of the class side by side
CELL, NARROW = 3, 80  # columns a stage without counts; and of a narrow terminal


def print_class(page: dict[str, Any], console: Console, nothing: str = NO_LOGS) -> None:
    """Print the page; ``nothing``: what to say where there are no learners."""
    learners = page["learners"]
    console.print(Text(shown(totals(page)), style="bold"))
    if not learners:
        console.print(nothing)
        _away(console, page)
        return
    _section(console, "See first", _first(page))
    grouped = {code for row in page["groups"] for code in row["learners"]}  # named above, of an earlier lesson too
    if others := [code for code in page["others"] if code not in grouped]:
        _section(console, f"Everybody else ({len(others)})", [", ".join(map(clipped, others))])
    _away(console, page)
    if page["two_at_once"]:
        rows = [f"{clipped(row['code'])}: {twins(row)}" for row in page["two_at_once"]]
        _section(console, "Two learners under one code?", [*rows, APART_HOW])
    _stages(console, learners)
    _section(console, "Commonest errors", [_error(row) for row in page["errors"][:COMMONEST]])
    left = [
        f"{', '.join(map(clipped, what[:EQUATIONS]))}: {', '.join(named(codes))}"
        for what, codes in left_over(page["not_attempted"])
    ]
    _section(console, "Not attempted", _some(left, LEFT, "list"))
    _section(
        console, "Unsure what was said", _some([_unsure(row) for row in unsure_pile(page["unsure"])], PILE, "learner")
    )
    faults = page["files_with_faults"]
    if faults:
        _section(
            console, "Files with something wrong", [f"{len(faults)}: run chattutor logs verify to see which and why"]
        )


def _away(console: Console, page: dict[str, Any]) -> None:
    """Who had no lesson, where that is known."""
    if "no_lesson" in page and (codes := page["no_lesson"]["learners"]):
        heading = f"{page['no_lesson']['heading']} ({len(codes)})"
        _section(console, heading, [", ".join(named(codes, MOST_AWAY))])


def _first(page: dict[str, Any]) -> list[str]:
    """By kind; those who hold an idea by the idea, which is also whom to teach together; of whoever is left out the
    code."""
    found: list[str] = []
    for kind, heading in HEADINGS.items():
        of_kind = [row for row in page["see_first"] if row["kind"] == kind]
        if kind == "to tell" and of_kind:  # there are no words of theirs to show
            found.append(f"{of_kind[0]['why']}: {', '.join(clipped(row['code']) for row in of_kind)}")
            continue
        if kind == "idea":
            notes = {row["code"]: row["note"] for row in page["learners"] if row["note"]}
            found += _ideas(page["groups"], notes, heading)
            continue
        shown_here, left = of_kind[:FIRST], of_kind[FIRST:]
        found += [heading] if of_kind else []
        found += [f"  {clipped(row['code'])}: {first_reason(row)}" for row in shown_here]
        found += [f"  and {', '.join(clipped(row['code']) for row in left)} (--html has all)"] if left else []
    return found


def _ideas(groups: list[dict[str, Any]], notes: dict[str, str], heading: str) -> list[str]:
    lines = [line for row in groups[:GROUPS] for line in _group(row, notes)]
    left = "; ".join(f"{row['name']}: {', '.join(named(row['learners']))}" for row in groups[GROUPS:])
    more = [f"  and {left} (--html has all)"] if left else []
    return [f"{heading}: {TEACH}", *lines, *more] if groups else []


def _some(lines: list[str], most: int, noun: str) -> list[str]:
    left = f"and {counted(len(lines) - most, noun)} more (--json has all)"
    return lines if len(lines) <= most else [*lines[:most], left]


def _section(console: Console, title: str, lines: list[str]) -> None:
    console.print()
    console.print(Text(title if lines else f"{title}: none", style="bold"))
    for line in lines:
        inner = len(line) - len(line.lstrip())
        console.print(Padding(Text(shown(line.strip())), (0, 0, 0, 2 + inner), expand=False))


def _error(row: dict[str, Any]) -> str:
    seen = row["evidence"][0]
    return f"{row['name']}: {times_seen(row)}, such as {clipped(on_board(seen['line']))} then “{clipped(seen['said'])}”"


def _group(row: dict[str, Any], notes: dict[str, str]) -> list[str]:
    """The idea, and everybody who holds it with their own words and a teacher's latest note."""
    others = "".join(f", or: {other['name']} ({', '.join(named(other['learners']))})" for other in row["or"])
    said = [
        f"{clipped(each['code'])}: {clipped(on_board(each['line']))} then “{clipped(each['said'])}”"
        + (f" (Note: {clipped(notes[each['code']], NOTE)})" if each["code"] in notes else "")
        for each in row["evidence"]
    ]
    return [f"  {row['name']}{others}. Start with {on_board(row['starter'])}", f"    {'; '.join(said)}"]


def _unsure(row: dict[str, Any]) -> str:
    said = f" “{clipped(row['said'])}”" if row["said"] else ", no words were heard"
    return f"{row['code']}: {counted(row['count'], 'turn')}, on {clipped(on_board(row['line']))}{said}"


def _stages(console: Console, learners: list[dict[str, Any]]) -> None:
    """As many parts of the class beside each other as the terminal is wide enough for."""
    numbers = stages_of(learners)
    code = max(len(shown(learner["code"])) for learner in learners)
    code = min(code, 24)
    wide = 1 + max((len(_cell(each, True)) for learner in learners for each in learner["stages"].values()), default=0)
    narrow = console.width < NARROW
    counts = not narrow and code + wide * len(numbers) + 2 <= console.width
    cell = wide if counts else CELL - (narrow and max(numbers, default=0) < 10)
    part = code + cell * len(numbers)
    beside = max(1, min(MOST_BESIDE, (console.width - 2 + len(APART)) // (part + len(APART)), -(-len(learners) // 8)))
    parts = in_parts(learners, -(-len(learners) // beside))
    console.print()
    console.print(Text("Stages", style="bold"))
    grid = Table.grid(padding=0)
    head = " " * code + "".join(f"{number or 'own'[:cell]:>{cell}}" for number in numbers)
    grid.add_row(Text(APART.join([head] * len(parts)), style="dim"))
    for row in range(len(parts[0])):
        cells = [_row(each[row], numbers, code, cell, counts) if row < len(each) else "" for each in parts]
        grid.add_row(Text(APART.join(cells), no_wrap=True))
    console.print(Padding(grid, (0, 0, 0, 2), expand=False))
    how = ".  Last equation, then the best one; n of m independent." if counts else ""
    for line in ("   ".join(f"{mark} {meaning}" for meaning, mark in MARKS.items()) + how, stage_key(numbers)):
        console.print(Padding(Text(line), (0, 0, 0, 2), expand=False))


def _row(learner: dict[str, Any], numbers: list[int], code: int, cell: int, counts: bool) -> str:
    found = [learner["stages"].get(str(number)) for number in numbers]
    marks = "".join(f"{_cell(each, counts) if each else '':>{cell}}" for each in found)
    name = shown(learner["code"])
    half = (code - 1) // 2  # a long name keeps its end, where the code stands
    return f"{name if len(name) <= code else name[: code - 1 - half] + '…' + name[-half:]:<{code}}{marks}"


def _cell(row: dict[str, Any], wide: bool) -> str:
    """``–● 2/7``: the latest was not finished, one went further, two of seven independent."""
    given = cell_of(row)
    if not wide:
        return MARKS[given["now"]]
    further = MARKS[given["best"]] if given["better"] else ""
    of = f" {given['independent']}/{given['worked_on']}" if given["worked_on"] > 1 else ""
    return f"{MARKS[given['now']]}{further}{of}"
