"""Equations beside those that a lesson began with: of the kind that a learner wishes for, or is ready for.

A stage named on the command line is where the lesson starts, and no fence: after a wish the lesson goes on with the
kind wished for. What a teacher chose one by one stays, and an extra equation is given beside it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from chattutor.session_logs.saved import task_record
from dialogue.learner.history import WishedFor
from dialogue.learner.kinds import drawn_from, named_kinds, source_of
from dialogue.turn_record import Given, Record
from dialogue.tutor.core.state import Plan, State, Task

BESIDE = 3_000_017  # from a lesson's seed to those of these equations
LEAST = 5  # equations of a lesson that started from a stage
OF_A_KIND = 3  # of a new kind before such a lesson ends, the last of them without hints (a choice)
MOST = 15  # of a lesson, and
MOST_EXTRA = 10  # of those beside a set (choices)


@dataclass(frozen=True, slots=True)
class BesideTheSet:
    """Gives the equations beside those of one ``plan``."""

    seed: int

    def heard(self, record: Record) -> None:
        """Nothing is made of what was heard: the lesson's own state says what is wished for."""

    def next(self, tasks: Sequence[Task], state: State | None = None) -> tuple[Task | None, Given]:
        """The equation wished for, or one more of the kind in hand; None where the lesson has had enough."""
        extra = state is not None and state.plan.beyond == "extra"
        wish = None if state is None else state.wish
        beside = sum(bool(task.wished) for task in tasks)
        if beside >= MOST_EXTRA if extra else len(tasks) >= MOST:
            return None, Given()
        last = _last(tasks, state)
        task = given_beside(tasks, wish, self.seed + BESIDE, last)
        if not extra and wish is None and _in_a_row(tasks) + 1 >= OF_A_KIND and len(tasks) + 1 >= LEAST:
            task = replace(task, exit=True)
        return task, Given(0, task_record(task), "", wish or "")


def beside_plan(plan: Plan) -> BesideTheSet | None:
    """Who gives what is beside a plan; None where nobody does."""
    return BesideTheSet(plan.seed) if plan.beyond and not plan.open else None


def given_beside(tasks: Sequence[Task], wish: WishedFor | None, seed: int, last: Task) -> Task:
    """An equation for the wish, none of these ``tasks``: of a kind by its name, or by where its stage stands to that of
    the ``last``; without a wish one more like the last."""
    named = last.wished if last.wished in named_kinds() else ""
    source = source_of(wish or named, last.stage, [task.stage for task in tasks])
    equation = drawn_from(source, seed, {task.equation.text() for task in tasks}, last.equation.solution())
    return Task(equation, source.stage, wished=wish or last.wished)


def _last(tasks: Sequence[Task], state: State | None) -> Task:
    """The equation that is over: of a lesson that went on the last, else the one before the place where it stands."""
    if state is None or (state.plan.beyond == "on" and tasks[-1].wished):
        return tasks[-1]
    return tasks[max(0, min(state.place, len(tasks)) - 1)]


def _in_a_row(tasks: Sequence[Task]) -> int:
    """How many of the last equations are of one kind."""
    last = tasks[-1]
    return next(
        (count for count, task in enumerate(reversed(tasks)) if (task.stage, task.wished) != (last.stage, last.wished)),
        len(tasks),
    )
