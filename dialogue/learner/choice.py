"""Which equation comes next: a pure function of what the learner has done and of the clock it is given.

* A newcomer, or somebody who has only practised what was asked for, is placed by a pre-check of at most five minutes:
  the stages are halved until the edge is found.
* Three unaided successes in a row, one of them a variation, move on.
* Practice is of the least secure stage that is ready, every third equation of an earlier one. Mixing kinds
  beats practising them in blocks: 72% against 38% after two weeks, d = 1.05 (Rohrer, Dedrick & Stershic 2015,
  Journal of Educational Psychology 107, 900-908: grade 7, linear equations among the problems).
* A stage that was passed comes back next lesson, in a week and in a month. Gaps that grow with the time things
  should last: Cepeda, Vul, Rohrer, Wixted & Pashler 2008, Psychological Science 19, 1095-1102; that growing
  gaps keep practice successful: Kang, Lindsey, Mozer & Pashler 2014, Psychonomic Bulletin & Review 21, 1544-1550.
* Two failures in a row on a stage go back to the model, a worked equation, and to the stage below.
* Whoever was placed is not sent back to what lies far below: success moves on.
* A wish for an easier or a harder one is followed, and after a harder one that succeeds the lesson goes on there.
* No two equations that follow each other have one answer.
* After about fifteen minutes the lesson ends on a success, and then one equation without hints.

The numbers are in ``choice.toml``. The papers' years and pages are from memory, their figures were read.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace
from itertools import islice
from typing import Literal, TypeAlias

from dialogue.algebra.equation import Solution
from dialogue.learner.families import DrawnTask, drawing
from dialogue.learner.history import Attempt, ChosenFor, History, Wish
from dialogue.learner.mastery import Standing, bracket, policy, standing
from dialogue.learner.stages import stages
from dialogue.learner.tracing import Parameters, secure_at, trace, usual

ChoiceReason: TypeAlias = Literal[
    "placing",
    "going on",
    "a variation",
    "an earlier stage",
    "coming back",
    "a slip, or lost?",
    "two failures",
    "ending on a success",
    "without hints",
    "easier",
    "harder",
]
EARLIER: frozenset[ChosenFor] = frozenset({"earlier", "return"})
FURTHEST = 20_000  # equations of a drawing looked through for one not yet met


@dataclass(frozen=True, slots=True)
class Now:
    """The lesson (from 1), the day (days since the same fixed day as in the history), minutes into the lesson; where a
    teacher wants it longer or shorter than usual, after how many minutes it should end; and the learner's ``wish`` for
    another than the equation ``at`` whose stage they were."""

    lesson: int = 1
    day: int = 0
    minutes: float = 0.0
    length: float | None = None
    wish: Wish | None = None
    at: int = 0

    @property
    def over(self) -> bool:
        """Whether it is time to end on a success."""
        return self.minutes >= self._length

    @property
    def long_over(self) -> bool:
        """Whether it is time to end, success or not."""
        return self.minutes >= self._length + float(policy()["most_minutes"] - policy()["minutes"])

    @property
    def _length(self) -> float:
        return float(policy()["minutes"]) if self.length is None else self.length


@dataclass(frozen=True, slots=True)
class TaskChoice:
    """The next equation's stage and why. ``model``: the stage to show a worked equation of first, or None."""

    stage: int
    purpose: ChosenFor
    reason: ChoiceReason
    variation: bool = False
    model: int | None = None


def choose(history: History, now: Now, use: Parameters | None = None) -> TaskChoice | None:
    """The next choice; None once the lesson is over (its exit equation has been done)."""
    here = tuple(attempt for attempt in history if attempt.lesson == now.lesson)
    more = now.wish not in {None, "easier"} and not _is_too_long(here, now)  # who asks for more is given it
    if here and here[-1].purpose == "exit" and not more:
        return None
    if _being_placed(history, here, now):
        return _place(history, now)
    at = standing(history)
    if not more and (now.over or len(here) >= policy()["equations"]):
        return _end(here, at, now)
    return (
        _wished(at, now)
        or _back(here, at)
        or _again(here, at)
        or _return(here, at, now)
        or _ahead(here, at)
        or _earlier(history, here, at, use or usual())
        or _practice(at)
    )


