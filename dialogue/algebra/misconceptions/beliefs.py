"""What somebody who makes an error may believe, and what a teacher can do about it: ``beliefs.toml``, read once."""

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType


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
