"""A learner's patterns: errors that come back on comparable equations. One instance is never a label."""

from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache
from typing import TypeAlias

from chattutor.review.evidence import Instance, Learner
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import Explanation, error_table
from dialogue.algebra.misconceptions.consistency import WINDOW, ObservedStep, weigh
from dialogue.algebra.refusals import Refusal

Wrong: TypeAlias = tuple[tuple[str, tuple[str, ...]], ...]  # of each wrong step the equation and the errors, in order
Again: TypeAlias = dict[str, list[int]]  # of each error that is a pattern the places of the steps that show it


def patterns(learner: Learner) -> dict[str, list[Instance]]:
    """Each error that is a pattern, with the turns that show it, oldest first."""
    if learner.again is None:
        keep(learner, repeated(wrong_steps(learner)))
    return learner.again or {}


def keep(learner: Learner, again: Again) -> None:
    """Put down what ``repeated`` found, here or in another process."""
    learner.again = {error: [learner.errors[place] for place in places] for error, places in again.items()}


def wrong_steps(learner: Learner) -> Wrong:
    """All that ``repeated`` needs of a learner."""
    return tuple((instance.equation, instance.errors) for instance in learner.errors)


def repeated(wrong: Wrong) -> Again:
    """Which errors are patterns, and which steps show them."""
    if not seen_twice(wrong):
        return {}
    return {
        pattern.error: [
            place
            for place, (equation, errors) in enumerate(wrong)
            if pattern.error in errors and _read(equation) in pattern.equations
        ]
        for pattern in weigh(_lately(wrong)).patterns
    }


def seen_twice(wrong: Wrong) -> bool:
    """Whether any error was seen on two equations: the quick look that most learners end at."""
    equations: dict[str, set[str]] = defaultdict(set)
    for equation, errors in wrong:
        for error in errors:
            equations[error].add(equation)
    return any(len(found) > 1 for found in equations.values())


def _lately(wrong: Wrong) -> list[ObservedStep]:
    """The attempts that the weighing looks at, oldest first: of a year, only the last equations need be read."""
    found: list[ObservedStep] = []
    equations = 0
    for equation, errors in reversed(wrong):
        attempt = _attempt(equation, errors)
        if attempt is not None:
            equations += not found or attempt.equation != found[-1].equation
            if equations > WINDOW:
                break
            found.append(attempt)
    return found[::-1]


def _attempt(text: str, errors: Sequence[str]) -> ObservedStep | None:
    """The turn as the weighing takes it; the log keeps the order of the explanations, the table how common each is."""
    equation = _read(text)
    known = [error_table()[error] for error in errors if error in error_table()]
    if equation is None or not known:
        return None
    return ObservedStep(equation, tuple(Explanation(entry.id, lines=1, weight=entry.prior / 1000) for entry in known))


@lru_cache(maxsize=256)
def _read(text: str) -> Equation | None:
    try:
        return read_equation(text)
    except Refusal:
        return None
