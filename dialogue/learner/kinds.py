"""Equations of a kind that was asked for by name, or that comes after the one in hand."""

import re
import tomllib
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from itertools import islice

from dialogue.algebra.equation import Equation, Solution, read_equation
from dialogue.learner.families import drawing
from dialogue.learner.history import WishedFor
from dialogue.learner.stages import stages

USUAL = 6  # the stage that an equation of no stage is taken for (a choice)
FURTHEST = 20_000  # equations of a drawing looked through for one of the kind that was not yet met


@dataclass(frozen=True, slots=True)
class Source:
    """Where equations of a kind come from: a stage, its ``families`` (all where empty), and whether in ``tenths``;
    ``first``: the stage that has them before that one, 0 of none."""

    stage: int
    families: tuple[str, ...] = ()
    tenths: bool = False
    first: int = 0


@cache
def named_kinds() -> dict[str, Source]:
    """The kinds of ``kinds.toml``."""
    rows = tomllib.loads(files(__package__).joinpath("kinds.toml").read_text("utf-8"))
    return {
        name: Source(row["stage"], tuple(row.get("families", ())), row.get("tenths", False), row.get("first", 0))
        for name, row in rows.items()
    }


def source_of(wish: WishedFor | str, now: int, met: Sequence[int]) -> Source:
    """Where the equation wished for comes from. ``now``: the stage in hand (0 of none); ``met``: those of this lesson.

    "different" is the nearest stage further on that was not met, else one before; a name that is none is the stage in
    hand.
    """
    named = named_kinds().get(wish)
    if named is not None:
        return Source(named.first) if 0 < now < named.stage and named.first else named
    last, now = len(stages()), now or USUAL
    if wish == "easier":
        return Source(max(1, now - 1))
    if wish in {"harder", "next"}:
        return Source(min(last, now + 1))
    if wish == "different":
        others = [*range(now + 1, last), *range(now - 1, 0, -1)]
        return Source(next((stage for stage in others if stage not in met), min(last, now + 1)))
    return Source(now)


def drawn_from(source: Source, seed: int, met: Collection[str], unlike: Solution | None) -> Equation:
    """The next equation of the source's drawing that was not met (as text), its answer not ``unlike``."""
    for task in islice(drawing(source.stage, seed), FURTHEST):
        equation = in_tenths(task.equation) if source.tenths else task.equation
        of_kind = not source.families or task.family in source.families
        if of_kind and task.solution != unlike and equation.text() not in met:
            return equation
    raise RuntimeError(f"no equation of stage {source.stage} is left after {FURTHEST}")


def in_tenths(equation: Equation) -> Equation:
    """The equation with every number a tenth of what it was: 0.4n + 0.9 = 3.7 for 4n + 9 = 37, with the same answer."""
    return read_equation(re.sub(r"\d+", lambda found: f"{float(Fraction(int(found[0]), 10)):g}", equation.text()))
