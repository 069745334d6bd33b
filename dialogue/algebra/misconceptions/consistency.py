"""Slip or pattern: what several wrong steps say together.

One instance is an error of that line and no more. Wrong rules are unstable (Payne & Squibb 1990, Cognitive
Science 14(3), 445-481), so a pattern needs the same error on two comparable equations, close together: different
equations, in both of which that error could be made. The numbers below are choices, named so that they can be
refitted from logs.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import log

from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.answers import wrong_answers
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.misconceptions.search import Explanation

WINDOW = 8  # equations attempted; older evidence no longer speaks for a pattern
NEEDED = 2  # comparable equations (Payne & Squibb 1990 say repeated; two is ours)
NEEDED_BESIDE = 3  # a second pattern beside a first: what the first leaves over is often its own doing
NEEDED_SLIPS = 3  # slips happen to everybody: they are a pattern only when they keep coming
UNEXPLAINED = 0.02  # the share of a learner's wrong lines that a wrong rule held does not explain
AS_LIKELY = 0.25  # errors at least this likely beside the best are named with it: they are not told apart yet

ANYWHERE = frozenset(
    {
        "arithmetic-slip",
        "zero-solution-confusion",
        "divide-by-unknown",
        "divide-by-zero",
        "solution-refused",
        "running-equals",
    }
)
ARITHMETIC = frozenset({"arithmetic-slip", "decimal-point-slip"})


@dataclass(frozen=True, slots=True)
class ObservedStep:
    """One step of a learner on an equation. ``explanations`` is empty for a right or unexplained step;
    ``corrected`` says that the learner mended it unasked."""

    equation: Equation
    explanations: tuple[Explanation, ...] = ()
    corrected: bool = False


@dataclass(frozen=True, slots=True)
class Pattern:
    """An error seen on ``equations``, at least two. ``errors`` holds it first, then those not told apart from it."""

    errors: tuple[str, ...]
    equations: tuple[Equation, ...]

    @property
    def error(self) -> str:
        """The id of the error."""
        return self.errors[0]


@dataclass(frozen=True, slots=True)
class Finding:
    """What the last equations say: patterns, slips (errors of one line), and lines the learner mended."""

    patterns: tuple[Pattern, ...]
    slips: tuple[ObservedStep, ...]
    mended: tuple[ObservedStep, ...]


def weigh(attempts: Sequence[ObservedStep]) -> Finding:
    """Tell patterns from slips in the order the attempts were made; the last WINDOW equations count."""
    recent = _recent(attempts)
    mended = tuple(attempt for attempt in recent if attempt.corrected)
    wrong = [attempt for attempt in recent if attempt.explanations and not attempt.corrected]
    patterns: list[Pattern] = []
    while (pattern := _strongest(wrong, NEEDED_BESIDE if patterns else 0)) is not None:
        patterns.append(pattern)
        named = set(pattern.errors)
        wrong = [one for one in wrong if not named.intersection(_ids(one))]
    return Finding(tuple(patterns), tuple(wrong), mended)


def can_be_made(equation: Equation, error: str) -> bool:
    """Whether the equation leaves room for the error; one with no value of its own to show can be made anywhere."""
    return error in ANYWHERE or error in _openings(equation)


@lru_cache(maxsize=256)
def _openings(equation: Equation) -> frozenset[str]:
    return frozenset(wrong_answers(equation))


def _recent(attempts: Sequence[ObservedStep]) -> list[ObservedStep]:
    """The attempts on the last WINDOW equations."""
    equations: list[Equation] = []
    kept: list[ObservedStep] = []
    for attempt in reversed(attempts):
        if not equations or attempt.equation != equations[-1]:
            equations.append(attempt.equation)
        if len(equations) > WINDOW:
            break
        kept.append(attempt)
    return kept[::-1]


def _ids(attempt: ObservedStep) -> list[str]:
    return [one.error for one in attempt.explanations]


def _shows(error: str, attempt: ObservedStep) -> bool:
    return not error_table()[error].shown_by.isdisjoint(_ids(attempt))


def _strongest(wrong: Sequence[ObservedStep], least: int) -> Pattern | None:
    """The error that best explains several equations together, with those not told apart from it."""
    named = dict.fromkeys(error for attempt in wrong for error in _ids(attempt))
    seen = {error: _equations_with(error, wrong) for error in named}
    held = {error: equations for error, equations in seen.items() if len(equations) >= max(_needed(error), least)}
    if not held:
        return None
    chances = {error: _likelihood(error, wrong) for error in held}
    order = {error: place for place, error in enumerate(error_table())}
    ranked = sorted(held, key=lambda error: (-chances[error], order[error]))
    best = ranked[0]
    near = {error for error in ranked if chances[error] >= chances[best] + log(AS_LIKELY)}
    errors = tuple(error for error in ranked if error in near or _twins(best, error, wrong))
    return Pattern(errors, held[best])


def _twins(best: str, error: str, wrong: Iterable[ObservedStep]) -> bool:
    """Whether an error is listed for every line that the best one explains (slips do not keep coming out so)."""
    lines = [attempt for attempt in wrong if _shows(best, attempt)]
    return error not in ARITHMETIC and all(_shows(error, attempt) for attempt in lines)


def _needed(error: str) -> int:
    return NEEDED_SLIPS if error in ARITHMETIC else NEEDED


def _equations_with(error: str, wrong: Iterable[ObservedStep]) -> tuple[Equation, ...]:
    """The different equations on which the error is among the explanations and could be made."""
    found = dict.fromkeys(one.equation for one in wrong if _shows(error, one))
    alike = error_table()[error].shown_by
    return tuple(equation for equation in found if any(can_be_made(equation, each) for each in alike))


def _likelihood(error: str, wrong: Iterable[ObservedStep]) -> float:
    """The logarithm of how likely one error is to be held, and behind all the wrong lines."""
    table = error_table()
    total = log(table[error].prior)
    for attempt in wrong:
        fits = {one.error: one.weight / table[one.error].prior for one in attempt.explanations}
        best = max(fits.get(each, 0.0) for each in table[error].shown_by)
        total += log(max(best / max(fits.values()), UNEXPLAINED))
    return total


def share(explanations: Iterable[Explanation]) -> dict[str, float]:
    """Error id to its share among the explanations of one line; the shares add up to one."""
    weights = {one.error: one.weight for one in explanations}
    whole = sum(weights.values()) or 1.0
    return {error: weight / whole for error, weight in weights.items()}
