"""Dialogue acts: what a learner's turn can mean, one frozen type an act, and its JSON (the contract of
``chattutor understand``). A turn means a list of acts, in the order said. Terms follow ISO 24617-2 (dialogue acts)
where it has one.

===========  ======================================================================
act          JSON beside ``"act"``
===========  ======================================================================
move         ``operation`` add|subtract|multiply|divide|transfer or null, ``operand`` or null, ``sides``
             both|left|right|unsaid
describe     ``operations``: what is being done to the unknown, in order, ``[["multiply", "3"], ["add", "2"]]``;
             beside the four, ``subtract_from`` (4 - x) and ``divide_into``
state        ``equation``: ASCII, or ``"no solution"`` / ``"all numbers"``
value        ``value``: a number or expression; ``side`` left|right where it was said
term         ``term``: which to undo first
work         ``equation``: a sum done aloud, in numbers alone; it never counts as the next line
try          ``value``: put in as a check, or by trial
rewrite      ``how`` expand|collect|swap|simplify
ask          ``for`` hint|repeat|why|check|example|progress|meaning|answer|game; ``about`` where a word of the
             glossary, or one of the questions of ``topics.toml``, was asked about
say          ``what`` yes|no|stuck|checked
control      ``what`` undo|skip|stop|pause|restart|slower|easier|harder|lead; ``about``, of a kind of equation
             asked for by name: brackets|fractions|decimals|negatives|both sides|two steps|different; ``now`` where it
             is to come instead of the one in hand
reason, rule, notice, goal, object, feel, aside: talk that is kept in mind and never judged; a feel may have
             ``about``: upset|bored|sorry|thanks|glad|greeting|sad|loss|loss of a pet|laughed at|bad test|tired|
             friend|told off|ill|nervous|spelling|made to|unfair; an object ``about``: not heard
not          ``of``: an act refused or denied
disclosure   something that an adult should hear; its words are never kept
see          ``what``: what a balance does, or what makes it level (expecting "balance" only)
unclear      optionally ``question``: what a good tutor would ask back
===========  ======================================================================
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias, get_args

from dialogue.algebra.moves import How, Line, Move, Operation, Rewrite, Sides, Verdict
from dialogue.algebra.operations import Action, Done
from dialogue.algebra.tree import Expression
from dialogue.algebra.tree_json import (
    NotAnExpression,
    equation_from_json,
    equation_to_json,
    expression_from_json,
    expression_to_json,
)
from dialogue.algebra.writing import write

Expecting: TypeAlias = Literal["any", "move", "value", "equation", "yesno", "why", "operations", "term", "balance"]
EXPECTING: tuple[Expecting, ...] = get_args(Expecting)

AskFor: TypeAlias = Literal[
    "hint", "repeat", "why", "check", "example", "progress", "wording", "slower", "game", "meaning", "answer"
]
SayWhat: TypeAlias = Literal["yes", "no", "stuck", "checked"]
SeenWhat: TypeAlias = Literal["left down", "right down", "tips", "level", "same off", "back", "other"]
ControlWhat: TypeAlias = Literal["undo", "skip", "stop", "pause", "restart", "slower", "easier", "harder", "lead"]
KindOfEquation: TypeAlias = Literal[
    "brackets", "fractions", "decimals", "negatives", "both sides", "two steps", "multiplied", "subtracted", "different"
]
CommentKind: TypeAlias = Literal["reason", "rule", "notice", "goal", "object", "feel", "aside"]
Mood: TypeAlias = Literal[
    "upset", "bored", "sorry", "thanks", "glad", "greeting", "sad", "loss", "loss of a pet", "laughed at", "bad test",
    "tired", "friend", "told off", "ill", "nervous", "spelling", "made to", "not heard", "unfair",
]  # fmt: skip


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
    about: Mood | None = None


@dataclass(frozen=True, slots=True)
class Refused:
    """An act refused or denied: "i don't want to stop" is a refusal of stopping, and never stops."""

    of: "Act"


@dataclass(frozen=True, slots=True)
class Disclosure:
    """Something that an adult should hear. Its words are never kept."""


@dataclass(frozen=True, slots=True)
class Ask:
    """A question to the tutor; ``about`` is the word of the glossary that it is about, if any."""

    what: AskFor
    about: str = ""


@dataclass(frozen=True, slots=True)
class Say:
    """Yes, no, or stuck."""

    what: SayWhat


@dataclass(frozen=True, slots=True)
class Control:
    """A command about the lesson itself; of a wish ``about`` the kind of equation, where it was named, and ``now``
    whether it is to come instead of the one in hand."""

    what: ControlWhat
    about: KindOfEquation | Literal[""] = ""
    now: bool = False


@dataclass(frozen=True, slots=True)
class Describe:
    """What is being done to the unknown, in order (an answer to "what happens to x?"), or the one to undo first."""

    operations: tuple[Done, ...]


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
# acts that say something of the equation
CONTENT = (Move, PartMove, Describe, Line, Verdict, Value, Term, Try, Rewrite, Work)


@dataclass(frozen=True, slots=True)
class Interpretation:
    """What a turn was taken to mean: the acts in order, whether that is sure enough to be acted on, how certain it is
    (0 to 1), and the next best readings, for asking back once this one was refused. ``taken_back`` is what the learner
    said first and then corrected in the same breath: never judged, and recorded as a strength. ``guessed``: acted on
    because it goes with where the lesson is, though the words alone did not make it sure. ``marks``: what its words
    have beside the acts ("corrected", "both", "names add"), so that a turn is answered again without them."""

    acts: tuple[Act, ...]
    sure: bool
    certainty: float = 1.0
    rivals: tuple[tuple[Act, ...], ...] = ()
    taken_back: Act | None = None
    guessed: bool = False
    marks: tuple[str, ...] = ()


Meaning: TypeAlias = Move | Line | Verdict | Value | Rewrite | Ask | Say | Control | Describe | Seen | Unclear

ACTION_TEXT: dict[Action, str] = {
    "add": "add",
    "subtract": "subtract",
    "multiply": "multiply",
    "divide": "divide",
    "take from": "subtract_from",
    "divide into": "divide_into",
}
ACTIONS = {text: action for action, text in ACTION_TEXT.items()}
VERDICT_TEXT: dict[Literal["none", "every"], str] = {"none": "no solution", "every": "all numbers"}


def to_json(meaning: Act, exact: bool = False) -> dict[str, Any]:
    """The act as the JSON object of the contract; ``exact`` for a log, from which ``from_json`` gives the same act:
    numbers stay as typed there (0.5 is not 1/2), and a tree that is not what its text gives is written in parts."""
    spelt: Callable[[Expression], Any] = expression_to_json if exact else write
    match meaning:
        case Move(operation, operand, sides):
            return {"act": "move", "operation": operation, "operand": spelt(operand), "sides": sides}
        case Line(equation):
            return {"act": "state", "equation": equation_to_json(equation) if exact else equation.text()}
        case Verdict(kind):
            return {"act": "state", "equation": VERDICT_TEXT[kind]}
        case PartMove(operation, operand, sides):
            part = None if operand is None else spelt(operand)
            whole = exact and operation is not None and operand is not None  # given in parts, with none missing
            move = {"act": "move", "operation": operation, "operand": part, "sides": sides}
            return move | ({"part": True} if whole else {})
        case Value(value, side):
            return {"act": "value", "value": spelt(value)} | ({"side": side} if side else {})
        case Term(term):
            return {"act": "term", "term": spelt(term)}
        case Work(left, right):
            sum_done = [spelt(left), spelt(right)] if exact else f"{write(left)} = {write(right)}"
            return {"act": "work", "equation": sum_done}
        case Try(value):
            return {"act": "try", "value": spelt(value)}
        case Comment(kind, about):
            return {"act": kind} | ({"about": about} if about else {})
        case Refused(of):
            return {"act": "not", "of": to_json(of, exact)}
        case Disclosure():
            return {"act": "disclosure"}
        case Rewrite(how):
            return {"act": "rewrite", "how": how}
        case Ask(what, about):
            return {"act": "ask", "for": what} | ({"about": about} if about else {})
        case Say(what):
            return {"act": "say", "what": what}
        case Control(what, about, now):
            named = {"about": about} if about else {}
            return {"act": "control", "what": what} | named | ({"now": True} if now else {})
        case Describe(operations):
            return {
                "act": "describe",
                "operations": [[ACTION_TEXT[one.action], spelt(one.operand)] for one in operations],
            }
        case Seen(what):
            return {"act": "see", "what": what}
        case Unclear(question):
            return {"act": "unclear"} | ({"question": question} if question else {})


def stated_in(kept: Mapping[str, object]) -> str:
    """The line that a kept act states, as text, without reading it; empty for another act."""
    match kept:
        case {"act": "state", "equation": str(text)}:
            return text
    return ""


class NotAnAct(ValueError):
    """JSON that is no dialogue act; the message says why."""


def from_json(given: object, letter: str = "x") -> Act:
    """The act of this JSON: exactly the one of which ``to_json(act, exact=True)`` was made.

    Of the contract's own JSON, as older logs have it, the mathematics is read as typed, an equation without its letter
    as one in ``letter``. Raises NotAnAct.
    """
    try:
        return _from_json(given, letter)
    except NotAnExpression as error:
        raise NotAnAct(f"its mathematics cannot be read: {error}") from error


def _from_json(given: object, letter: str) -> Act:
    match given:
        case {"act": "move", "operation": operation, "operand": operand, "sides": sides, **rest}:
            on = _one_of(sides, Sides)
            spoken = None if operand is None else expression_from_json(operand)
            if operation is None or spoken is None or rest.get("part") is True:
                return PartMove(None if operation is None else _one_of(operation, Operation), spoken, on)
            return Move(_one_of(operation, Operation), spoken, on)
        case {"act": "describe", "operations": [*operations]}:
            return Describe(tuple(map(_described, operations)))
        case {"act": "state", "equation": equation}:
            verdict = next((kind for kind, text in VERDICT_TEXT.items() if text == equation), None)
            return Line(equation_from_json(equation, letter)) if verdict is None else Verdict(verdict)
        case {"act": "value", "value": value, **rest}:
            side = rest.get("side")
            return Value(expression_from_json(value), None if side is None else _one_of(side, Literal["left", "right"]))
        case {"act": "term", "term": term}:
            return Term(expression_from_json(term))
        case {"act": "work", "equation": [left, right]}:
            return Work(expression_from_json(left), expression_from_json(right))
        case {"act": "try", "value": value}:
            return Try(expression_from_json(value))
        case {"act": "not", "of": of}:
            return Refused(_from_json(of, letter))
        case {"act": "disclosure"}:
            return Disclosure()
        case {"act": "rewrite", "how": how}:
            return Rewrite(_one_of(how, How))
        case {"act": "ask", "for": what, **rest}:
            return Ask(_one_of(what, AskFor), str(rest.get("about", "")))
        case {"act": "say", "what": what}:
            return Say(_one_of(what, SayWhat))
        case {"act": "control", "what": what, **rest}:
            about = rest.get("about", "")
            kind: KindOfEquation | Literal[""] = _one_of(about, KindOfEquation) if about else ""
            return Control(_one_of(what, ControlWhat), kind, rest.get("now") is True)
        case {"act": "see", "what": what}:
            return Seen(_one_of(what, SeenWhat))
        case {"act": "unclear", **rest}:
            return Unclear(str(rest.get("question", "")))
        case {"act": kind, **rest}:
            about = rest.get("about")
            return Comment(_one_of(kind, CommentKind), None if about is None else _one_of(about, Mood))
    raise NotAnAct("it is not an act")


def _described(given: object) -> Done:
    match given:
        case [str(operation), operand] if operation in ACTIONS:
            return Done(ACTIONS[operation], expression_from_json(operand))
    raise NotAnAct("it is not an operation")


def _one_of(given: object, kinds: Any) -> Any:
    if given not in get_args(kinds):
        raise NotAnAct(f"this version does not know {given!r}")
    return given
