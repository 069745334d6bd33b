"""Which stages a learner has passed, and when each is due again: read off the history, attempt by attempt."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from dialogue.learner.history import Attempt, History
from dialogue.learner.stages import stages


@cache
def policy() -> Mapping[str, Any]:
    """The numbers of ``choice.toml``."""
    return MappingProxyType(tomllib.loads(files(__package__).joinpath("choice.toml").read_text("utf-8")))


@dataclass(slots=True)
class Progress:
    """One stage so far. ``run`` is unaided successes in a row, ``varied`` whether one of them was a variation,
    ``falls`` failures in a row; ``due`` the day it comes back, None once it has come back for the last time."""

    passed: bool = False
    run: int = 0
    varied: bool = False
    falls: int = 0
    returned: int = 0
    passed_on: tuple[int, int] = (0, 0)  # lesson, day
    placed: bool = False  # passed by an equation further on, not by its own
    reopened: bool = False

    @property
    def needed(self) -> int:
        """Unaided successes in a row that pass the stage."""
        return int(policy()["successes_again" if self.reopened else "successes"])

    def is_due(self, lesson: int, day: int) -> bool:
        """Whether a passed stage should come back in this lesson, on this day."""
        gaps = policy()["returns"]
        if not self.passed or self.returned >= len(gaps):
            return False
        then, since = self.passed_on
        return lesson > then and day - since >= (gaps[self.returned] if self.returned else 0)


@dataclass(slots=True)
class Standing:
    """Where a learner stands: each stage's progress, and the stage being worked on (16 once all are passed)."""

    stages: dict[int, Progress] = field(default_factory=dict)

    @property
    def frontier(self) -> int:
        """The first stage not passed."""
        return next((number for number, each in self.stages.items() if not each.passed), len(self.stages) + 1)

    def passed(self) -> list[int]:
        """The stages passed, in order."""
        return [number for number, each in self.stages.items() if each.passed]

    def within_reach(self) -> list[int]:
        """The stages passed that may come again: those passed by their own equations, and of those placed past the
        nearest below the stage in hand."""
        lowest = self.frontier - int(policy()["reach"])
        return [number for number in self.passed() if not self.stages[number].placed or number >= lowest]


def standing(history: History) -> Standing:
    """Where the learner stands after these attempts."""
    found = Standing({each.number: Progress() for each in stages()})
    below = placement(history)
    for number in range(1, below):
        found.stages[number] = Progress(passed=True, passed_on=_when(history), returned=1, placed=True)
    for attempt in history:
        if attempt.purpose != "place":
            progress = found.stages[attempt.stage]
            before = progress.passed
            _note(progress, attempt)
            if progress.passed and not before:
                _past(found, attempt)
            if attempt.success:
                _carried(found, attempt)
    return found


def _carried(found: Standing, attempt: Attempt) -> None:
    """Who solved some of a stage in a row, and then one further on, has passed it: success moved them on."""
    for number in range(1, attempt.stage):
        progress = found.stages[number]
        if not progress.passed and progress.run >= policy()["successes_swift"]:
            progress.passed, progress.passed_on = True, (attempt.lesson, attempt.day)
            _past(found, replace(attempt, stage=number))


def _past(found: Standing, attempt: Attempt) -> None:
    """Whoever passes a stage is past those below it that were not tried."""
    for number in range(1, attempt.stage):
        if found.stages[number] == Progress():
            on = (attempt.lesson, attempt.day)
            found.stages[number] = Progress(passed=True, passed_on=on, returned=1, placed=True)


def _when(history: History) -> tuple[int, int]:
    last = [each for each in history if each.purpose in {"place", "asked"}][-1]
    return last.lesson, last.day


def _note(progress: Progress, attempt: Attempt) -> None:
    progress.placed &= attempt.success
    if attempt.success:
        progress.run, progress.falls = progress.run + 1, 0
        progress.varied |= attempt.variation
        if progress.passed and attempt.purpose in {"return", "earlier"}:
            if progress.is_due(attempt.lesson, attempt.day):
                progress.returned += 1
        elif not progress.passed and progress.run >= progress.needed and progress.varied:
            progress.passed, progress.passed_on = True, (attempt.lesson, attempt.day)
        return
    if attempt.help == "prompted" and attempt.right:  # neither a success nor a failure: the run begins again
        progress.run, progress.varied, progress.falls = 0, False, 0
        return
    progress.run, progress.varied, progress.falls = 0, False, progress.falls + 1
    if progress.passed and progress.falls >= policy()["failures"]:
        progress.passed, progress.returned, progress.reopened = False, 0, True


def placement(history: History) -> int:
    """The stage a newcomer begins at: one above the highest found right by the pre-check, or on equations that somebody
    chose; 1 without either."""
    low, _ = bracket(history)
    return low + 1


def bracket(history: History) -> tuple[int, int]:
    """(highest stage found right, lowest found wrong) by the pre-check so far and by the latest equations that somebody
    chose; (0, 16) before either.

    A stage found wrong stands even where a later one is right: a placement should err on the easy side.
    """
    low, high = 0, len(stages()) + 1
    for stage, right in _found(history):
        if right and stage < high:
            low = max(low, stage)
        elif not right:
            high = min(high, stage)
            low = min(low, high - 1)
    return low, high


def _found(history: History) -> Iterator[tuple[int, bool]]:
    """Each stage looked into and whether it was right: by one equation of the pre-check, or by most of the latest few
    that somebody chose."""
    yield from ((each.stage, each.success) for each in history if each.purpose == "place")
    asked = [each for each in history if each.purpose == "asked"]
    for stage in sorted({each.stage for each in asked}):
        # what went right further on speaks for a stage too, and what went wrong below it against it
        went = [each.success for each in asked if each.stage == stage or each.success == (each.stage > stage)]
        latest = went[-policy()["successes"] :]
        if len(latest) >= policy()["asked_least"]:
            yield stage, 2 * sum(latest) > len(latest)
