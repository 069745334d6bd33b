"""Equations given for a purpose: how each is introduced, and those that find out what a learner does alone.

The pre-check that places a newcomer goes on at the first sign: of an answer it is said whether it is right, no more,
and it is not put in; a step that breaks the balance, or a wish for help, ends the equation. The exit equation of a
lesson has no hints: whoever asks for help is asked to try alone, and whoever asks again may leave it.
"""

from collections.abc import Iterator
from dataclasses import replace

from dialogue.algebra.equation import Equation
from dialogue.algebra.solver import solve_by_steps
from dialogue.tutor.activities.balance_scene import opening
from dialogue.tutor.core.course import kind
from dialogue.tutor.core.events import Advanced, Event, Judged
from dialogue.tutor.core.questions import begin_task, prompted, solved_here
from dialogue.tutor.core.state import CHECKING, OPEN, State, Task
from dialogue.verbalising.sayings import Filling, Saying

HELP = frozenset({"hint", "stuck", "example", "tell me"})


def without_teaching(before: State, advanced: Advanced) -> Advanced:
    """The turn as it is in the pre-check and on an exit equation; any other turn as it was."""
    after, _, events = advanced
    if before.task.exit and before.phase in OPEN and any(event.kind in HELP for event in events):
        return _alone(before, events)
    if before.task.purpose != "place" or after.phase == "done" or after.place != before.place:
        return advanced
    if any(event.kind in HELP - {"example"} for event in events):
        return _over(after, advanced, "for later")
    if after.phase in CHECKING:  # an answer stands on the board, or was given
        fits = after.guess is not None and after.guess == after.task.equation.solution().value
        return _over(solved_here(after) if fits else after, advanced, "noted right" if fits else "noted wrong")
    if before.tries == 0 and any(saying.key == "look at the digits" for saying in advanced.said):
        return advanced  # two digits written the other way round show nothing of equations
    if any(isinstance(event, Judged) and event.judgement.balanced is False for event in events):
        return _over(after, advanced, "noted wrong")
    return advanced


def _alone(state: State, events: tuple[Event, ...]) -> Advanced:
    if state.rung == 0:
        return Advanced(replace(prompted(state), rung=1), (Saying("try alone first"),), events)
    return _over(state, Advanced(state, (), events), "for later")


def _over(state: State, advanced: Advanced, key: str) -> Advanced:
    values: dict[str, Filling] = {} if state.guess is None else {"guess": state.guess}
    return Advanced(begin_task(state, state.place + 1), (Saying(key, values),), advanced.events)


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
        if before is not None and before.stage:
            said.append(Saying("model after failures", {"kind": kind(before.stage)}))
        said += worked(task.model)
    again = task.purpose == "earlier" and before is not None and before.purpose in {"earlier", "place"}
    if again and not said:
        said.append(Saying("next"))
    elif opened and task.purpose in INTRODUCED and not again:
        said.append(Saying(INTRODUCED[task.purpose]))
    if task.story:
        said.append(Saying("story", {"story": task.story}))
    return (*said, *(opening() if task.scene else ()))


def worked(equation: Equation) -> Iterator[Saying]:
    """An equation worked from start to end, a step a saying: the model that a learner goes back to."""
    yield Saying("model worked", {"other": equation})
    for place, each in enumerate(solve_by_steps(equation)):
        yield Saying("worked then" if place else "worked first", {"step": each.step, "after": each.equation})
