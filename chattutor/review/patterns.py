"""A learner's patterns: errors that come back on comparable equations. One instance is never a label."""

from collections import defaultdict

from chattutor.review.evidence import Instance, Learner
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.errors import Explanation, error_table
from dialogue.algebra.errors.patterns import Attempt, weigh
from dialogue.algebra.refusals import Refusal


def patterns(learner: Learner) -> dict[str, list[Instance]]:
    """Each error that is a pattern, with the turns that show it, oldest first."""
    if not _seen_twice(learner.errors):
        return {}
    attempts = [attempt for instance in learner.errors if (attempt := _attempt(instance)) is not None]
    return {
        pattern.error: [
            instance
            for instance in learner.errors
            if pattern.error in instance.errors and _read(instance.equation) in pattern.equations
        ]
        for pattern in weigh(attempts).patterns
    }


def _seen_twice(errors: list[Instance]) -> bool:
    """Whether any error was seen on two equations: the quick look that most learners end at."""
    equations: dict[str, set[str]] = defaultdict(set)
    for instance in errors:
        for error in instance.errors:
            equations[error].add(instance.equation)
    return any(len(found) > 1 for found in equations.values())


def _attempt(instance: Instance) -> Attempt | None:
    """The turn as the weighing takes it; the log keeps the order of the explanations, the table how common each is."""
    equation = _read(instance.equation)
    known = [error_table()[error] for error in instance.errors if error in error_table()]
    if equation is None or not known:
        return None
    return Attempt(equation, tuple(Explanation(entry.id, lines=1, weight=entry.prior / 1000) for entry in known))


def _read(text: str) -> Equation | None:
    try:
        return read_equation(text)
    except Refusal:
        return None
