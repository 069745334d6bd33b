"""What a lesson starts from: a teacher's file of equations, or equations drawn for a stage."""

import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from chattutor.common.exits import CannotGoOn, PlanTrouble
from chattutor.session_logs.next_lesson import SetEquation, next_set, rows_by_code
from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.tutor.core.state import Plan, Task

MAX_EQUATIONS = 500
MOST_TOLD = 20  # lines left out that are told one by one
DRAWN = 5  # a lesson of about a quarter of an hour: four equations, and one without hints at the end


def plan_of_file(path: Path, seed: int, learner: str = "") -> Plan:
    """A teacher's file, plain or a table; of a table with a column of codes the learner's own rows. A line that cannot
    be used is told on standard error, the rest is used.

    Raises PlanTrouble where the file cannot be read or nothing in it can be used.
    """
    if (own := rows_by_code(path)) is not None:
        plan = plan_of_rows([row for row in own if row.code == learner], seed)
        if plan is None:
            raise PlanTrouble(f"There is no equation for learner {learner} in {path} that can be used.")
        return plan
    from chattutor.paper.sets import read_set
    from dialogue.learner.records import stage_of

    try:
        found = read_set(path, remarks=False, most=MAX_EQUATIONS)
    except CannotGoOn as trouble:
        raise PlanTrouble(trouble.sentence) from trouble
    left_out = [finding for finding in found.findings if not finding.used]
    for finding in left_out[:MOST_TOLD]:
        print(f"chattutor: {path}: {finding.text()}", file=sys.stderr)
    if len(left_out) > MOST_TOLD:
        more = len(left_out) - MOST_TOLD
        print(
            f"chattutor: {path}: {more} more lines cannot be used; chattutor equations check lists them.",
            file=sys.stderr,
        )
    if not found.items:
        raise PlanTrouble(f"There is no equation in {path} that can be used.")
    tasks = tuple(Task(item.equation, stage_of(item.equation)) for item in found.items)
    return Plan(tasks, seed, beyond="extra")


def plan_set(folder: Path, learner: str, seed: int) -> Plan | None:
    """What a teacher set the learner for the next lesson, if anything was."""
    return plan_of_rows(next_set(folder, learner), seed)


def plan_of_rows(rows: Sequence[SetEquation], seed: int) -> Plan | None:
    """A learner's own equations, those that can be read; the last of several without hints. None where there are
    none."""
    from dialogue.learner.records import stage_of

    found: list[Task] = []
    for row in rows[:MAX_EQUATIONS]:
        try:
            equation = read_equation(row.equation)
        except Refusal:
            continue
        found.append(Task(equation, row.stage or stage_of(equation)))
    if len(found) > 1:
        found[-1] = replace(found[-1], exit=True)
    return Plan(tuple(found), seed, beyond="extra") if found else None


def plan_of_stage(number: int, seed: int, count: int = DRAWN) -> Plan:
    """Equations drawn for a stage, the last of them without hints. Raises PlanTrouble."""
    from dialogue.learner.families import draw

    try:
        drawn = draw(number, seed, count)
    except ValueError as error:
        raise PlanTrouble(f"There is no stage {number}; the stages are 1 to 15.") from error
    tasks = [Task(task.equation, number, exit=place == count - 1) for place, task in enumerate(drawn)]
    return Plan(tuple(tasks), seed, beyond="on")
