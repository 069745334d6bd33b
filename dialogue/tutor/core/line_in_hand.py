"""What an expression is of the line in hand: a number of it, its side with the unknown, or the side not asked for."""

from fractions import Fraction

from dialogue.acts import Act, Work
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, carry_out
from dialogue.algebra.operations import Done, is_done_to_unknown, operations_on
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import Expression, Number, Unknown, constant, has_unknown, mixed_number, walk, with_leaves
from dialogue.judgement import Judgement
from dialogue.tutor.core.state import State

MOST_DIGITS = 12  # in a number on the board: a move that makes longer ones is asked about (a choice)


def is_of_other_side(value: Expression, line: Equation) -> bool:
    """Whether the unknown is in a value said of the left, and in the line only on the right: the right is meant."""
    return has_unknown(value) and has_unknown(line.right) and not has_unknown(line.left)


def stands_in(value: Expression, line: Equation) -> bool:
    """Whether a number is one of those that the line is written with."""
    return isinstance(value, Number) and any(value == piece for side in line.sides() for piece in walk(side))


def solves_line(state: State, value: Expression) -> bool:
    """Whether a number that the line is not written with is what it comes to."""
    return not stands_in(value, state.equation) and linear(value).constant == state.equation.solution().value


def is_named_only(state: State, value: Expression) -> bool:
    """Whether a number is one that something is done with to the unknown ("the 3" of 3n), and not the answer too."""
    return is_done_to_unknown(value, state.equation) and linear(value).constant != state.equation.solution().value


def own_side(state: State, value: Expression) -> tuple[Done, ...]:
    """Asked what happens to the unknown, its side said as it stands ("4 minus x") says it all."""
    side = next((side for side in state.equation.sides() if has_unknown(side)), None)
    return operations_on(state.equation) if side is not None and value == side else ()


def mentions(line: Equation) -> bool:
    """Whether the unknown stands in a line."""
    return has_unknown(line.left) or has_unknown(line.right)


def is_true(left: Expression, right: Expression) -> bool:
    """Whether a sum done aloud comes to what was said of it."""
    try:
        return linear(left) == linear(right)
    except Refusal:
        return False


def answer_said(act: Act) -> Fraction | None:
    """The number that an act says the unknown is, as a line; None of any other act."""
    return claimed_answer(act.equation) if isinstance(act, Line) else None


def claimed_answer(line: Equation) -> Fraction | None:
    """The number claimed, where the line is the unknown alone against a number."""
    for side, other in (line.sides(), line.sides()[::-1]):
        if isinstance(side, Unknown) and not has_unknown(other):
            return Fraction(linear(other).constant)
    return None


def is_too_long(verdict: Judgement) -> bool:
    """Whether a step makes a number too long for the board."""
    made = verdict.result
    return made is not None and any(_is_long(piece) for side in made.sides() for piece in walk(side))


def _is_long(piece: Expression) -> bool:
    return isinstance(piece, Number) and max(abs(piece.value.numerator), piece.value.denominator) >= 10**MOST_DIGITS


def answer_put_in(state: State, side: Expression) -> Expression:
    """The side with the answer in hand in place of the unknown, written as the learner writes numbers."""
    guess = state.guess or Fraction(0)
    if not state.mixed or state.decimals:
        return put_in(side, guess, state.decimals)
    return with_leaves(side, lambda leaf: mixed_number(guess) if isinstance(leaf, Unknown) else leaf)


def put_in(side: Expression, value: Fraction, decimals: bool = False) -> Expression:
    """The side with the number in place of the unknown, nothing worked out: ``3*4 + 2``."""
    return with_leaves(side, lambda leaf: constant(value, decimals=decimals) if isinstance(leaf, Unknown) else leaf)


def comes_to_on_other_side(state: State) -> object:
    """What the side that is not asked for comes to with the answer put in; None of a number alone."""
    left, right = state.task.equation.sides()
    other = right if state.phase == "check left" else left
    if state.guess is None or not has_unknown(other):
        return None  # a side that is a number was never asked for
    return linear(constant(linear(other).at(state.guess)))


def check_before(state: State, value: Expression) -> Work | None:
    """The check of the equation before, which the tutor has just put in, said with the first words on the next one;
    None of a number that is this one's answer."""
    if state.turn != state.began or not state.solved or len(state.board) > 1 or has_unknown(value):
        return None
    before = state.plan.tasks[state.solved[-1]].equation
    number, answer = linear(value).constant, before.solution().value
    side = before.side_with_unknown()
    if answer is None or number in {answer, state.equation.solution().value}:
        return None
    return Work(put_in(side, answer), value) if number == linear(side).at(answer) else None


def is_left_wrongly(state: State, value: Expression) -> bool:
    """Whether it is not what the move that failed leaves of the side that was asked about."""
    failed = state.failed
    asked = state.phase == "move" and bool(state.last) and state.last[-1].key.startswith("what becomes")
    if not asked or failed is None or not isinstance(failed.move, Move) or failed.move.operation == "transfer":
        return False
    held = [side for side in carry_out(failed.move, failed.before).sides() if has_unknown(side)]
    try:
        return len(held) == 1 and linear(value) != linear(held[0])
    except Refusal:
        return False


def kept_sides(due: Equation, line: Equation) -> tuple[bool, bool]:
    """Of each side of a line, whether it is that of the line due."""
    (due_left, due_right), (left, right) = due.linear(), line.linear()
    return left == due_left, right == due_right