def ahead(history: History, now: Now, count: int, use: Parameters | None = None) -> list[TaskChoice]:
    """What the next equations would be if each went right: of earlier stages at most every third, however many are
    due. A pre-check without a stage that went wrong cannot be foreseen: all are of its next stage, or of the one after
    what went right in it."""
    found: list[TaskChoice] = []
    later: list[TaskChoice] = []
    while len(found) < count and (choice := choose(history, now, use)) is not None and choice.purpose != "exit":
        low, high = bracket(history)
        if choice.purpose == "place" and high > len(stages()):
            return [replace(choice, stage=low + 1 if low else choice.stage)] * count
        (later if choice.purpose in EARLIER else found).append(choice)
        back = sum(each.purpose in EARLIER for each in found)
        if later and back * policy()["earlier_every"] <= len(found):
            found.append(later.pop(0))
        right = Attempt(choice.stage, True, "independent", choice.variation, choice.purpose, now.lesson, now.day)
        history = (*history, right)
    return [*found, *later][:count]


def next_task(choice: TaskChoice, met: Collection[str], seed: int, unlike: Solution | None = None) -> DrawnTask:
    """An equation for the choice that is none of those met (as text), its answer not that of the one before: the next
    of the stage's drawing."""
    for task in islice(drawing(choice.stage, seed), FURTHEST):
        fits = task.is_variation or not choice.variation
        if fits and task.solution != unlike and task.equation.text() not in met:
            return task
    raise RuntimeError(f"no equation of stage {choice.stage} is left after {FURTHEST}")


def _being_placed(history: History, here: History, now: Now) -> bool:
    if any(attempt.purpose not in {"place", "asked"} for attempt in history):
        return False
    low, high = bracket(history)
    done = sum(attempt.purpose == "place" for attempt in history)
    if low and high > len(stages()) and not done:  # equations that somebody chose have shown where to go on
        return False
    begun = any(attempt.purpose == "place" for attempt in here)
    in_time = not begun or now.minutes < policy()["place_minutes"]
    return high - low > 1 and done < policy()["place_most"] and in_time


