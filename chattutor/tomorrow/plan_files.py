"""Tomorrow's lesson as files in a folder: a page of half pages, a sheet and an explanation a group, and the lessons."""

import re
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from chattutor.common.exits import LogTrouble, reason
from chattutor.paper.sheets import Sheet, sheets_page
from chattutor.review.document import rendered, write_page
from chattutor.session_logs.folder import sessions
from chattutor.session_logs.learner_code import CODE
from chattutor.session_logs.learner_history import coming_up, past
from chattutor.session_logs.next_lesson import as_table, keep_next
from chattutor.tomorrow.group_plans import A_LESSON, GroupPlan, NextLesson, group_plans, lessons
from dialogue.learner.choice import TaskChoice

SHEET = "Equations"
GROUPS, EXPLAINED, LESSONS = "groups.html", "explanations.html", "lessons.csv"
NOTHING_KNOWN = TaskChoice(3, "place", "placing")  # what a learner begins with of whom nothing is known yet
NAME = re.compile(r"[^a-z0-9-]")


def write_plan(found: dict[str, Any], folder: Path, out: Path, names: dict[str, str], give: bool) -> list[str]:
    """Write everything for the class page ``found`` of the logs in ``folder``; a line on each file. With ``give`` the
    lessons are also set in the folder of logs, where a lesson takes them up. Raises LogTrouble."""
    plans = group_plans(found)
    set_for = lessons(found, lambda code: _next(folder, code))
    made = datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LogTrouble(f"{out} cannot be made: {reason(error)}.") from error
    told = [_write(out / GROUPS, _groups_page(plans, names), f"{len(plans)} half pages, one a group")]
    told.append(_write(out / EXPLAINED, _explained_page(plans), "an explanation of two minutes for each idea"))
    for number, plan in enumerate(plans, 1):
        name = NAME.sub("", plan.row["error"])
        sheet = Sheet(SHEET, f"Sheet {number}", plan.sheet)  # learners read it: it does not say what they get wrong
        text = sheets_page([sheet], key="short")
        told.append(_write(out / f"sheet-{name}.html", text, f"{len(plan.sheet)} equations, and their answers"))
    codes = dict.fromkeys(row.code for row in set_for)
    told.append(_write(out / LESSONS, as_table(set_for, made), f"equations for each of {len(codes)} learners"))
    if give:
        for code in codes:
            if CODE.fullmatch(code) and (folder / code).is_dir():
                keep_next(folder, code, [row for row in set_for if row.code == code], made)
        told.append(f"{folder}: set as the next lesson of each; chattutor lesson takes it up by the code")
    return told


def _write(path: Path, text: str, what: str) -> str:
    write_page(text, path)
    return f"{path}: {what}"


def _next(folder: Path, code: str) -> NextLesson:
    own = list(sessions(folder, code))
    met = {attempt.equation for attempt in past(own).history}
    return NextLesson(tuple(coming_up(own, A_LESSON) or [NOTHING_KNOWN] * A_LESSON), met)


def _groups_page(plans: Sequence[GroupPlan], names: dict[str, str]) -> str:
    told = [[f"{names[code]} ({code})" if names.get(code) else code for code in plan.row["learners"]] for plan in plans]
    return rendered(
        "group_plans.html", title="Groups to re-teach", kind="plans", under="A half page for each group.",
        plans=list(zip(plans, told, strict=True)),
    )  # fmt: skip


def _explained_page(plans: Sequence[GroupPlan]) -> str:
    return rendered(
        "explanations.html", title="Explanations of two minutes", kind="scripts",
        under="For the board or a recording. Wait where it says so: the silence is for thinking.",
        plans=[plan for plan in plans if plan.script],
    )  # fmt: skip
