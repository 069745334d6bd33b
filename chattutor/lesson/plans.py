"""What a lesson starts from: a teacher's file of equations, or equations drawn for a stage."""

import sys
from pathlib import Path

from chattutor.common.exits import CannotGoOn, PlanTrouble
from dialogue.tutor.core.state import Plan, Task

MAX_EQUATIONS = 500
MOST_TOLD = 20  # lines left out that are told one by one
DRAWN = 5  # a lesson of about a quarter of an hour: four equations, and one without hints at the end


def plan_of_file(path: Path, seed: int) -> Plan:
    """A teacher's file, plain or a table. A line that cannot be used is told on standard error, the rest is used.

    Raises PlanTrouble where the file cannot be read or nothing in it can be used.
    """
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
        print(f"chattutor: {path}: {more} more lines cannot be used; equations check tells them.", file=sys.stderr)
    if not found.items:
        raise PlanTrouble(f"There is no equation in {path} that can be used.")
    tasks = tuple(Task(item.equation, stage_of(item.equation)) for item in found.items)
    return Plan(tasks, seed)


def plan_of_stage(number: int, seed: int, count: int = DRAWN) -> Plan:
    """Equations drawn for a stage, the last of them without hints. Raises PlanTrouble."""
    from dialogue.learner.families import draw

    try:
        drawn = draw(number, seed, count)
    except ValueError as error:
        raise PlanTrouble(f"There is no stage {number}; the stages are 1 to 15.") from error
    tasks = [Task(task.equation, number, exit=place == count - 1) for place, task in enumerate(drawn)]
    return Plan(tuple(tasks), seed)
