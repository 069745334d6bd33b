"""Choosing the equations of a lesson one by one, from the learner's past and from the lesson so far.

The choice itself is ``dialogue.learner.choice``, pure. Here it is given the clock, and what it chose goes into the log
as it stands, so that a replay gives the same equations whatever would be chosen by then.
"""

import re
import time
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from chattutor.lesson.beside_the_set import given_beside
from chattutor.session_logs.learner_history import Past, given_for, today
from chattutor.session_logs.saved import task_record
from dialogue.algebra.equation import Solution
from dialogue.learner.choice import Now, TaskChoice, choose, next_task
from dialogue.learner.contexts import story
from dialogue.learner.families import MIXED
from dialogue.learner.families import DrawnTask as Drawn
from dialogue.learner.history import Attempt
from dialogue.learner.mastery import standing
from dialogue.learner.records import attempts
from dialogue.learner.stages import stages, unknown_letters
from dialogue.turn_record import Answered, Given, Record
from dialogue.tutor.activities.diagnosis import most_telling
from dialogue.tutor.core.state import Plan, State, Task

OTHERS, MODELS = 1_000_003, 2_000_003  # from a lesson's seed to those of other equations and of worked ones
CANDIDATES = 6  # equations among which the most telling is looked for: a stage's set of five, and one
TELLING = frozenset({"practice", "earlier"})  # purposes for which another equation of the stage serves as well
STORIES = frozenset({"practice", "earlier", "return"})  # purposes of an equation that may be told in words
STORY_EVERY = 4  # equations of which at most one is
MOST_GIVEN = 40  # equations of a lesson, skipped ones and all; nobody does as many


def with_any_letter(met: Collection[str]) -> set[str]:
    """These equations with every letter for their unknown: none of them is new to whoever has met one."""
    pattern = re.compile("[a-z]")
    return {pattern.sub(letter, text) for text in met for letter in unknown_letters()}


