"""From a wording that matched, and what stood in its slots, to a meaning."""

from collections.abc import Callable
from fractions import Fraction
from functools import cache
from typing import Any, cast

from dialogue.acts import (
    Ask,
    AskFor,
    Control,
    ControlWhat,
    Describe,
    Meaning,
    Say,
    SayWhat,
    Seen,
    SeenWhat,
    Unclear,
    Value,
)
from dialogue.algebra.equation import equation_of
from dialogue.algebra.moves import INVERSE, How, Line, Move, Operation, Rewrite, Sides, Verdict
from dialogue.algebra.operations import done_by
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import Expression, Negative, Number, Quotient, Sum, Unknown, has_unknown, walk
from dialogue.understanding.expressions import AMBIGUOUS

Slots = dict[str, Any]


def unsure(expression: Expression) -> bool:
    """Whether a part of it could be grouped in two ways."""
    return any(part is AMBIGUOUS for part in walk(expression))


def build(means: str, slots: Slots, letter: str) -> Any:
    """The value of a matched wording: a meaning, a word for a class (``both``), or None where it cannot be meant."""
    builder, rest = _builder(means)
    return builder(rest, slots, letter) if builder is not None else means or True


@cache
def _builder(means: str) -> tuple[Callable[[str, Slots, str], Any] | None, str]:
    kind, _, rest = means.partition(" ")
    return BUILDERS.get(kind), rest


def _move(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """``move subtract`` with a slot ``n``, or ``move divide 2`` for "halve"; ``sides`` where a wording has them."""
    operation, fixed, named = _parts(rest)
    operand = slots.get("n") or slots.get("u") or Number(Fraction(slots.get("part") or fixed))
    if unsure(operand):
        return Unclear("grouping")
    sides = cast(Sides, named or _sides(slots))
    loose = sides == "unsaid" or operation in {"multiply", "divide"} or not has_unknown(operand)
    if isinstance(operand, Sum) and loose:
        return None  # "minus five plus two" is two moves, or nothing
    return Move(cast(Operation, operation), operand, sides)


def _sides(slots: Slots) -> Sides:
    """The sides named in any of the slots that name them."""
    said = (slots[name] for name in ("sides", "on_both", "on_left", "on_right") if name in slots)
    return cast(Sides, next(said, "unsaid"))


@cache
def _parts(rest: str) -> tuple[str, str, str]:
    """``divide 2 both``: the operation, a number that is always meant, sides that are."""
    operation, *more = rest.split()
    fixed = next((word for word in more if word.isdecimal()), "")
    return operation, fixed, next((word for word in more if not word.isdecimal()), "")


def _signed(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """``signed``: "minus twelve on both sides", where the sign of the number is the operation."""
    operand = slots["n"]
    if isinstance(operand, Negative):
        return _move("subtract", {**slots, "n": operand.body}, letter)
    return None


def _inverse(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """``inverse``: "undo times three" is divide by three."""
    move = slots["operation"]
    if not isinstance(move, Move):
        return cast(Meaning, move)
    return Move(INVERSE[move.operation], move.operand, cast(Sides, slots.get("sides", move.sides)))


def _same(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """``same``: the operation in the slot, with the sides of the wording (or those named after ``same``)."""
    move = next(slots[name] for name in ("operation", "move", "bare_sign") if name in slots)
    if not isinstance(move, Move):
        return cast(Meaning, move)
    return Move(move.operation, move.operand, cast(Sides, rest or slots.get("sides", move.sides)))


def _twice(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """Built by the wordings "five off the left and five off the right": both must say the same."""
    first, second = slots["move"], slots["second"]
    if not isinstance(first, Move) or not isinstance(second, Move):
        return None
    if {first.sides, second.sides} != {"left", "right"}:
        return None
    same = (first.operation, first.operand) == (second.operation, second.operand)
    return Move(first.operation, first.operand, "both") if same else Unclear("two moves")


def _twice_short(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """ "six off the left and six the right": the second time only the number and the side are said."""
    first = slots["move"]
    if not isinstance(first, Move) or {first.sides, slots["sides"]} != {"left", "right"}:
        return None
    return Move(first.operation, first.operand, "both") if first.operand == slots["n"] else None


def _cross(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """ "x 9 both sides": with the letter x, only the sides make an x before a number a times sign."""
    return None if letter.lower() == "x" and "sides" not in slots else _move("multiply", slots, letter)


def _transfer(rest: str, slots: Slots, letter: str) -> Meaning | None:
    operand = slots["n"]
    return None if isinstance(operand, Sum) else _move("transfer", {"n": operand}, letter)


def _state(rest: str, slots: Slots, letter: str) -> Meaning | None:
    left, right = (slots["left_hand"], slots["n"]) if "left_hand" in slots else (slots["n"], slots["right_hand"])
    if unsure(left) or unsure(right):
        return Unclear("grouping")
    try:
        return Line(equation_of(left, right, letter))
    except Refusal:
        return None


def _value(rest: str, slots: Slots, letter: str) -> Meaning | None:
    value = slots["n"]
    if rest == "negative":
        value = Negative(value) if isinstance(value, Number | Quotient) else None
    if value is None:
        return None
    return Unclear("grouping") if unsure(value) else Value(value)


def _number(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """A number alone, where an expression would not be an answer."""
    value = slots["n"]
    bare = isinstance(value, Number) or (rest == "fraction" and isinstance(value, Quotient))
    return Value(value) if bare else None


def _unsigned(rest: str, slots: Slots, letter: str) -> Meaning | None:
    """An expression, where a minus sign in front could as well be a subtraction."""
    return None if isinstance(slots["n"], Negative | Unknown) else _value(rest, slots, letter)


def _describe(rest: str, slots: Slots, letter: str) -> Meaning | None:
    said = slots.get("operation") or slots["plain_operation"]
    done = done_by(said) if isinstance(said, Move) else None
    return Describe((done,)) if done is not None else cast(Meaning, said)


def _chain(rest: str, slots: Slots, letter: str) -> Meaning | None:
    said, more = slots["operation"], slots["chain"]
    first = done_by(said) if isinstance(said, Move) else None
    if first is None:
        return cast(Meaning, said)
    return Describe((first, *more.operations)) if isinstance(more, Describe) else cast(Meaning, more)


BUILDERS: dict[str, Callable[[str, Slots, str], Any]] = {
    "move": _move,
    "signed": _signed,
    "inverse": _inverse,
    "same": _same,
    "twice": _twice,
    "twice_short": _twice_short,
    "cross": _cross,
    "transfer": _transfer,
    "state": _state,
    "value": _value,
    "number": _number,
    "unsigned": _unsigned,
    "describe": _describe,
    "chain": _chain,
    "verdict": lambda rest, slots, letter: Verdict(cast(Any, rest)),
    "rewrite": lambda rest, slots, letter: Rewrite(cast(How, rest)),
    "ask": lambda rest, slots, letter: Ask(cast(AskFor, rest)),
    "say": lambda rest, slots, letter: Say(cast(SayWhat, rest)),
    "control": lambda rest, slots, letter: Control(cast(ControlWhat, rest)),
    "see": lambda rest, slots, letter: Seen(cast(SeenWhat, rest)),
    "unclear": lambda rest, slots, letter: Unclear(rest),
}
