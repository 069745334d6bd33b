"""Tomorrow's lesson as data: what each group needs, and equations of their own for every learner."""

from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Any, NamedTuple
from zlib import crc32

from chattutor.session_logs.next_lesson import SetEquation
from chattutor.tomorrow.explanation import Cue, explanation, length
from chattutor.tomorrow.telling_equations import explained, telling
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.misconceptions.catalogue import Belief, beliefs
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import solve_by_steps
from dialogue.learner.choice import TaskChoice, next_task
from dialogue.learner.records import stage_of
from dialogue.learner.stages import stages

ON_SHEET, A_LESSON = 10, 5  # equations of a sheet (a page of two columns) and of a lesson


class NextLesson(NamedTuple):
    """What a learner's next equations should be, in order, and the equations (as text) that were met before."""

    choices: tuple[TaskChoice, ...]
    met: Collection[str]


@dataclass(frozen=True, slots=True)
class GroupPlan:
    """One group: the row of the class page, what there is to do, equations for its sheet, and an explanation."""

    row: dict[str, Any]
    belief: Belief | None
    sheet: tuple[Equation, ...]
    script: tuple[Cue, ...]

    @property
    def source(self) -> str:
        """The study that the error is from."""
        entry = error_table().get(self.row["error"])
        return entry.source if entry else ""

    @property
    def seconds(self) -> int:
        """How long the explanation takes, about."""
        return length(list(self.script))


def group_plans(page: dict[str, Any]) -> list[GroupPlan]:
    """A plan for each group to re-teach, in the order of the page."""
    return [_group(row) for row in page["groups"]]


def lessons(page: dict[str, Any], next_lesson: Callable[[str], NextLesson]) -> list[SetEquation]:
    """For each learner equations of their own: those of a group such as expose its idea, everybody else what comes next
    for them (by ``next_lesson``, of a code)."""
    ideas: dict[str, list[str]] = {}
    stage_seen: dict[tuple[str, str], int] = {}
    for row in page["groups"]:
        for code, seen in zip(row["learners"], row["evidence"], strict=True):
            ideas.setdefault(code, []).append(row["error"])
            stage_seen[code, row["error"]] = _stage(seen["equation"])
    found: list[SetEquation] = []
    for learner in page["learners"]:
        code = learner["code"]
        if code in ideas:
            found += _for_ideas(code, [(error, stage_seen[code, error]) for error in ideas[code]], learner["last"])
        else:
            found += _drawn(code, next_lesson(code), _seed(code, learner["last"]))
    return found


def _drawn(code: str, lesson: NextLesson, seed: int) -> Iterator[SetEquation]:
    met, unlike = set(lesson.met), None
    for choice in lesson.choices:
        task = next_task(choice, met, seed, unlike)
        met.add(task.equation.text())
        unlike = task.solution
        yield SetEquation(code, task.equation.text(), choice.stage, choice.reason)


def _for_ideas(code: str, held: list[tuple[str, int]], last: str) -> list[SetEquation]:
    """Equations that expose each idea in turn, none twice."""
    by_idea = [telling(error, stage, f"{code} {last}", A_LESSON) for error, stage in held]
    some = [(error, each) for row in zip(*_filled(by_idea), strict=True)
            for (error, _), each in zip(held, row, strict=True) if each is not None]  # fmt: skip
    different = {each: error for error, each in reversed(some)}
    chosen = [(each, error) for each, error in reversed(different.items())][:A_LESSON]
    return [SetEquation(code, each.text(), stage_of(each), error) for each, error in chosen]


def _filled(rows: list[list[Equation]]) -> list[list[Equation | None]]:
    longest = max(map(len, rows))
    return [[*row, *[None] * (longest - len(row))] for row in rows]


def _group(row: dict[str, Any]) -> GroupPlan:
    error = row["error"]
    stage = min(_stage(seen["equation"]) for seen in row["evidence"])  # where all of them are at home
    belief = beliefs().get(error)
    equation = explained(error, stage)
    script = () if belief is None or equation is None else tuple(explanation(belief, equation))
    return GroupPlan(row, belief, tuple(telling(error, stage, f"sheet {error}", ON_SHEET)), script)


def _stage(text: str) -> int:
    """The stage of an equation of the logs or, where it has none, the first that takes as many steps; 0 where it cannot
    be read."""
    try:
        equation = read_equation(text)
    except Refusal:
        return 0
    steps = len(solve_by_steps(equation))
    alike = (one.number for one in stages() if len(solve_by_steps(read_equation(one.sample))) >= steps)
    return stage_of(equation) or next(alike, len(stages()))


def _seed(code: str, last: str) -> int:
    return crc32(f"{code} {last}".encode("utf-8", "replace"))
