"""An answer, or a trial of one, among other words: where it was read as something else, or not at all."""

import re
from dataclasses import replace
from fractions import Fraction

from dialogue.acts import Act, Ask, Comment, Control, Describe, Disclosure, Interpretation, Try, Value
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, constant, has_unknown
from dialogue.tutor.core.line_in_hand import stands_in
from dialogue.tutor.core.state import CHECKING, State

WHOLE = re.compile(r"(?<![\d./])\d+(?![\d./]*\d|[a-z(])")
FIRST = re.compile(r"\W*?(-?\d+(?:\.\d+)?)[.,;!?]\s")


def with_answer_told(state: State, found: Interpretation) -> Interpretation:
    """A move by a number that is nowhere in the line and is its answer ("each one gets 6 and a half"): the answer."""
    answer = state.task.equation.solution().value if state.phase in {*CHECKING, "operations", "first", "move"} else None

    def read(act: Act) -> Act:
        told = isinstance(act, Move) and not has_unknown(act.operand) and linear(act.operand).constant == answer
        return Value(act.operand) if isinstance(act, Move) and told and not _stands(state, act.operand) else act

    acts = tuple(map(read, found.acts))
    return found if acts == found.acts else replace(found, acts=acts)


def trial_told(state: State, text: str, found: Interpretation) -> Interpretation:
    """A number that was tried with what both sides came to, each named ("i tried 5. left is 50 and right is 54"): of
    several the last."""
    sides = state.task.equation.sides()
    stepped = any(isinstance(act, Move | Line | Describe) for act in found.acts)
    if state.phase not in {"operations", "first", "move"} or not all(map(has_unknown, sides)) or stepped:
        return found
    told = [Fraction(one) for one in WHOLE.findall(text)]
    for at, number in reversed(list(enumerate(told))):
        left, right = (value_at(side, number) for side in sides)
        after = told[at + 1 :]
        if {left, right} <= {*after} and number not in {left, right} and after.count(left) > (left == right):
            both = Line(Equation(constant(left), constant(right), state.letter))
            talk = (act for act in found.acts if isinstance(act, Comment | Ask | Control))
            return replace(found, acts=(Try(constant(number)), both, *talk), sure=True, rivals=())
    return found


def with_answer_first(state: State, text: str, found: Interpretation) -> Interpretation:
    """A turn that begins with the answer as a sentence of its own ("4. n x7 -19"), which was not taken up: with it."""
    said = FIRST.match(text) if state.phase in {"operations", "first", "move"} else None
    answer = state.task.equation.solution().value
    taken = any(isinstance(act, Value | Try | Disclosure) for act in found.acts)
    if said is None or Fraction(said[1]) != answer or taken:
        return found
    acts = [act for act in found.acts if not (isinstance(act, Line) and _is_same(act, state))]
    if any(isinstance(act, Line | Move) for act in acts):
        return found
    return replace(found, acts=(*acts, Value(constant(answer))), sure=True)


def _is_same(line: Line, state: State) -> bool:
    try:
        return line.equation.linear() == state.equation.linear()
    except Refusal:
        return False


def _stands(state: State, number: Expression) -> bool:
    return any(stands_in(number, line) for line in (state.equation, state.task.equation))
