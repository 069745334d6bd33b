"""The table of errors (errors.toml), and what somebody who makes one may believe and a teacher can do about it
(beliefs.toml); each read once.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, TypeAlias

Shape: TypeAlias = Literal["answer", "unworked", "line"]

LIKELIER = 3.0  # our choice: how much likelier an error is in the shape of line that is typical of it
EXTRA_LINE = 0.4  # our choice: a line more in the head makes an explanation less likely by this factor


@dataclass(frozen=True, slots=True)
class ErrorEntry:
    """One error: see the head of errors.toml for what each field means."""

    id: str
    name: str
    rule: str
    source: str
    applies: tuple[str, ...]
    prior: int
    prior_by: str
    idea: str
    did: tuple[str, str]
    ask: tuple[str, str, str]
    likelier: str = ""
    listed: bool = True
    kin: tuple[str, ...] = ()

    @property
    def shown_by(self) -> frozenset[str]:
        """The errors that show the idea: this one, and its kin."""
        return frozenset({self.id, *self.kin})

    def weight(self, shape: Shape, lines: int) -> float:
        """How likely it is to be behind a line of this shape, against the others (not normalised)."""
        boost = LIKELIER if self.likelier == shape else 1.0
        return self.prior / 1000 * boost * EXTRA_LINE ** (lines - 1)


@cache
def error_table() -> MappingProxyType[str, ErrorEntry]:
    """Every error by its id, in the order of the file."""
    text = (files(__package__) / "errors.toml").read_text(encoding="utf-8")
    return MappingProxyType({name: _entry(name, row) for name, row in tomllib.loads(text).items()})


def _entry(name: str, row: dict[str, object]) -> ErrorEntry:
    lists = {key: tuple(value) for key, value in row.items() if isinstance(value, list)}
    return ErrorEntry(id=name, **{**row, **lists})  # type: ignore[arg-type]  # from data; a test walks it


@dataclass(frozen=True, slots=True)
class Belief:
    """The belief behind one error: see the head of beliefs.toml for what each field means."""

    error: str
    says: str
    seems_right: str
    opens: str
    contrast: tuple[str, str]
    ask: str
    board: tuple[str, str, str]
    teaching: str


@cache
def beliefs() -> MappingProxyType[str, Belief]:
    """Every belief by the id of its error, in the order of the file."""
    rows = tomllib.loads((files(__package__) / "beliefs.toml").read_text(encoding="utf-8"))
    return MappingProxyType({error: _belief(error, row) for error, row in rows.items()})


def _belief(error: str, row: dict[str, object]) -> Belief:
    lists = {key: tuple(value) for key, value in row.items() if isinstance(value, list)}
    return Belief(error=error, **{**row, **lists})  # type: ignore[arg-type]  # from data; a test walks it
