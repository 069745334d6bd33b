"""How an equation is introduced: by why it was chosen, with an equation worked first where two of a kind failed."""

from collections.abc import Iterator

from dialogue.algebra.equation import Equation
from dialogue.algebra.solver import solve_by_steps
from dialogue.tutor.saying import Saying
from dialogue.tutor.scene import opening
from dialogue.tutor.state import Task

INTRODUCED = {
    "earlier": "give earlier",
    "return": "give return",
    "model": "give after model",
    "last": "give last",
    "exit": "give exit",
}


def introduced(task: Task, before: Task | None, opened: bool) -> tuple[Saying, ...]:
    """What is said before the line. ``before`` is the task before it, None for the first of a lesson; ``opened``:
    whether the plan is an open one, whose equations are chosen one by one."""
    said: list[Saying] = []
    if opened:
        if task.purpose == "place":
            said.append(Saying("next" if before is not None and before.purpose == "place" else "give place"))
        elif before is not None and before.purpose == "place":
            said.append(Saying("placed"))
        elif before is not None and task.purpose not in INTRODUCED:
            said.append(Saying("next"))
    if task.model is not None:
        said += worked(task.model)
    if opened and task.purpose in INTRODUCED:
        said.append(Saying(INTRODUCED[task.purpose]))
    return (*said, *(opening() if task.scene else ()))


def worked(equation: Equation) -> Iterator[Saying]:
    """An equation worked from start to end, a step a saying: the model that a learner goes back to."""
    yield Saying("model worked", {"other": equation})
    for place, each in enumerate(solve_by_steps(equation)):
        yield Saying("worked then" if place else "worked first", {"step": each.step, "after": each.equation})
