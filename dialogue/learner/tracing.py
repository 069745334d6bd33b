"""What a learner can do, estimated from unaided first tries: Bayesian knowledge tracing.

Corbett & Anderson 1995, "Knowledge tracing: modeling the acquisition of procedural knowledge", User Modeling and
User-Adapted Interaction 4, 253-278. With L "it is known", s slip, g guess, t learn::

    P(L | right) = P(L)(1 - s) / (P(L)(1 - s) + (1 - P(L))g)
    P(L | wrong) = P(L)s       / (P(L)s       + (1 - P(L))(1 - g))
    P(L, next)   = P(L | seen) + (1 - P(L | seen))t
    P(right)     = P(L)(1 - s) + (1 - P(L))g

Ours, not the paper's: an attempt that was prompted moves the estimate by a part of that step, one that was shown
not at all (the weights are in ``tracing.toml``). The estimates are for choosing; a learner is never shown them.
"""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from dialogue.learner.history import Attempt, Help
from dialogue.learner.stages import stage


@dataclass(frozen=True, slots=True)
class Parameters:
    """Probabilities. Raises ValueError unless all are strictly between 0 and 1 (start and learn may touch them)
    and guess + slip is less than 1, past which a right answer would count against the learner."""

    start: float
    learn: float
    guess: float
    slip: float

    def __post_init__(self) -> None:
        ends = 0 <= self.start <= 1 and 0 <= self.learn <= 1
        if not (ends and 0 < self.guess < 1 and 0 < self.slip < 1 and self.guess + self.slip < 1):
            raise ValueError(f"These are not usable parameters: {self}")


@cache
def _table() -> Mapping[str, Any]:
    return MappingProxyType(tomllib.loads(files(__package__).joinpath("tracing.toml").read_text("utf-8")))


def usual() -> Parameters:
    """Our choice of parameters."""
    return Parameters(**_table()["parameters"])


def bounds() -> tuple[tuple[float, float], ...]:
    """(least, most) of start, learn, guess, slip in a fit."""
    return tuple(
        (low, high) for low, high in (_table()["bounds"][name] for name in ("start", "learn", "guess", "slip"))
    )


def secure_at() -> float:
    """The estimate from which something counts as secure."""
    return float(_table()["secure"]["at"])


def seen(known: float, right: bool, use: Parameters) -> float:
    """P(L | what was seen)."""
    if right:
        knew, guessed = known * (1 - use.slip), (1 - known) * use.guess
        return knew / (knew + guessed)
    slipped, did_not = known * use.slip, (1 - known) * (1 - use.guess)
    return slipped / (slipped + did_not)


def after(known: float, right: bool, use: Parameters) -> float:
    """P(L) for the next attempt: what was seen, then the chance that the attempt taught it."""
    now = seen(known, right, use)
    return now + (1 - now) * use.learn


def follow(answers: Sequence[tuple[bool, Help]], use: Parameters) -> float:
    """The estimate after these answers, in order."""
    known = use.start
    for right, help_given in answers:
        known += _table()["weight"][help_given] * (after(known, right, use) - known)
    return known


@dataclass(frozen=True, slots=True)
class Tracing:
    """Estimates by stage and by idea, of those with any evidence."""

    stages: Mapping[int, float]
    ideas: Mapping[str, float]


def trace(attempts: Sequence[Attempt], use: Parameters | None = None) -> Tracing:
    """What these attempts, in order, say about each stage and idea.

    A right attempt speaks for every idea of its stage; a wrong one only against the ideas it names.
    """
    chosen = use or usual()
    stages: dict[int, list[tuple[bool, Help]]] = {}
    ideas: dict[str, list[tuple[bool, Help]]] = {}
    for attempt in attempts:
        stages.setdefault(attempt.stage, []).append((attempt.right, attempt.help))
        for idea, held in attempt.ideas or ideas_of(attempt):
            ideas.setdefault(idea, []).append((held, attempt.help))
    return Tracing(
        MappingProxyType({number: follow(answers, chosen) for number, answers in stages.items()}),
        MappingProxyType({idea: follow(answers, chosen) for idea, answers in ideas.items()}),
    )


def ideas_of(attempt: Attempt) -> tuple[tuple[str, bool], ...]:
    """The ideas an attempt speaks for where none were noted."""
    return tuple((idea, True) for idea in stage(attempt.stage).ideas) if attempt.right else ()
