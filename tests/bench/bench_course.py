"""The course of lessons: invented learners with the real tutor and the real choice, lesson after lesson.

    python tests/bench/bench_course.py [LEARNERS] [LESSONS]

The learners are those of ``bench_learner.py`` (our own invention, not evidence about people): on each equation the
first try is right or not, and then every turn is what somebody who knows would say, question by question. First
``--stage``: each stage's five, by a learner who knows it. Then lessons whose equations are chosen. Printed: turns an
equation, stages passed, and how often two equations that follow each other have one answer.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from pathlib import Path
from random import Random
from statistics import median

sys.path[:0] = [str(Path(__file__).parents[1] / "tutor"), str(Path(__file__).parents[1])]

from bench_learner import KINDS, Learner  # noqa: E402 - the tests' own helpers are found only now
from bench_lessons import right_thing, wrong_thing  # noqa: E402
from rows import row  # noqa: E402
from talking import HINT, STUCK, YES, respond  # noqa: E402

from chattutor.lesson.plans import plan_of_stage  # noqa: E402
from chattutor.lesson.task_selection import Chooser  # noqa: E402
from chattutor.session_logs.learner_history import Past, given_for  # noqa: E402
from dialogue.acts import Act  # noqa: E402
from dialogue.algebra.moves import Verdict  # noqa: E402
from dialogue.learner.mastery import standing  # noqa: E402
from dialogue.learner.records import attempts  # noqa: E402
from dialogue.turn_record import Given  # noqa: E402
from dialogue.tutor import begin, give  # noqa: E402
from dialogue.tutor.core.state import Plan, State, Task, Utterance  # noqa: E402

MOST_TURNS = 60  # of one equation: a lesson that hangs would show
SECONDS_A_TURN, DAYS_BETWEEN = 15.0, 3


def knowing(state: State, met: int) -> Act | None:
    """What a learner who knows says to the question; ``met``: how often this line and question have come before."""
    kind = state.task.equation.solution().kind
    if state.phase == "count" or (kind != "one" and state.phase == "move" and met):
        return Verdict(kind) if kind != "one" else STUCK
    if state.phase in {"confirm", "reconsider"}:
        return YES
    return HINT if met > 2 else right_thing(state) or STUCK


@dataclass
class Sitting:
    """One lesson: its tasks with the turns that each took, and the attempts that came of it."""

    tasks: list[Task] = field(default_factory=list)
    turns: list[int] = field(default_factory=list)
    solved: list[bool] = field(default_factory=list)


def hold(plan: Plan, learner: Learner | None, random: Random, chooser: Chooser | None, clock: list[float]) -> Sitting:
    """The lesson to its end; without a ``learner`` everything is known."""
    sitting = Sitting()
    state = begin(plan).state
    while state.phase != "done":
        if state.phase == "between":
            task, why = chooser.next(state.plan.tasks, state) if chooser is not None else (None, Given())
            state = give(state, task, why).state
            continue
        place, taken, asked = state.place, 0, dict[tuple[object, ...], int]()
        right = learner.tries(state.task.stage, state.task.model is not None) if learner is not None else True
        while state.place == place and state.phase not in {"done", "between"} and taken < MOST_TURNS:
            key = (state.phase, state.equation, state.guess)
            asked[key] = asked.get(key, -1) + 1
            said = knowing(state, asked[key])
            if not right and state.phase in {"move", "line", "operations"}:
                right, said = True, wrong_thing(state, random)
            turn = respond(state, Utterance("given"), said)
            if chooser is not None:
                chooser.heard(turn.record)
            state, taken = turn.state, taken + 1
            clock[0] += SECONDS_A_TURN
        sitting.tasks.append(plan.tasks[place] if place < len(plan.tasks) else state.plan.tasks[place])
        sitting.turns.append(taken)
        sitting.solved.append(place in state.solved)
        if taken >= MOST_TURNS:
            print(f"hangs: {sitting.tasks[-1].equation.text()}, {state.phase}")
            return sitting
    return sitting


def course(kind: str, seed: int, lessons: int) -> Iterator[tuple[Sitting, int]]:
    """Each lesson, and the stages passed after it."""
    random = Random(seed)
    learner = Learner(KINDS[kind], random)
    past = Past()
    for number in range(lessons):
        clock = [0.0]
        chooser = Chooser(past, seed, day=number * DAYS_BETWEEN, seconds=lambda clock=clock: clock[0])
        sitting = hold(chooser.plan(), learner, random, chooser, clock)
        given = list(map(given_for, sitting.tasks))
        here = tuple(attempts(given, chooser.records, number + 1, number * DAYS_BETWEEN))
        past = replace(past, history=(*past.history, *here), lessons=past.lessons + 1)
        learner.sleeps({task.stage for task in sitting.tasks})
        yield sitting, len(standing(past.history).passed())


def alike(tasks: list[Task]) -> int:
    """Pairs that follow each other and have one answer."""
    return sum(one.equation.solution() == other.equation.solution() for one, other in pairwise(tasks))


def by_stage(seeds: int) -> None:
    """The five equations of each stage, by somebody who knows."""
    print("--stage, everything known: turns of the first, and the median of the others")
    pairs = same = 0
    for stage in range(1, 16):
        first, others = [], []
        for seed in range(seeds):
            sitting = hold(plan_of_stage(stage, seed), None, Random(seed), None, [0.0])
            first.append(sitting.turns[0])
            others += sitting.turns[1:]
            pairs, same = pairs + len(sitting.tasks) - 1, same + alike(sitting.tasks)
        print(f"  stage {stage:>2}: {median(first):.0f}, then {median(others):.0f}")
    print(f"  one answer twice running: {same} of {pairs}")
    row("equations of a stage whose answer is the last one's", [same], "", limit=0, note=f"of {pairs} pairs")


def main(learners: int, lessons: int) -> None:
    """Print the tables."""
    began = time.perf_counter()
    by_stage(4)
    print(f"\nchosen, {learners} of each kind: stages passed after each lesson, equations a lesson, turns an equation")
    pairs = same = 0
    for index, kind in enumerate(KINDS):
        passed: list[list[int]] = [[] for _ in range(lessons)]
        counts: list[int] = []
        turns: list[int] = []
        for number in range(learners):
            for place, (sitting, stages) in enumerate(course(kind, index * 100 + number, lessons)):
                passed[place].append(stages)
                counts.append(len(sitting.tasks))
                turns += sitting.turns
                pairs, same = pairs + len(sitting.tasks) - 1, same + alike(sitting.tasks)
        shown = " ".join(f"{median(each):>4.0f}" for each in passed)
        print(f"  {kind:<12}{shown}   {median(counts):>4.0f} {median(turns):>4.0f}", flush=True)
    print(f"  one answer twice running: {same} of {pairs}; {time.perf_counter() - began:.0f} s")
    row("equations of a lesson whose answer is the last one's", [same], "", limit=0, note=f"of {pairs} pairs")


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], *("3", "5")[len(sys.argv) - 1 :])[:2]))
