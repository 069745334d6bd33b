"""A learner's patterns: errors that come back on comparable equations. One instance is never a label."""

from collections import defaultdict
from functools import lru_cache

from chattutor.review.evidence import Instance, Learner
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.errors import Explanation, error_table
from dialogue.algebra.errors.patterns import WINDOW, Attempt, weigh
from dialogue.algebra.refusals import Refusal


def patterns(learner: Learner) -> dict[str, list[Instance]]:
    """Each error that is a pattern, with the turns that show it, oldest first."""
    if learner.again is None:
        learner.again = _patterns(learner.errors)
    return learner.again


def _patterns(errors: list[Instance]) -> dict[str, list[Instance]]:
    if not _seen_twice(errors):
        return {}
    return {
        pattern.error: [
            instance
            for instance in errors
            if pattern.error in instance.errors and _read(instance.equation) in pattern.equations
        ]
        for pattern in weigh(_lately(errors)).patterns
    }


def _seen_twice(errors: list[Instance]) -> bool:
    """Whether any error was seen on two equations: the quick look that most learners end at."""
    equations: dict[str, set[str]] = defaultdict(set)
    for instance in errors:
        for error in instance.errors:
            equations[error].add(instance.equation)
    return any(len(found) > 1 for found in equations.values())


def _lately(errors: list[Instance]) -> list[Attempt]:
    """The attempts that the weighing looks at, oldest first: of a year, only the last equations need be read."""
    found: list[Attempt] = []
    equations = 0
    for instance in reversed(errors):
        attempt = _attempt(instance)
        if attempt is not None:
            equations += not found or attempt.equation != found[-1].equation
            if equations > WINDOW:
                break
            found.append(attempt)
    return found[::-1]


def _attempt(instance: Instance) -> Attempt | None:
    """The turn as the weighing takes it; the log keeps the order of the explanations, the table how common each is."""
    equation = _read(instance.equation)
    known = [error_table()[error] for error in instance.errors if error in error_table()]
    if equation is None or not known:
        return None
    return Attempt(equation, tuple(Explanation(entry.id, lines=1, weight=entry.prior / 1000) for entry in known))


@lru_cache(maxsize=256)
def _read(text: str) -> Equation | None:
    try:
        return read_equation(text)
    except Refusal:
        return None
