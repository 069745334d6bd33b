"""Numbers of a turn that are no answer, or more than one thing: what a sum comes to, one named beside the letter, the
value of a side before another answer."""

import operator
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import cast

from dialogue.acts import Act, Comment, Describe, Interpretation, Try, Value, Work
from dialogue.algebra.linear import linear
from dialogue.algebra.operations import Action, operations_on
from dialogue.algebra.tree import Expression, Product, Quotient, SignedTerm, Sum, constant, has_unknown
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import CHECKING, State
from dialogue.understanding.running_sums import lone_operation

BEGINS = re.compile(r"\W*?(-?\d+(?:\.\d+)?)[\s.,;!]+\D*?[a-z]")  # a number, and then more
LONE = 2  # words beside an operation that is named alone
SUM = re.compile(  # two numbers and what is done with them, in words as they are typed
    r"(?<![\d.])(?P<one>\d+)\s*(?:(?P<over>÷|/|(?:di|de)v[a-z]*|shared?|over)|(?P<times>[x×*]|times|lots of)"
    r"|(?P<less>-|−|min[a-z]*|take(?:n|d)?(?: away)?|less)|(?P<more>\+|plus|add(?:ed)?))"
    r"\s*(?:by|to|with|into)?\s*(?P<other>\d+)(?!\d|\.\d|\s*[a-z](?![a-z]))"
)
SIGN: dict[str, Callable[[Fraction, Fraction], Fraction]] = {
    "over": operator.truediv, "times": operator.mul, "less": operator.sub, "more": operator.add
}  # fmt: skip


def operation_alone(state: State, text: str) -> Describe | None:
    """Asked what happens to the unknown, an operation with no number ("times?"): of the number that is so joined to it,
    or, where none is, of the nearest, for right and wrong are read alike."""
    asked = operations_on(state.equation) if state.phase == "operations" else ()
    action = lone_operation(text, LONE) if asked else None
    if action is None:
        return None
    done = next((one for one in asked if one.action == action), replace(asked[0], action=cast(Action, action)))
    return Describe((done,))


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


def not_named_beside(state: State, text: str, found: Interpretation) -> Interpretation:
    """A number named beside the letter ("like 3 and n") is no answer: it tells what somebody sees."""
    beside = re.findall(rf"\b(\d+) and {state.letter}\b|\b{state.letter} and (\d+)\b", text.lower())
    named = {constant(Fraction(one or other)) for one, other in beside}
    acts = tuple(Comment("notice") if isinstance(act, Value) and act.value in named else act for act in found.acts)
    return replace(found, acts=tuple(dict.fromkeys(acts))) if acts != found.acts else found


def of_a_sum(state: State, text: str, found: Interpretation) -> Interpretation:
    """A number that a sum before it comes to ("90 devide 5. its 18"), and that is no answer of the line: the sum."""
    if state.phase in CHECKING or not any(isinstance(act, Value) for act in found.acts):
        return found
    sums = dict[Fraction, Work]()
    for said in SUM.finditer(text.lower()):
        one, other = Fraction(said.group("one")), Fraction(said.group("other"))
        operation = next(name for name in SIGN if said[name])
        if operation != "over" or other:
            sums[SIGN[operation](one, other)] = Work(_written(operation, one, other), constant(Fraction(0)))
    answer = state.equation.solution().value

    def read(act: Act) -> Act:
        if not isinstance(act, Value) or has_unknown(act.value):
            return act
        number = Fraction(linear(act.value).constant)
        return replace(sums[number], right=act.value) if number in sums and number != answer else act

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
