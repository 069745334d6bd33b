"""What a learner can mean: one frozen type a meaning, and its JSON (the contract of ``chattutor understand``).

==========  =======================================================================
act         JSON beside ``"act"``
==========  =======================================================================
move        ``operation`` add|subtract|multiply|divide|transfer, ``operand``, ``sides`` both|left|right|unsaid
state       ``equation``: ASCII, or ``"no solution"`` / ``"all numbers"``
value       ``value``: a number or expression
rewrite     ``how`` expand|collect|swap|simplify
ask         ``for`` hint|repeat|why|check|example|progress|wording|slower
say         ``what`` yes|no|stuck
control     ``what`` undo|skip|stop|pause
describe    ``operations``: what is being done to the unknown, in order, ``[["multiply", "3"], ["add", "2"]]``
see         ``what``: what a balance does, or what makes it level (expecting "balance" only)
unclear     optionally ``question``: what a good tutor would ask back
==========  =======================================================================
"""

from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.tree import Expression
from dialogue.algebra.writing import write

Expecting: TypeAlias = Literal["any", "move", "value", "equation", "yesno", "operations", "term", "balance"]
EXPECTING: tuple[Expecting, ...] = ("any", "move", "value", "equation", "yesno", "operations", "term", "balance")

AskFor: TypeAlias = Literal["hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game"]
Said: TypeAlias = Literal["yes", "no", "stuck"]
SeenWhat: TypeAlias = Literal["left down", "right down", "tips", "level", "same off", "back", "other"]
ControlWhat: TypeAlias = Literal["undo", "skip", "stop", "pause"]


@dataclass(frozen=True, slots=True)
class Value:
    """A number or expression alone."""

    value: Expression


@dataclass(frozen=True, slots=True)
class Ask:
    """A question to the tutor."""

    what: AskFor


@dataclass(frozen=True, slots=True)
class Say:
    """Yes, no, or stuck."""

    what: Said


@dataclass(frozen=True, slots=True)
class Control:
    """A command about the lesson itself."""

    what: ControlWhat


@dataclass(frozen=True, slots=True)
class Describe:
    """What is being done to the unknown, in order (an answer to "what happens to x?"), or the one to undo first."""

    operations: tuple[Move, ...]


@dataclass(frozen=True, slots=True)
class Seen:
    """What a balance will do, or what would make it level again: an answer in the opening scene."""

    what: SeenWhat


@dataclass(frozen=True, slots=True)
class Unclear:
    """A careful tutor would ask again; ``question`` names what to ask (a key of the wordings), if anything special."""

    question: str = ""


Meaning: TypeAlias = Move | Line | Verdict | Value | Rewrite | Ask | Say | Control | Describe | Seen | Unclear

VERDICT_TEXT = {"none": "no solution", "every": "all numbers"}


def to_json(meaning: Meaning) -> dict[str, Any]:
    """The meaning as the JSON object of the contract."""
    match meaning:
        case Move(operation, operand, sides):
            return {"act": "move", "operation": operation, "operand": write(operand), "sides": sides}
        case Line(equation):
            return {"act": "state", "equation": equation.text()}
        case Verdict(kind):
            return {"act": "state", "equation": VERDICT_TEXT[kind]}
        case Value(value):
            return {"act": "value", "value": write(value)}
        case Rewrite(how):
            return {"act": "rewrite", "how": how}
        case Ask(what):
            return {"act": "ask", "for": what}
        case Say(what):
            return {"act": "say", "what": what}
        case Control(what):
            return {"act": "control", "what": what}
        case Describe(operations):
            return {
                "act": "describe",
                "operations": [[move.operation, write(move.operand)] for move in operations],
            }
        case Seen(what):
            return {"act": "see", "what": what}
        case Unclear(question):
            return {"act": "unclear"} | ({"question": question} if question else {})
