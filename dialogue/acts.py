"""Dialogue acts: what a learner's turn can mean, one frozen type an act, and its JSON (the contract of
``chattutor understand``). A turn means a list of acts, in the order said. Terms follow ISO 24617-2 (dialogue acts)
where it has one.

===========  ======================================================================
act          JSON beside ``"act"``
===========  ======================================================================
move         ``operation`` add|subtract|multiply|divide|transfer or null, ``operand`` or null, ``sides``
             both|left|right|unsaid
describe     ``operations``: what is being done to the unknown, in order, ``[["multiply", "3"], ["add", "2"]]``
state        ``equation``: ASCII, or ``"no solution"`` / ``"all numbers"``
value        ``value``: a number or expression; ``side`` left|right where it was said
term         ``term``: which to undo first
work         ``equation``: a sum done aloud, in numbers alone; it never counts as the next line
try          ``value``: put in as a check, or by trial
rewrite      ``how`` expand|collect|swap|simplify
ask          ``for`` hint|repeat|why|check|example|progress|meaning|answer|game
say          ``what`` yes|no|stuck|checked
control      ``what`` undo|skip|stop|pause|restart|slower|easier|harder|lead
reason, rule, notice, goal, object, feel, aside: no fields; talk that is kept in mind and never judged
not          ``of``: an act refused or denied
disclosure   something that an adult should hear; its words are never kept
see          ``what``: what a balance does, or what makes it level (expecting "balance" only)
unclear      optionally ``question``: what a good tutor would ask back
===========  ======================================================================
"""

from dataclasses import dataclass
from typing import Any, Literal, TypeAlias, get_args

from dialogue.algebra.moves import Line, Move, Operation, Rewrite, Sides, Verdict
from dialogue.algebra.tree import Expression
from dialogue.algebra.writing import write

Expecting: TypeAlias = Literal["any", "move", "value", "equation", "yesno", "why", "operations", "term", "balance"]
EXPECTING: tuple[Expecting, ...] = get_args(Expecting)

AskFor: TypeAlias = Literal[
    "hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game", "meaning", "answer"
]
Said: TypeAlias = Literal["yes", "no", "stuck", "checked"]
SeenWhat: TypeAlias = Literal["left down", "right down", "tips", "level", "same off", "back", "other"]
ControlWhat: TypeAlias = Literal["undo", "skip", "stop", "pause", "restart", "slower", "easier", "harder", "lead"]
CommentKind: TypeAlias = Literal["reason", "rule", "notice", "goal", "object", "feel", "aside"]


@dataclass(frozen=True, slots=True)
class Value:
    """A number or expression alone; ``side`` where it was said of which side it is."""

    value: Expression
    side: Literal["left", "right"] | None = None


@dataclass(frozen=True, slots=True)
class PartMove:
    """A move of which something was left unsaid: it completes, or begins, the move under way ("both"; "divide")."""

    operation: Operation | None = None
    operand: Expression | None = None
    sides: Sides = "unsaid"


@dataclass(frozen=True, slots=True)
class Term:
    """Which of the operations on the unknown is to be undone first, named by its number or term."""

    term: Expression


@dataclass(frozen=True, slots=True)
class Work:
    """A sum done aloud in support of something, in numbers alone: arithmetic, never a line of the equation."""

    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class Try:
    """A number to be put in place of the unknown, as a check or by trial."""

    value: Expression


@dataclass(frozen=True, slots=True)
class Comment:
    """Talk that is kept in mind and never judged: a reason, a rule, something noticed, a goal, an objection ..."""

    kind: CommentKind


@dataclass(frozen=True, slots=True)
class Refused:
    """An act refused or denied: "i don't want to stop" is a refusal of stopping, and never stops."""

    of: "Act"


@dataclass(frozen=True, slots=True)
class Disclosure:
    """Something that an adult should hear. Its words are never kept."""


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


Act: TypeAlias = (
    Move | PartMove | Describe | Line | Verdict | Value | Term | Work | Try | Rewrite | Ask | Say | Control | Comment
    | Refused | Disclosure | Seen | Unclear
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Interpretation:
    """What a turn was taken to mean: the acts in order, whether that is sure enough to be acted on, how certain it is
    (0 to 1), and the next best readings, for asking back once this one was refused."""

    acts: tuple[Act, ...]
    sure: bool
    certainty: float = 1.0
    rivals: tuple[tuple[Act, ...], ...] = ()


Meaning: TypeAlias = Move | Line | Verdict | Value | Rewrite | Ask | Say | Control | Describe | Seen | Unclear

VERDICT_TEXT = {"none": "no solution", "every": "all numbers"}


def to_json(meaning: Act) -> dict[str, Any]:
    """The act as the JSON object of the contract."""
    match meaning:
        case Move(operation, operand, sides):
            return {"act": "move", "operation": operation, "operand": write(operand), "sides": sides}
        case Line(equation):
            return {"act": "state", "equation": equation.text()}
        case Verdict(kind):
            return {"act": "state", "equation": VERDICT_TEXT[kind]}
        case PartMove(operation, operand, sides):
            part = None if operand is None else write(operand)
            return {"act": "move", "operation": operation, "operand": part, "sides": sides}
        case Value(value, side):
            return {"act": "value", "value": write(value)} | ({"side": side} if side else {})
        case Term(term):
            return {"act": "term", "term": write(term)}
        case Work(left, right):
            return {"act": "work", "equation": f"{write(left)} = {write(right)}"}
        case Try(value):
            return {"act": "try", "value": write(value)}
        case Comment(kind):
            return {"act": kind}
        case Refused(of):
            return {"act": "not", "of": to_json(of)}
        case Disclosure():
            return {"act": "disclosure"}
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
