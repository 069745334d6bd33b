"""What a lesson starts from: a teacher's file of equations, or equations drawn for a stage."""

from pathlib import Path

from chattutor.exits import PlanTrouble, reason
from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.tutor.state import Plan, Task

MAX_FILE = 1_000_000  # bytes
MAX_EQUATIONS = 500
DRAWN = 5  # a lesson of about a quarter of an hour: four equations, and one without hints at the end


def plan_of_file(path: Path, seed: int, spoken: bool = False) -> Plan:
    """One equation a line, ``#`` starts a comment. Raises PlanTrouble, naming the first line that cannot be used."""
    try:
        with path.open("rb") as source:
            content = source.read(MAX_FILE + 1)
    except OSError as error:
        raise PlanTrouble(f"The equations in {path} cannot be read: {reason(error)}.") from error
    if len(content) > MAX_FILE:
        raise PlanTrouble(f"{path} is too big to be a set of equations.")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise PlanTrouble(f"{path} is not a text file in UTF-8.") from error
    tasks = []
    for number, line in enumerate(text.splitlines(), 1):
        written = line.partition("#")[0].strip()
        if written:
            try:
                tasks.append(Task(read_equation(written)))
            except Refusal as refusal:
                raise PlanTrouble(f"{path}, line {number}: {refusal.sentence}") from refusal
    if not tasks:
        raise PlanTrouble(f"There is no equation in {path}.")
    if len(tasks) > MAX_EQUATIONS:
        raise PlanTrouble(f"{path} has {len(tasks)} equations; the most for one lesson is {MAX_EQUATIONS}.")
    return Plan(tuple(tasks), seed, spoken=spoken)


def plan_of_stage(number: int, seed: int, spoken: bool = False, count: int = DRAWN) -> Plan:
    """Equations drawn for a stage, the last of them without hints. Raises PlanTrouble."""
    from dialogue.learner.families import draw

    try:
        drawn = draw(number, seed, count)
    except ValueError as error:
        raise PlanTrouble(f"There is no stage {number}; the stages are 1 to 15.") from error
    tasks = [Task(task.equation, number, exit=place == count - 1) for place, task in enumerate(drawn)]
    return Plan(tuple(tasks), seed, spoken=spoken)
