"""A thousand invented learners of eight kinds: the policy against a fixed order and a random order.

    python tests/bench/bench_learner.py [LEARNERS] [MOST]

A learner here is our own invention, not evidence about people: each stage is known or not; an equation may teach
its stage, much less so where the stage before is not known; a model worked first helps; a stage not met for a
while may be forgotten. Printed: equations until all fifteen stages are known at once, and who never gets there.
"""

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from statistics import median, quantiles
from tempfile import TemporaryDirectory

from rows import row

from chattutor.paper.sets import read_set
from dialogue.learner.choice import Now, TaskChoice, choose
from dialogue.learner.families import draw
from dialogue.learner.history import Attempt, History

STAGES = 15
MINUTES_EACH, MINUTES_PLACING = 2.0, 1.0
DAYS_BETWEEN = 3


@dataclass(frozen=True)
class Kind:
    """How one kind of invented learner starts and goes on."""

    knows: Callable[[Random], set[int]]
    learn: float = 0.3
    slip: float = 0.06
    guess: float = 0.03
    forget: float = 0.02  # chance, per lesson, of losing a stage not met in it


KINDS = {
    "newcomer": Kind(lambda random: set()),
    "quick": Kind(lambda random: set(range(1, random.randint(2, 6))), learn=0.6, slip=0.03),
    "slow": Kind(lambda random: set(), learn=0.12),
    "careless": Kind(lambda random: set(range(1, 5)), slip=0.2),
    "guessing": Kind(lambda random: set(range(1, 4)), guess=0.2),
    "forgetful": Kind(lambda random: set(range(1, 4)), forget=0.06),
    "returning": Kind(lambda random: set(range(1, random.randint(8, 12))), learn=0.45),
    "with gaps": Kind(lambda random: {each for each in range(1, 12) if random.random() < 0.6}),
}


@dataclass
class Learner:
    """One invented learner, who changes with each equation."""

    kind: Kind
    random: Random
    known: set[int] = field(default_factory=set)
    once: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.known = self.kind.knows(self.random)

    def tries(self, stage: int, modelled: bool = False) -> bool:
        """Whether the first try is right; the equation may teach its stage afterwards."""
        right = self.random.random() < (1 - self.kind.slip if stage in self.known else self.kind.guess)
        chance = self.kind.learn * (1.0 if stage == 1 or stage - 1 in self.known else 0.2)
        if modelled or stage in self.once:  # a worked equation helps; what was known once comes back sooner
            chance = min(1.0, 1.5 * chance)
        if self.random.random() < chance:
            self.known.add(stage)
            self.once.add(stage)
        return right

    def sleeps(self, met: set[int]) -> None:
        """Between lessons some of what was not met is lost."""
        for stage in sorted(self.known - met):
            if self.random.random() < self.kind.forget:
                self.known.discard(stage)


@dataclass(frozen=True)
class Outcome:
    """Equations until everything was known at once, or None; and how many were asked in all."""

    known_at: int | None
    asked: int


def with_policy(learner: Learner, most: int) -> Outcome:
    """Lessons chosen by ``choose``."""
    history: History = ()
    lesson, minutes, met = 1, 0.0, set[int]()
    while len(history) < most:
        if len(learner.known) == STAGES:
            return Outcome(len(history), len(history))
        choice = choose(history, Now(lesson, lesson * DAYS_BETWEEN, minutes))
        if choice is None:
            learner.sleeps(met)
            lesson, minutes, met = lesson + 1, 0.0, set()
            continue
        right = learner.tries(choice.stage, choice.model is not None)
        history = (*history, _attempt(choice, right, lesson, history))
        met.add(choice.stage)
        minutes += MINUTES_PLACING if choice.purpose == "place" else MINUTES_EACH
    return Outcome(None, len(history))


VARIED = {stage: [task.is_variation for task in draw(stage, 1, 40)] for stage in range(1, STAGES + 1)}


def _attempt(choice: TaskChoice, right: bool, lesson: int, history: History) -> Attempt:
    place = sum(attempt.stage == choice.stage for attempt in history)
    variation = choice.variation or VARIED[choice.stage][place % 40]
    return Attempt(choice.stage, right, "independent", variation, choice.purpose, lesson, lesson * DAYS_BETWEEN)


def with_order(learner: Learner, most: int, order: Iterator[int]) -> Outcome:
    """Lessons of eight equations in an order fixed beforehand."""
    met = set[int]()
    for asked in range(most):
        if len(learner.known) == STAGES:
            return Outcome(asked, asked)
        stage = next(order)
        learner.tries(stage)
        met.add(stage)
        if asked % 8 == 7:
            learner.sleeps(met)
            met = set()
    return Outcome(None, most)


def fixed_order(each: int = 6) -> Iterator[int]:
    """Six of every stage in order, and again."""
    while True:
        for stage in range(1, STAGES + 1):
            yield from [stage] * each


def random_order(random: Random) -> Iterator[int]:
    """Any stage at any time."""
    while True:
        yield random.randint(1, STAGES)


def main(learners: int, most: int) -> None:
    """Print a table."""
    began = time.perf_counter()
    print(
        f"{learners} learners, at most {most} equations each; "
        "median (90th percentile) equations until all stages are known, not there"
    )
    print(f"{'kind':<12}{'policy':>24}{'fixed order':>24}{'random order':>24}")
    everything: dict[str, list[Outcome]] = {"policy": [], "fixed": [], "random": []}
    for index, (name, kind) in enumerate(KINDS.items()):
        count = learners // len(KINDS)
        rows: dict[str, list[Outcome]] = {way: [] for way in everything}
        for number in range(count):
            seed = index * 10_000 + number
            rows["policy"].append(with_policy(Learner(kind, Random(seed)), most))
            rows["fixed"].append(with_order(Learner(kind, Random(seed)), most, fixed_order()))
            rows["random"].append(with_order(Learner(kind, Random(seed)), most, random_order(Random(seed + 1))))
        print(f"{name:<12}" + "".join(f"{_shown(outcomes, most):>24}" for outcomes in rows.values()))
        for way, outcomes in rows.items():
            everything[way] += outcomes
    print(f"{'all':<12}" + "".join(f"{_shown(outcomes, most):>24}" for outcomes in everything.values()))
    print(f"{time.perf_counter() - began:.0f} s")
    taken = {way: _taken(outcomes, most) for way, outcomes in everything.items()}
    note = "invented learners"
    what = "equations until all stages are known"
    row(what, taken["policy"], "", peer="a fixed order", theirs=taken["fixed"], note=note)
    row(what, taken["policy"], "", peer="a random order", theirs=taken["random"], note=note)
    lines()


def lines(count: int = 100_000) -> None:
    """Seconds of processor for a teacher's file of so many lines."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "set.txt"
        path.write_text("\n".join(f"{number % 300 + 2}x + {number // 300} = {number}" for number in range(count)))
        began = time.process_time()
        used = len(read_set(path).items)
        print(f"a file of {count} lines, {used} used: {time.process_time() - began:.1f} s")


def _taken(outcomes: list[Outcome], most: int) -> list[int]:
    return [most if outcome.known_at is None else outcome.known_at for outcome in outcomes]


def _shown(outcomes: list[Outcome], most: int) -> str:
    turns = _taken(outcomes, most)
    stuck = sum(outcome.known_at is None for outcome in outcomes)
    return f"{median(turns):.0f} ({quantiles(turns, n=10)[-1]:.0f}), {stuck}"


if __name__ == "__main__":
    main(*(int(word) for word in (*sys.argv[1:], "1000", "1000")[:2]))