def _place(history: History, now: Now) -> TaskChoice:
    low, high = bracket(history)
    if now.wish == "harder":  # taken at their word for now: it is the next equation that shows
        low = min(max(low, now.at), high - 1)
    elif not any(attempt.purpose == "place" for attempt in history):
        return TaskChoice(_place_from(history, high), "place", "placing")
    return TaskChoice(max(1, (low + high) // 2), "place", "placing")


def _place_from(history: History, high: int) -> int:
    """Where a pre-check begins: near the equations that somebody chose, if there were any, for they are what is worked
    on."""
    if high <= len(stages()):
        return max(1, high - 1)
    alone = [attempt.stage for attempt in history if attempt.success]
    return max(alone) if alone else min((each.stage for each in history), default=int(policy()["place_from"]))


def _wished(at: Standing, now: Now) -> TaskChoice | None:
    """The stage above or below the equation left; at either end, another of that stage."""
    stage = now.at or min(at.frontier, len(at.stages))
    if now.wish == "easier":
        below = max(1, stage - 1)
        return TaskChoice(below, "earlier" if at.stages[below].passed else "practice", "easier")
    if now.wish == "harder":
        above = min(max(stage + 1, min(at.frontier, len(at.stages))), len(at.stages))
        return TaskChoice(above, "practice", "harder", variation=above == stage)
    return None


def _ahead(here: History, at: Standing) -> TaskChoice | None:
    """On from an equation above the stage in hand that just succeeded: it was wished for, and it was not too hard."""
    if not here or not here[-1].success or here[-1].purpose != "practice" or here[-1].stage <= at.frontier:
        return None
    progress = at.stages[here[-1].stage]
    if progress.passed:
        return TaskChoice(here[-1].stage + 1, "practice", "going on") if here[-1].stage < len(at.stages) else None
    return _of(here[-1].stage, at)


def _is_too_long(here: History, now: Now) -> bool:
    return now.long_over or len(here) >= policy()["most_equations"]


def _end(here: History, at: Standing, now: Now) -> TaskChoice:
    """Past the time: a success first, on safe ground; then the exit equation, of the stage last worked on."""
    worked_on = next((each.stage for each in reversed(here) if each.purpose in {"practice", "return"}), 0)
    stage = worked_on or max(1, at.frontier - 1)
    if not here or here[-1].success or _is_too_long(here, now):
        return TaskChoice(min(stage, len(at.stages)), "exit", "without hints")
    return TaskChoice(max([*at.passed(), 1]), "last", "ending on a success")


def _back(here: History, at: Standing) -> TaskChoice | None:
    """After two failures in a row on a stage: its model, then an equation of the stage below."""
    if not here or here[-1].success:
        return None
    stage = here[-1].stage
    falls = at.stages[stage].falls
    if falls and falls % policy()["failures"] == 0:
        return TaskChoice(max(1, stage - 1), "model", "two failures", model=stage)
    return None


def _return(here: History, at: Standing, now: Now) -> TaskChoice | None:
    """A passed stage that is due, once a lesson each, never two in a row: the longest passed first, and after those the
    ones only placed past, from the stage in hand downwards."""
    if here and here[-1].purpose == "return":
        return None
    asked = {attempt.stage for attempt in here}
    due = [stage for stage in at.passed() if stage not in asked and at.stages[stage].is_due(now.lesson, now.day)]

    def order(stage: int) -> tuple[bool, int, int]:
        progress = at.stages[stage]
        return progress.placed, progress.passed_on[1], -stage if progress.placed else stage

    return TaskChoice(min(due, key=order), "return", "coming back") if due else None


def _again(here: History, at: Standing) -> TaskChoice | None:
    """A passed stage that just failed: once more, to tell a slip from something lost."""
    if here and not here[-1].success and here[-1].purpose in {"earlier", "return"} and at.stages[here[-1].stage].passed:
        return TaskChoice(here[-1].stage, "earlier", "a slip, or lost?")
    return None


def _earlier(history: History, here: History, at: Standing, use: Parameters) -> TaskChoice | None:
    """Every third equation, or every one once all stages are passed: the passed stages that are not secure, then
    those not met for longest. Stages that were only placed past come in a later lesson, once those just below the stage
    in hand are secure."""
    known = trace(history, use).stages
    passed = at.within_reach()
    finished = len(at.passed()) == len(at.stages)
    placed_now = any(attempt.purpose == "place" for attempt in here)
    if not placed_now and all(known.get(stage, 0.0) >= secure_at() for stage in passed):
        passed = at.passed()
    if not passed or not (finished or len(_since_earlier(here)) >= policy()["earlier_every"] - 1):
        return None
    last = {attempt.stage: place for place, attempt in enumerate(history)}
    stage = min(passed, key=lambda each: (known.get(each, 1.0) >= secure_at(), last.get(each, -1), -each))
    if here and here[-1].stage == stage and len(passed) > 1:
        stage = min((each for each in passed if each != stage), key=lambda each: (last.get(each, -1), -each))
    return TaskChoice(stage, "earlier", "an earlier stage")


def _since_earlier(here: History) -> History:
    """This lesson's attempts since one was of an earlier stage."""
    for place in range(len(here), 0, -1):
        if here[place - 1].purpose in {"place", "earlier", "return", "model"}:
            return here[place:]
    return here


def _practice(at: Standing) -> TaskChoice:
    """The stage in hand: the first not passed, which makes it the least secure one that is ready."""
    return _of(at.frontier, at)


def _of(stage: int, at: Standing) -> TaskChoice:
    progress = at.stages[stage]
    vary = progress.run >= progress.needed - 1 and not progress.varied
    return TaskChoice(stage, "practice", "a variation" if vary else "going on", variation=vary)
