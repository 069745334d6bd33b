"""What happened, once judged, as one event for the state table; and what an effect makes of it.

Judging comes before the table, so that the table needs no conditions. Each family of events is a type that holds what
its kind needs, and no more.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple, TypeAlias, get_args
from zlib import crc32

from dialogue.acts import Act, PartMove
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.operations import Done
from dialogue.algebra.tree import Expression
from dialogue.judgement import Judgement
from dialogue.tutor.core.state import State
from dialogue.verbalising.sayings import Saying

MoveKind: TypeAlias = Literal[
    "move closer", "move level", "move one side", "move other side", "move by zero", "move by unknown",
    "move divides by zero", "move names nothing", "move further", "move again",
]  # fmt: skip
RewriteKind: TypeAlias = Literal["rewrite closer", "rewrite idle"]
LineKind: TypeAlias = Literal[
    "line closer", "line level", "line same", "line ends", "line broken", "line kept", "line elsewhere", "claim false",
    "left wrong", "right wrong", "both wrong",
]  # fmt: skip
AnswerKind: TypeAlias = Literal["answer"]
CountKind: TypeAlias = Literal["verdict right", "verdict wrong", "verdict early"]
ValueKind: TypeAlias = Literal[
    "value right", "value wrong", "value unworked", "value of other side", "value unasked",
    "term named", "term unknown",
]  # fmt: skip
DescribeKind: TypeAlias = Literal["described", "described part", "described unordered", "described wrong"]
UnsureKind: TypeAlias = Literal["doubtful", "unsure", "narrow", "leave", "to explain"]
PointKind: TypeAlias = Literal["slip found", "slip missed"]
PartKind: TypeAlias = Literal["move part"]
UnclearKind: TypeAlias = Literal["unclear"]
PlainKind: TypeAlias = Literal[
    "sum right", "sum wrong", "comment", "refused",
    # both sides' values at once, while an answer is put in
    "values right", "values wrong",
    # what was done to a side, asked after a wrong line
    "account",
    # the opening scene with the balance
    "scene right", "scene back", "scene wrong",
    # questions and commands
    "hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game", "meaning", "tell me",
    "yes", "no", "stuck", "undo", "skip", "stop", "pause", "restart", "easier", "harder", "lead",
    # not heard, not said, or something that an adult should hear
    "unheard", "distress", "silence",
]  # fmt: skip
EventKind: TypeAlias = (
    MoveKind | RewriteKind | LineKind | AnswerKind | CountKind | ValueKind | DescribeKind | UnsureKind | PointKind
    | PartKind | UnclearKind | PlainKind
)  # fmt: skip
FAMILIES = (
    MoveKind, RewriteKind, LineKind, AnswerKind, CountKind, ValueKind, DescribeKind, UnsureKind, PointKind, PartKind,
    UnclearKind, PlainKind,
)  # fmt: skip
KINDS: tuple[EventKind, ...] = tuple(kind for family in FAMILIES for kind in get_args(family))


@dataclass(frozen=True, slots=True)
class Event:
    """Something said, and what it comes to here. ``act`` is None for silence."""

    kind: EventKind
    act: Act | None


@dataclass(frozen=True, slots=True)
class Moved(Event):
    """A move, judged; ``step`` may be more than was said (the other half of a move makes it whole)."""

    step: Move
    judgement: Judgement


@dataclass(frozen=True, slots=True)
class Rewritten(Event):
    """A rewrite, judged."""

    step: Rewrite
    judgement: Judgement


@dataclass(frozen=True, slots=True)
class Stated(Event):
    """A line, judged; ``answer`` is the number it claims to solve, if it does."""

    step: Line
    judgement: Judgement
    answer: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Claimed(Event):
    """A number claimed to solve the equation, judged; ``trial`` where it was only to be tried."""

    step: Line
    judgement: Judgement
    answer: Fraction
    trial: bool = False


@dataclass(frozen=True, slots=True)
class Counted(Event):
    """How many numbers solve it, judged."""

    step: Verdict
    judgement: Judgement


@dataclass(frozen=True, slots=True)
class Valued(Event):
    """A number or expression in answer to a question."""

    value: Expression


@dataclass(frozen=True, slots=True)
class Described(Event):
    """What is done to the unknown, ``told`` so far in this and the turns before."""

    told: tuple[Done, ...]


@dataclass(frozen=True, slots=True)
class PartGiven(Event):
    """A move of which something is still unsaid."""

    part: PartMove


@dataclass(frozen=True, slots=True)
class Unsure(Event):
    """Acts that are not to be acted on before the learner has said more: a yes, or a reason."""

    acts: tuple[Act, ...]
    rivals: tuple[tuple[Act, ...], ...] = ()
    by_ear: bool = True


@dataclass(frozen=True, slots=True)
class Pointed(Event):
    """A line of the tutor's, pointed at."""

    line: Equation


@dataclass(frozen=True, slots=True)
class NotClear(Event):
    """Not understood; ``question`` is what to ask back, if anything special."""

    question: str = ""


Judged: TypeAlias = Moved | Rewritten | Stated | Claimed | Counted

# the sayings of what became of an answer, which are told whatever else is
VERDICTS = frozenset(
    {"answer fits", "answer fits, praised", "answer fails", "answer too big", "answer too small", "counted none",
     "counted every", "fits but", "put in, fits", "put in, both fit"}
)  # fmt: skip
ONE_IN = 3  # how rarely praise is given (rule 11 of the trade: a choice)


Outcome: TypeAlias = tuple[State, tuple[Saying, ...]]


def now_and_then(state: State, what: str, one_in: int = ONE_IN) -> bool:
    """About once in so many times, by the session's own seed and the turn, so that a replay decides the same."""
    return crc32(f"{state.plan.seed} {state.turn} {what}".encode()) % one_in == 0


class Advanced(NamedTuple):
    """The state after, what to say of each event, and everything that happened: a "yes" brings what it confirms."""

    state: State
    said: tuple[Saying, ...]
    events: tuple[Event, ...]

    def named(self) -> tuple[Saying, ...]:
        """What to say, with the answer that is being put in there, if one is: what is said later in the same turn may
        leave it behind."""
        if self.state.guess is None:
            return self.said
        return tuple(Saying(one.key, {"guess": self.state.guess, **one.values}) for one in self.said)
