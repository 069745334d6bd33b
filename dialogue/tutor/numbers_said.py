"""Numbers of a turn that are no answer, or more than one thing: what a sum comes to, one named beside the letter, the
value of a side before another answer."""

import operator
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import cast

from dialogue.acts import (
    CONTENT,
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Disclosure,
    Interpretation,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Operation
from dialogue.algebra.operations import Action, operations_on
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, Product, Quotient, SignedTerm, Sum, constant, has_unknown, numbers_in
from dialogue.tutor.core.line_in_hand import is_true, stands_in
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import CHECKING, SOLVING, State
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.understanding.running_sums import lone_operation, running_sums

POINTED = re.compile(r"\b(?:you|u|yuo)\s+mean\s+(?:the\s+|that\s+)?(\d+)(?![\d.a-z])")
BEGINS = re.compile(r"\W*?(-?\d+(?:\.\d+)?)[\s.,;!]+\D*?[a-z]")  # a number, and then more
SAID_BEFORE = re.compile(r"\bi (?:said|sed|told|wrote|typed|meant)\b")
FEW = 5  # words in which an operation is named otherwise
BESIDE = (Ask, Comment, Control)  # talk beside a sum
IN_A_SUM = {"add": "more", "subtract": "less", "multiply": "times", "divide": "over"}  # as SUM names them
LONE = 2  # words beside an operation that is named alone
SUM = re.compile(  # two numbers and what is done with them, in words as they are typed
    r"(?<![\d.])(?P<one>\d+)\s*(?:(?P<over>÷|/|(?:di|de)v[a-z]*|shared?|over)|(?P<times>[x×*]|times|lots of)"
    r"|(?P<less>-|−|min[a-z]*|take(?:n|d)?(?: away)?|less)|(?P<more>\+|plus|add(?:ed)?))"
    r"\s*(?:by|to|with|into|between|among)?\s*(?P<other>\d+)(?!\d|\.\d|\s*[a-z](?![a-z]))"
)
UNEQUAL = re.compile(
    r"\s*(?:isnt|isn't|is not|aint|does ?n[o']?t (?:make|equal)|not|≠|!=)\s*(-?\d+)(?![\d.]|\s*[-+*/x×÷])"
)
INTO = re.compile(r"\b(\d+)s? (?:goes|go) into (\d+),? (\d+)(?: times)?\b")
HALF = re.compile(r"\bhalf (?:of )?(\d+)\s*(?:=|is|makes)\s*(\d+)(?![\d.])")
RESULT = re.compile(r"\s*(?:=|is|makes|equals|gives|comes to|leaves)\s*(-?\d+)(?![\d.]|\s*[-+*/x×÷a-z]\s*\d|[a-z])")
GOES_ON = re.compile(r"[-+*/x×÷=(]\s*$|\d[a-z]?\s*$|\b(?:times|plus|minus)\s*$")  # it is a part of more
SIGN: dict[str, Callable[[Fraction, Fraction], Fraction]] = {
    "over": operator.truediv, "times": operator.mul, "less": operator.sub, "more": operator.add
}  # fmt: skip


def operation_alone(state: State, text: str) -> Describe | None:
    """Asked what happens to the unknown, an operation with no number ("times?"): of the number that is so joined to it,
    or, where none is, of the nearest, for right and wrong are read alike."""
    asked = operations_on(state.equation) if state.phase == "operations" else ()
    action = (lone_operation(text, LONE) or _named_alone(text)) if asked else None
    if action is None:
        return None
    done = next((one for one in asked if one.action == action), replace(asked[0], action=cast(Action, action)))
    return Describe((done,))


def number_meant(state: State, text: str) -> Value | None:
    """ "Do you mean the 21?", asked what happens to the unknown: a number of the line, pointed at."""
    said = POINTED.search(text.lower()) if state.phase in {"operations", "first"} else None
    value = None if said is None else constant(Fraction(said[1]))
    return Value(value) if value is not None and stands_in(value, state.equation) else None


def with_wrong_sums(state: State, text: str, found: Interpretation) -> Interpretation:
    """The turn with a plain sum of it that does not come out, in place of the line or the number that was made of it:
    the sum is to be done again. Of an answer that is put in, the side is asked for anew anyway."""
    if any(isinstance(act, Disclosure) for act in found.acts):
        return found
    unread = bool(found.acts) and isinstance(found.acts[0], Unclear)
    no_value = state.phase in CHECKING and not any(isinstance(act, CONTENT) for act in found.acts)
    if unread or no_value or (state.phase in CHECKING and not found.sure):
        chain, talk = running_sums(text, state.letter), [act for act in found.acts if isinstance(act, BESIDE)]
        wrong = next((one.first_wrong for one in chain if not one.is_right), None)
        if wrong is None and chain and state.phase in CHECKING and all(one.is_right for one in chain):
            return replace(found, acts=(Value(constant(chain[-1].result)), *talk), sure=True, rivals=())
        if wrong is None and chain and unread and state.phase in SOLVING and all(one.is_right for one in chain):
            last = chain[-1]
            ends = last.result == state.equation.solution().value
            return replace(found, acts=(Try(constant(last.result)) if ends else last.last, *talk), sure=True, rivals=())
        return found if wrong is None else replace(found, acts=(wrong, *talk), sure=True, rivals=())
    into = INTO.search(text.lower())
    if into is not None and not any(isinstance(act, CONTENT) for act in found.acts) and int(into[1]):
        share = Quotient(constant(Fraction(into[2])), constant(Fraction(into[1])))
        return replace(found, acts=(Work(share, constant(Fraction(into[3]))), *found.acts), sure=True)
    if state.phase in CHECKING or not found.sure:
        return found
    sums = [one for one in _plain_sums(text.lower()) if not is_true(one.left, one.right) and one not in found.acts]
    if len(sums) != 1:
        return found
    number = linear(sums[0].right).constant

    def made_of(act: Act) -> bool:
        match act:
            case Value(value):
                return not has_unknown(value) and linear(value).constant == number
            case Line(equation):
                return any(not has_unknown(side) and linear(side).constant == number for side in equation.sides())
        return False

    at = next((place for place, act in enumerate(found.acts) if made_of(act)), len(found.acts))
    return replace(found, acts=(*found.acts[:at], sums[0], *(act for act in found.acts[at:] if not made_of(act))))


def found_unequal(state: State, text: str, found: Interpretation) -> Interpretation:
    """While an answer is put in: that what a side comes to is not what the other is ("3/5 isnt 15"), as both sides."""
    if state.phase not in CHECKING or state.guess is None:
        return found
    values = [value_at(side, state.guess) for side in state.task.equation.sides()]
    for one in SUM.finditer(text.lower()):
        other = UNEQUAL.match(text.lower(), one.end())
        operation = next(name for name in SIGN if one[name])
        if other is None or (operation == "over" and not int(one["other"])):
            continue
        comes_to = SIGN[operation](Fraction(one["one"]), Fraction(one["other"]))
        if sorted((comes_to, Fraction(other[1]))) == sorted(values) and comes_to != Fraction(other[1]):
            both = (Value(constant(values[0]), "left"), Value(constant(values[1]), "right"))
            return replace(found, acts=both, sure=True, rivals=())
    return found


def _plain_sums(said: str) -> Iterator[Work]:
    """Sums of two numbers that stand by themselves, with what they are said to come to."""
    for half in HALF.finditer(said):
        yield Work(Quotient(constant(Fraction(half[1])), constant(Fraction(2))), constant(Fraction(half[2])))
    for one in SUM.finditer(said):
        result = RESULT.match(said, one.end())
        if result is None or GOES_ON.search(said[: one.start()]):
            continue
        operation = next(name for name in SIGN if one[name])
        left = _written(operation, Fraction(one["one"]), Fraction(one["other"]))
        if operation != "over" or int(one["other"]):
            yield Work(left, constant(Fraction(result[1])))


def _named_alone(text: str) -> str | None:
    """The one operation that a few words name ("added?", "i said added"); None where they name none, or several."""
    named = set(operations_named(text))
    most = FEW + (FEW if SAID_BEFORE.search(text.lower()) else 0)
    return named.pop() if len(named) == 1 and len(text.split()) <= most else None


def value_and_another(state: State, text: str, found: Interpretation) -> Interpretation:
    """While an answer is put in: what the side comes to, and in the same breath another answer ("33. oops its 15")."""
    due, begins = due_value(state), BEGINS.match(text)
    if state.phase not in CHECKING or due is None or begins is None or Fraction(begins[1]) != linear(due).constant:
        return found
    no_other = {linear(due), linear(constant(state.guess or Fraction(0)))}
    match found.acts:
        case (Value(value), *rest) if not has_unknown(value) and linear(value) not in no_other:
            acts = (Value(constant(Fraction(begins[1]))), Try(value), *rest)
            return replace(found, acts=acts, taken_back=None, sure=True)
    return found


def sum_of_a_side(state: State, text: str) -> Move | None:
    """A sum in signs alone that begins with a side that is a number ("15 x 5" of n/5 = 15): the move it is part of."""
    read = certain_acts(text, "value", state.letter) if state.phase in {"first", "move"} else None
    if read is None or len(read) != 1 or not isinstance(read[0], Value) or has_unknown(read[0].value):
        return None
    tried: dict[type, tuple[Operation, ...]] = {Product: ("multiply",), Quotient: ("divide",), Sum: ("add", "subtract")}
    for operation in tried.get(type(read[0].value), ()):
        whole = Move(operation, read[0].value, "both")
        if (move := without_the_side(state, whole)) != whole and isinstance(move, Move):
            return move
    return None


def by_the_other(state: State, text: str, act: Act) -> Act:
    """A move with the number that stands alone on a side, told as a sum of it ("60 shared between 4"): by the other."""
    if not isinstance(act, Move) or has_unknown(act.operand) or state.phase not in {"first", "move"}:
        return act
    sides = [linear(side).constant for side in state.equation.sides() if not has_unknown(side)]
    number = linear(act.operand).constant
    sums = [one for one in SUM.finditer(text.lower()) if Fraction(one["one"]) == number in sides]
    if len(sums) != 1 or act.operation == "transfer" or not sums[0][IN_A_SUM[act.operation]]:
        return act
    return replace(act, operand=constant(Fraction(sums[0]["other"])))


def without_the_side(state: State, act: Act) -> Act:
    """A move said as the sum that it makes of a number alone on a side ("divide both sides, 39/3"): by 3."""
    if not isinstance(act, Move) or has_unknown(act.operand):
        return act
    sides = [linear(side).constant for side in state.equation.sides() if not has_unknown(side)]
    match act.operation, act.operand:
        case ("divide", Quotient(whole, by)) | ("multiply", Product((whole, by))):
            operand = by
        case (("add" | "subtract") as done, Sum((SignedTerm(1, whole), SignedTerm(sign, by)))):
            if sign != (1 if done == "add" else -1):
                return act
            operand = by
        case _:
            return act
    return replace(act, operand=operand) if linear(whole).constant in sides else act


def not_named_beside(state: State, text: str, found: Interpretation) -> Interpretation:
    """A number named beside the letter ("like 3 and n") is no answer: it tells what somebody sees."""
    beside = re.findall(rf"\b(\d+) and {state.letter}\b|\b{state.letter} and (\d+)\b", text.lower())
    named = {constant(Fraction(one or other)) for one, other in beside}
    acts = tuple(Comment("notice") if isinstance(act, Value) and act.value in named else act for act in found.acts)
    return replace(found, acts=tuple(dict.fromkeys(acts))) if acts != found.acts else found


def sums_to(state: State, text: str) -> set[Fraction]:
    """What the right sums in a text come to, with a number of the line in each ("half of 34 is 17")."""
    running = (one.last for one in running_sums(text, state.letter) if one.is_right)
    done = (*(one for one in running if isinstance(one, Work)), *_plain_sums(text.lower()))
    right = (one for one in done if is_true(one.left, one.right))
    return {
        Fraction(linear(one.right).constant)
        for one in right
        if any(stands_in(constant(number), state.equation) for number in numbers_in(one.left))
    }


def of_a_sum(state: State, text: str, found: Interpretation) -> Interpretation:
    """A number that a sum before it comes to ("90 devide 5. its 18"), and that is no answer of the line: the sum."""
    if not any(isinstance(act, Value) for act in found.acts):
        return found
    sums = dict[Fraction, Work]()
    for said in SUM.finditer(text.lower()):
        one, other = Fraction(said.group("one")), Fraction(said.group("other"))
        operation = next(name for name in SIGN if said[name])
        if operation != "over" or other:
            sums[SIGN[operation](one, other)] = Work(_written(operation, one, other), constant(Fraction(0)))
    for done in running_sums(text, state.letter):  # "2 times 4 = 8 then plus 25 is 33"
        if done.is_right and isinstance(done.last, Work):
            sums.setdefault(done.result, done.last)
    known = {state.equation.solution().value, state.guess}  # an answer, and while one is put in what a side comes to
    if state.phase in CHECKING and state.guess is not None:
        known |= {value_at(side, state.guess) for side in state.task.equation.sides()}

    def read(act: Act) -> Act:
        if not isinstance(act, Value) or has_unknown(act.value):
            return act
        number = Fraction(linear(act.value).constant)
        return replace(sums[number], right=act.value) if number in sums and number not in known else act

    acts = tuple(map(read, found.acts))
    return replace(found, acts=acts) if acts != found.acts else found


def _written(operation: str, one: Fraction, other: Fraction) -> Expression:
    left, right = constant(one), constant(other)
    match operation:
        case "over":
            return Quotient(left, right)
        case "times":
            return Product((left, right))
    return Sum((SignedTerm(1, left), SignedTerm(-1 if operation == "less" else 1, right)))
