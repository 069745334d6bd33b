"""What happened, once judged, as one event for the state table; and what an effect makes of it.

Judging comes before the table, so that the table needs no conditions.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple, TypeAlias, get_args
from zlib import crc32

from dialogue.acts import Meaning
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Step
from dialogue.judge import Judgement
from dialogue.tutor.core.state import State
from dialogue.verbalising.sayings import Saying

EventKind: TypeAlias = Literal[
    # a move, judged
    "move closer", "move level", "move one side", "move other side", "move by zero", "move by unknown",
    "move divides by zero", "move names nothing",
    "rewrite closer", "rewrite idle",
    # a line, judged
    "line closer", "line level", "line same", "line ends", "line broken", "line kept", "line elsewhere",
    "left wrong", "right wrong", "both wrong", "answer",
    # none, or every number
    "verdict right", "verdict wrong", "verdict early",
    # a value or words in answer to a question
    "value right", "value wrong", "value unworked", "value of other side", "value unasked",
    "described", "described part", "described wrong", "term named", "term unknown", "comment",
    # what was done to a side, asked after a wrong line
    "account",
    # the game of catching the tutor's slip
    "slip found", "slip missed",
    # the opening scene with the balance
    "scene right", "scene back", "scene wrong",
    # questions and commands
    "hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game",
    "yes", "no", "stuck", "undo", "skip", "stop", "pause",
    # not understood, not sure, not said, or to be explained before it is judged
    "unclear", "doubtful", "unheard", "to explain", "distress", "silence",
]  # fmt: skip
KINDS: tuple[EventKind, ...] = get_args(EventKind)


@dataclass(frozen=True, slots=True)
class Event:
    """A judged happening. ``line`` is the line it would put on the board; ``answer`` a number claimed to solve."""

    kind: EventKind
    meaning: Meaning | None = None
    step: Step | None = None
    judgement: Judgement | None = None
    line: Equation | None = None
    answer: Fraction | None = None
    question: str = ""


ONE_IN = 3  # how rarely a reason is asked for and praise is given (rules 6 and 11 of the trade: a choice)


Outcome: TypeAlias = tuple[State, tuple[Saying, ...]]
Effect: TypeAlias = Callable[[State, Event], Outcome]


def now_and_then(state: State, what: str) -> bool:
    """About once in three, by the session's own seed and the turn, so that a replay decides the same."""
    return crc32(f"{state.plan.seed} {state.turn} {what}".encode()) % ONE_IN == 0


class Advanced(NamedTuple):
    """The state after, what to say, and everything that happened on the way: a "yes" brings what it confirms."""

    state: State
    said: tuple[Saying, ...]
    events: tuple[Event, ...]
