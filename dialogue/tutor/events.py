"""What happened, once judged: the learner's meaning and its judgement become one event for the state table.

Judging comes before the table, so that the table needs no conditions.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias, get_args

from dialogue.algebra.equation import Equation
from dialogue.algebra.judge import Judgement
from dialogue.algebra.moves import Step
from dialogue.meaning import Meaning

Kind: TypeAlias = Literal[
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
KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class Event:
    """A judged happening. ``line`` is the line it would put on the board; ``answer`` a number claimed to solve."""

    kind: Kind
    meaning: Meaning | None = None
    step: Step | None = None
    judgement: Judgement | None = None
    line: Equation | None = None
    answer: Fraction | None = None
    question: str = ""
