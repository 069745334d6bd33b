"""The fifteen stages and their families of equations, read once from ``stages.toml``."""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, TypeAlias

from dialogue.algebra.exact import Exact

Range: TypeAlias = tuple[int, int]

CONDITION = re.compile(r"([a-ex]) (does not divide|<|is not) ([a-ex])(?: plus (\d+))?")


@dataclass(frozen=True, slots=True)
class Condition:
    """``a does not divide b``, ``d < a``, ``a is not d plus 1``; a bare ``a is not b`` adds nothing."""

    first: str
    relation: str
    second: str
    plus: int = 0

    def holds(self, numbers: Mapping[str, Exact]) -> bool:
        """Whether the numbers meet it, as far as they are known."""
        if self.first not in numbers or self.second not in numbers:
            return True
        first, second = numbers[self.first], numbers[self.second] + self.plus
        if self.relation == "<":
            return first < second
        if self.relation == "is not":
            return first != second
        return second % first != 0


@dataclass(frozen=True, slots=True)
class Family:
    """One form of equation with its number choices; the fields are explained in ``stages.toml``."""

    name: str
    form: str
    choose: MappingProxyType[str, Range]
    find: str
    feature: str
    over: tuple[int, ...]
    between: MappingProxyType[str, Range]
    where: tuple[Condition, ...]
    alike: tuple[tuple[str, str], ...]
    hides: tuple[str, ...]
    coincide: tuple[frozenset[str], ...]
    weight: int = 4

    def fixed(self, number: str) -> bool:
        """Whether the family leaves no choice of that number."""
        low, high = self.choose[number]
        return low == high

    @property
    def any_answer(self) -> bool:
        """Whether every number solves it, so that the answer chosen is not one of its numbers."""
        return self.choose.get("x") == (1, 1)

    @property
    def one_answer(self) -> bool:
        """Whether all its equations have the same answer: zero, no number, or every number."""
        return self.fixed("x") if "x" in self.choose else self.find != "x"


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage. ``set`` is its deliberate variation: (families to take one of, what else changes) five times."""

    number: int
    name: str
    new: str
    sample: str
    answer: str
    ideas: tuple[str, ...]
    curriculum: tuple[str, ...]
    set: tuple[tuple[tuple[str, ...], str], ...]
    contrast: str
    families: tuple[Family, ...]

    def family(self, name: str) -> Family:
        """The family of that name; KeyError where there is none."""
        for family in self.families:
            if family.name == name:
                return family
        raise KeyError(name)


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(files(__package__).joinpath("stages.toml").read_text("utf-8"))


@cache
def stages() -> tuple[Stage, ...]:
    """All stages in teaching order."""
    return tuple(_stage(row) for row in _table()["stage"])


def stage(number: int) -> Stage:
    """The stage of that number, 1 to 15; ValueError outside them."""
    if not 1 <= number <= len(stages()):
        raise ValueError(f"There are stages 1 to {len(stages())}, and {number} is not one of them.")
    return stages()[number - 1]


@cache
def unknown_letters() -> tuple[str, ...]:
    """The letters an unknown may have, the usual one first."""
    return tuple(_table()["letters"])


def _stage(row: dict[str, Any]) -> Stage:
    steps = tuple((tuple(one.split("|")), change) for one, _, change in (step.partition(":") for step in row["set"]))
    return Stage(
        number=row["number"],
        name=row["name"],
        new=row["new"],
        sample=row["sample"],
        answer=row["answer"],
        ideas=tuple(row["ideas"]),
        curriculum=tuple(row["curriculum"]),
        set=steps,
        contrast=row.get("contrast", ""),
        families=tuple(_family(each) for each in row["family"]),
    )


def _family(row: dict[str, Any]) -> Family:
    return Family(
        name=row["name"],
        form=row["form"],
        choose=MappingProxyType({name: _range(bounds) for name, bounds in row["choose"].items()}),
        find=row.get("find", ""),
        feature=row.get("feature", ""),
        over=tuple(row.get("over", ())),
        between=MappingProxyType({name: _range(bounds) for name, bounds in row.get("between", {}).items()}),
        where=tuple(_condition(text) for text in row.get("where", ())),
        alike=tuple((one, other) for one, other in row.get("alike", ())),
        hides=tuple(row.get("hides", ())),
        coincide=tuple(frozenset(_table()["coincide"][group]) for group in row.get("coincide", ())),
        weight=row.get("weight", 4),
    )


def _range(bounds: int | list[int]) -> Range:
    if isinstance(bounds, int):
        return bounds, bounds
    low, high = bounds
    return low, high


def _condition(text: str) -> Condition:
    match = CONDITION.fullmatch(text)
    if match is None:
        raise ValueError(f"stages.toml: cannot read the condition {text!r}")
    first, relation, second, plus = match.groups()
    return Condition(first, relation, second, int(plus or 0))
