"""What every engine can say of itself; which one is used, and in words why each other was passed over."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from speech.errors import EngineUnavailable


@dataclass(frozen=True, slots=True)
class Availability:
    """Whether an engine works here; `reason` says in words why not (and what would mend it), or what it uses."""

    ok: bool
    reason: str


class Engine(Protocol):
    """What the registry chooses among."""

    @property
    def name(self) -> str:
        """A short name, as asked for on a command line."""

    def availability(self) -> Availability:
        """Whether it works here. Looks without loading; never raises, prints or exits."""


E = TypeVar("E", bound=Engine)


@dataclass(frozen=True, slots=True)
class Chosen(Generic[E]):
    """The engine in use and, for every other one, why it was passed over."""

    engine: E
    why: str
    passed_over: tuple[tuple[str, str], ...]

    def __str__(self) -> str:
        others = "".join(f"; not {name}: {reason}" for name, reason in self.passed_over)
        return f"{self.engine.name} ({self.why}){others}"


def choose_engine(engines: Sequence[E], asked: str | None = None) -> Chosen[E]:
    """The engine asked for if it works, else the first that works; `engines` are in order of preference.

    Raises `EngineUnavailable` when none works, naming the reason of each.
    """
    states = {engine.name: engine.availability() for engine in engines}
    working = [engine for engine in engines if states[engine.name].ok]
    wanted = [engine for engine in working if engine.name == asked]
    chosen = next(iter(wanted or working), None)
    if chosen is None:
        told = "; ".join(f"{name}: {state.reason}" for name, state in states.items())
        raise EngineUnavailable(f"no engine works here ({told or 'none is known'})")
    passed = [(one.name, _reason(one, chosen, states[one.name], asked)) for one in engines if one is not chosen]
    if asked is not None and asked not in states:
        passed.insert(0, (asked, f"no such engine (there are {', '.join(states)})"))
    why = "asked for" if chosen.name == asked else states[chosen.name].reason
    return Chosen(chosen, why, tuple(passed))


def _reason(engine: Engine, chosen: Engine, state: Availability, asked: str | None) -> str:
    if not state.ok:
        return state.reason
    return f"{chosen.name} was asked for" if chosen.name == asked else f"{chosen.name} comes first"
