"""Sums said aloud, and what they are to the equation: support for a step, or an answer put in by the learner."""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from dialogue.acts import Act, Comment, Try, Value, Work
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, Negative, Number, Quotient, constant, has_unknown, walk
from dialogue.algebra.writing import write
from dialogue.tutor.core.state import CHECKING, State
from dialogue.tutor.in_line import claimed_answer, is_true
from dialogue.tutor.moves.hints import put_in
from dialogue.tutor.moves.showing import TRYING

RESULT = (Number, Negative, Quotient)  # how what a sum comes to is written


def supported(state: State, acts: Sequence[Act]) -> list[Act]:
    """The acts, lines of numbers alone as the sums that they are while the unknown is there, and without lines that are
    true of every number ("11n - 3n = 8n"): they support a step, and are none."""
    if state.phase in {*CHECKING, "count"}:
        return list(acts)
    left, right = state.equation.linear()
    if left.coefficient == right.coefficient:  # there a line of numbers may be what is left
        return list(acts)
    found: list[Act] = []
    for act in acts:
        if not isinstance(act, Line) or all(isinstance(side, Number) for side in act.equation.sides()):
            found.append(act)
        elif not any(map(has_unknown, act.equation.sides())):
            found.append(Work(act.equation.left, act.equation.right))
        elif is_true(act.equation.left, act.equation.right):
            found.append(Comment("reason"))
        else:
            found.append(act)
    return found


def without_echo(state: State, acts: Sequence[Act]) -> list[Act]:
    """The acts without a number that the tutor tried a line with, where more is said: repeated, it is no answer."""
    tried = {word.strip(".,?") for reply in state.last if reply.key in TRYING for word in reply.text.split()}
    echoed = [act for act in acts if any(_is_answer(act, Fraction(word)) for word in tried if word.isdecimal())]
    return [act for act in acts if act not in echoed] if len(echoed) < len(acts) else list(acts)


def answers_with_checks(state: State, acts: Sequence[Act]) -> list[Act]:
    """A right sum that is a side of the equation with the answer put in ("58 + 32 is 90" of n + 32 = 90): the answer
    and its check, both done by the learner."""
    answer = state.task.equation.solution().value
    if answer is None or state.phase in CHECKING or not any(isinstance(act, Work) for act in acts):
        return list(acts)
    checks = [act for act in acts if isinstance(act, Work) and _puts_in(state.task.equation, act, answer)]
    if not checks:
        return list(acts)
    left, right = (constant(value_at(side, answer)) for side in state.task.equation.sides())
    both = Line(Equation(left, right, state.letter))
    rest = [act for act in acts if act not in checks]
    again = next((act for act in rest if _is_answer(act, answer)), None)
    rest = [act for act in rest if act is again or not (isinstance(act, Value | Try) and _is_answer(act, answer))]
    at = rest.index(again) + 1 if again is not None else len(rest)
    claimed = [] if again is not None else [Try(constant(answer))]
    return [*rest[:at], *claimed, both, *rest[at:]]


def tries_another(state: State, value: Value) -> bool:
    """Whether a number said after the value of a side is another answer: the one put in does not fit, and it is neither
    that one nor what the other side comes to."""
    if state.guess is None or has_unknown(value.value):
        return False
    sides = [value_at(side, state.guess) for side in state.task.equation.sides()]
    number = linear(value.value).constant
    return sides[0] != sides[1] and number != state.guess and number not in sides


def _puts_in(equation: Equation, act: Work, answer: Fraction) -> bool:
    """Whether a sum has the numbers of the one side that holds the unknown and the answer, and comes to what it
    should."""
    held = [side for side in equation.sides() if has_unknown(side)]
    if len(held) != 1 or not is_true(act.left, act.right):
        return False
    wanted = Counter(map(abs, [*_numbers(held[0]), answer]))  # a minus is not of the number in "-14 + 29"
    for one, other in ((act.left, act.right), (act.right, act.left)):
        try:
            same = linear(one).constant == value_at(held[0], answer)
        except Refusal:
            return False
        done = isinstance(other, RESULT) and not isinstance(one, Number)
        written = write(one) == write(put_in(held[0], answer))
        if same and done and (written or Counter(map(abs, _numbers(one))) == wanted):
            return True
    return False


def _numbers(side: Expression) -> list[Fraction]:
    return [piece.value for piece in walk(side) if isinstance(piece, Number)]


def _is_answer(act: Act, answer: Fraction) -> bool:
    match act:
        case Line(equation):
            return claimed_answer(equation) == answer
        case Value(value) | Try(value):
            return not has_unknown(value) and linear(value).constant == answer
    return False
