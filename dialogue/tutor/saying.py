"""What an effect wants said: a wording's key and the things to put into it, not yet words."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeAlias
from zlib import crc32

from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Move, Rewrite
from dialogue.algebra.tree import Expression
from dialogue.meaning import Meaning
from dialogue.tutor.events import Event
from dialogue.tutor.operations import Done
from dialogue.tutor.state import State

Filling: TypeAlias = Equation | Expression | Move | Rewrite | Fraction | str | int | tuple[Done, ...] | Meaning

ONE_IN = 3  # how rarely a reason is asked for and praise is given (rules 6 and 11 of the trade: a choice)


@dataclass(frozen=True, slots=True)
class Saying:
    """A wording to be said; ``values`` fill its places."""

    key: str
    values: Mapping[str, Filling] = field(default_factory=dict)


Outcome: TypeAlias = tuple[State, tuple[Saying, ...]]
Effect: TypeAlias = Callable[[State, Event], Outcome]


def now_and_then(state: State, what: str) -> bool:
    """About once in three, by the session's own seed and the turn, so that a replay decides the same."""
    return crc32(f"{state.plan.seed} {state.turn} {what}".encode()) % ONE_IN == 0
