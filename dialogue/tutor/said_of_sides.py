"""What is said of the sides while an answer is put in, in the middle of other words."""

import re
from dataclasses import replace
from fractions import Fraction

from dialogue.acts import Interpretation, Value
from dialogue.algebra.linear import linear
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import numbers_in
from dialogue.tutor.core.line_in_hand import is_true
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import CHECKING, State

OF_THE_OTHER = re.compile(r"\b(?:right|other|both|too|as well|also|same|match\w*|agree|equal)\b")
NUMBER = re.compile(r"(?<![\d.])-?\d+(?:\.\d+)?(?!\d|\.\d)")


def said_in_check(state: State, text: str) -> tuple[Value, ...]:
    """What the side that is asked for comes to, where it stands among other words ("if I put 22 it is 36, and 36 is not
    42"), unless it may be a number of the equation, or the answer itself; but with an answer that fits beside it ("two
    children with 25 each, that is 50")."""
    due = due_value(state) if state.phase in CHECKING else None
    if due is None or state.guess is None:
        return ()
    number = linear(due).constant
    given = {state.guess, *(value for side in state.task.equation.sides() for value in numbers_in(side))}
    said = _numbers(text)
    fits = state.guess == state.task.equation.solution().value and state.guess in said
    return (Value(due),) if number in said and (number not in given or fits) and number != state.guess else ()


def with_other_side(state: State, text: str, found: Interpretation) -> Interpretation:
    """Asked for the left side, its number said of the right one too ("141. And the right, 141 as well")."""
    due = due_value(state) if state.phase == "check left" else None
    values = [act for act in found.acts if isinstance(act, Value)]
    if due is None or state.guess is None or len(values) != 1 or not is_true(values[0].value, due):
        return found
    number = linear(due).constant
    if value_at(state.task.equation.right, state.guess) != number or values[0].side == "right":
        return found
    if _numbers(text).count(number) < 2 or not OF_THE_OTHER.search(text.lower()):
        return found
    both = (Value(due, "left"), Value(due, "right"))
    at = found.acts.index(values[0])
    return replace(found, acts=(*found.acts[:at], *both, *found.acts[at + 1 :]))


def _numbers(text: str) -> list[int | Fraction]:
    return [Fraction(said) for said in NUMBER.findall(text)]