@dataclass(slots=True)
class Chooser:
    """The equations of one lesson. ``seconds`` is a clock; ``spent`` minutes of it were in an earlier sitting."""

    past: Past
    seed: int
    length: float | None = None
    day: int = field(default_factory=today)
    spent: float = 0.0
    seconds: Callable[[], float] = time.monotonic
    records: list[Answered] = field(default_factory=list)
    _began: float = field(init=False)

    def __post_init__(self) -> None:
        self._began = self.seconds()

    @property
    def minutes(self) -> float:
        """Minutes into the lesson."""
        return self.spent + (self.seconds() - self._began) / 60

    def plan(self) -> Plan:
        """A plan that grows, with the first equation in it."""
        task, _ = self.next(())
        assert task is not None, "a lesson that has not begun is not over"
        placing = task.purpose == "place"
        now = 0 if placing or not self.past.lessons else min(standing(self.past.history).frontier, len(stages()))
        return Plan((task,), self.seed, open=True, before=self._before(), now=now, beyond="on")

    def _before(self) -> tuple[int, int]:
        """The furthest stage of what was done alone last time, and how often."""
        alone = [each.stage for each in self.past.history if each.lesson == self.past.lessons and each.success]
        return (max(alone), alone.count(max(alone))) if alone else (0, 0)

    def heard(self, record: Record) -> None:
        """A turn of the lesson; those in which the learner had the word count."""
        if isinstance(record, Answered):
            self.records.append(record)

    def next(self, tasks: Sequence[Task], state: State | None = None) -> tuple[Task | None, Given]:
        """The equation after these of the lesson (None once it is over), and what the log keeps of the choice.

        Where the lesson's ``state`` holds errors not told apart, one on which they would differ is preferred.
        """
        minutes = self.minutes
        lesson = self.past.lessons + 1
        here = tuple(attempts(list(map(given_for, tasks)), self.records, lesson, self.day))
        choice = None
        wanted = state.wish if state is not None else None
        wish = "harder" if wanted == "next" else wanted
        if len(tasks) < MOST_GIVEN and not (tasks and tasks[-1].exit and wish in {None, "easier"}):
            now = Now(lesson, self.day, minutes, self.length, wish, tasks[-1].stage if tasks else 0)
            choice = choose((*self.past.history, *here), now)
        if choice is not None and wish not in {None, "easier", "harder"}:
            task = replace(given_beside(tasks, wish, self.seed + OTHERS, tasks[-1]), purpose="practice")
            return task, Given(0, task_record(task), "practice", wish or "", round(minutes, 2))
        if choice is None:
            return None, Given(minutes=round(minutes, 2))
        task = replace(self._task(choice, tasks, state), wished=wanted or "")
        if task.exit:
            after = Attempt(choice.stage, True, purpose="exit", lesson=lesson, day=self.day)
            ahead = standing((*self.past.history, *here, after)).frontier
            task = replace(task, ahead=min(ahead, len(stages())))
        return task, Given(0, task_record(task), choice.purpose, choice.reason, round(minutes, 2))

    def _task(self, choice: TaskChoice, tasks: Sequence[Task], state: State | None) -> Task:
        met = {attempt.equation for attempt in self.past.history}
        for earlier in tasks:
            met |= {each.text() for each in (earlier.equation, earlier.model) if each is not None}
        # practice is the stage's set of five and on; all else is of other drawings, so that the set stays whole
        seed = self.seed if choice.purpose == "practice" else self.seed + OTHERS
        unlike = tasks[-1].equation.solution() if tasks else None
        drawn = next_task(choice, met, seed, unlike)
        if state is not None and choice.purpose in TELLING:
            if state.tied:
                drawn = _most_telling(state, choice, met, seed, unlike)
            elif self._guessed() and drawn.variation == MIXED:  # the set of five stays whole
                drawn = max(_candidates(choice, met, seed, unlike), key=_hard_to_spot)
        model = None
        if choice.model is not None:
            wanted = TaskChoice(choice.model, "model", choice.reason)
            model = next_task(
                wanted, with_any_letter({*met, drawn.equation.text()}), self.seed + MODELS, drawn.solution
            )
        task = Task(drawn.equation, choice.stage, choice.purpose == "exit", choice.purpose)
        scene = choice.stage == 1 and choice.purpose in {"practice", "model"} and not self._scene_shown(tasks)
        about = _story(task, tasks)
        return replace(task, model=model.equation if model else None, scene=scene, story=about)

    def _guessed(self) -> bool:
        """Whether the last equation was solved at one stroke, so that the next needs an answer nobody can spot."""
        last = self.records[-1] if self.records else Answered()
        return bool(last.solved) and len(last.board or ()) == 1

    def _scene_shown(self, tasks: Sequence[Task]) -> bool:
        return self.past.scene or any(task.scene for task in tasks)


def _story(task: Task, before: Sequence[Task]) -> str:
    """What an equation is about, told now and then: never in the pre-check or without hints, where it would test more
    than the stage, and not again soon."""
    recent = before[-STORY_EVERY + 1 :]
    if task.purpose not in STORIES or len(recent) < STORY_EVERY - 1 or any(each.story for each in recent):
        return ""
    found = story(task.equation, len(before))
    return found.words if found is not None else ""


def _candidates(choice: TaskChoice, met: Collection[str], seed: int, unlike: Solution | None) -> list[Drawn]:
    """The next few equations of the choice."""
    found: list[Drawn] = []
    for _ in range(CANDIDATES):
        found.append(next_task(choice, {*met, *(each.equation.text() for each in found)}, seed, unlike))
    return found


def _hard_to_spot(task: Drawn) -> tuple[int, Fraction]:
    """How hard the answer is to guess: a fraction more than a whole number, a large one more than a small one."""
    value = task.solution.value or Fraction(0)
    return value.denominator, abs(value)


def _most_telling(state: State, choice: TaskChoice, met: Collection[str], seed: int, unlike: Solution | None) -> Drawn:
    """Of the next few equations of the choice, the one on which the errors still tied differ most; else the first."""
    candidates = _candidates(choice, met, seed, unlike)
    telling = most_telling(state, [each.equation for each in candidates])
    chosen = telling.equation if telling is not None else candidates[0].equation
    return next(each for each in candidates if each.equation == chosen)
