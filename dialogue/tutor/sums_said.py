"""Sums said aloud, and what they are to the equation: support for a step, or an answer put in by the learner."""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from dialogue.acts import CONTENT, Act, Comment, Try, Value, Work
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, carry_out
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, Negative, Number, Quotient, Unknown, constant, has_unknown, numbers_in
from dialogue.algebra.writing import write
from dialogue.tutor.core.line_in_hand import claimed_answer, is_true, put_in, stands_in
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import ASKING, CHECKING, State
from dialogue.tutor.core.told import CAME_TO
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
    tried = {word.strip(".,?:") for reply in state.last if reply.key in TRYING | CAME_TO for word in reply.text.split()}
    free = [act for act in acts if not (isinstance(act, Value) and act.side)]  # said of a side, it is no echo
    echoed = [act for act in free if any(_is_answer(act, Fraction(word)) for word in tried if word.isdecimal())]
    return [act for act in acts if act not in echoed] if len(echoed) < len(acts) else list(acts)


def with_results(acts: Sequence[Act]) -> list[Act]:
    """The acts, with a number that a side of the line before it comes to as that line worked out: in "2n = 22 - 16,
    which is 6" it is what 2n is, and no value of n."""
    found: list[Act] = []
    for act in acts:
        before = found[-1] if found else None
        worked = isinstance(before, Line) and isinstance(act, Value) and _comes_to(before.equation, act.value)
        if isinstance(before, Value) and isinstance(act, Line) and _is_written_in(act, before.value):
            found.pop()  # "25. 8n = 3n + 25": worked out, and then written down
        found.append(worked or act)
    return found


def _is_written_in(line: Line, number: Expression) -> bool:
    """Whether a line that is no answer is written with a number."""
    return not has_unknown(number) and claimed_answer(line.equation) is None and stands_in(number, line.equation)


def _comes_to(line: Equation, number: Expression) -> Line | None:
    for side, other in (line.sides(), line.sides()[::-1]):
        of_more = has_unknown(side) and not isinstance(side, Unknown)
        if of_more and not has_unknown(other) and not isinstance(other, RESULT) and is_true(other, number):
            return Line(Equation(side, number, line.letter))
    return None


def last_worked_out(state: State, acts: Sequence[Act]) -> list[Act]:
    """Of several answers the last, where a right sum comes to it ("30 - 12 = 18. wait i said 81. 18"): the others are
    what it puts right."""
    answers = [act for act in acts if isinstance(act, Value) and not has_unknown(act.value)]
    sums = [act for act in acts if isinstance(act, Work) and is_true(act.left, act.right)]
    if state.phase not in ASKING or len(answers) < 2 or not any(is_true(one.right, answers[-1].value) for one in sums):
        return list(acts)
    return [act for act in acts if act not in answers[:-1] or act == answers[-1]]


def _answer_worked_out(state: State, acts: Sequence[Act]) -> list[Act]:
    """The acts, with the right sum of the move just before it, where that leaves the unknown alone, as the answer that
    it is ("6n = 69, divide by 6. 69 / 6 is 11.5")."""
    found: list[Act] = []
    line, move = state.equation, None
    for act in acts:
        line = act.equation if isinstance(act, Line) else line
        answer = _answer_of(line, move, act) if isinstance(act, Work) and move is not None else None
        move = act if isinstance(act, Move) else move
        found.append(act if answer is None else answer)
    made = [act.equation.right for act in found if isinstance(act, Line) and act not in acts]
    return [act for act in found if not (isinstance(act, Work) and any(is_true(act.right, one) for one in made))]


def _answer_of(line: Equation, move: Move, act: Work) -> Line | None:
    if move.operation == "transfer":
        return None
    try:
        made = carry_out(move, line)
    except Refusal:
        return None
    other = [side for side in line.sides() if not has_unknown(side)]
    alone = any(isinstance(side, Unknown) for side in made.sides())
    if not alone or len(other) != 1 or not is_true(act.left, act.right):
        return None
    of_move = Counter([*numbers_in(other[0]), *numbers_in(move.operand)]) == Counter(numbers_in(act.left))
    if not of_move or all(linear(act.right) != linear(side) for side in made.sides()):
        return None
    return Line(Equation(Unknown(line.letter), act.right, line.letter))


def answers_with_checks(state: State, acts: Sequence[Act]) -> list[Act]:
    """A right sum that is a side of the equation with the answer put in ("58 + 32 is 90" of n + 32 = 90): the answer
    and its check, both done by the learner."""
    acts = _answer_worked_out(state, acts)
    answer = state.task.equation.solution().value
    if (worked_out := _come_down_to(state, acts)) is not None:
        return [*(act for act in acts if not isinstance(act, Work)), worked_out]
    if answer is None or state.phase in CHECKING or not any(isinstance(act, Work) for act in acts):
        return list(acts)
    checks = _checks(state.task.equation, [act for act in acts if isinstance(act, Work)], answer)
    if not checks:
        return list(acts)
    left, right = (constant(value_at(side, answer)) for side in state.task.equation.sides())
    both = Line(Equation(left, right, state.letter))
    rest = [act for act in acts if act not in checks]
    again = next((act for act in rest if _is_answer(act, answer)), None)
    rest = [act for act in rest if act is again or not (isinstance(act, Value | Try) and _is_answer(act, answer))]
    before = next(at for at, act in enumerate(acts) if act in checks)  # what is asked after them is asked of them
    at = rest.index(again) + 1 if again is not None else min(before, len(rest))
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


def _come_down_to(state: State, acts: Sequence[Act]) -> Line | None:
    """The answer that right sums alone, each going on from the one before, end in ("46 - 21 = 25, 25 / 5 = 5" of
    5n + 21 = 46)."""
    sums = [act for act in acts if isinstance(act, Work) and is_true(act.left, act.right)]
    said = [act for act in acts if isinstance(act, CONTENT)]  # and talk beside them ("told you i'm fast")
    answer = state.task.equation.solution().value
    if len(sums) < 2 or len(sums) != len(said) or state.phase in CHECKING or answer is None:
        return None
    on = all(set(numbers_in(one.right)) <= set(numbers_in(after.left)) for one, after in pairwise(sums))
    ends = on and is_true(sums[-1].right, constant(answer))
    return Line(Equation(Unknown(state.letter), sums[-1].right, state.letter)) if ends else None


def _checks(equation: Equation, sums: Sequence[Work], answer: Fraction) -> list[Work]:
    """The sums that put the answer in: each by itself, or one going on from the other ("102 - 4 = 98. 98/7 = 14")."""
    found = [one for one in sums if _puts_in(equation, one, answer)]
    held = [side for side in equation.sides() if has_unknown(side)]
    if found or len(held) != 1 or len(sums) < 2 or not all(is_true(one.left, one.right) for one in sums):
        return found
    wanted = Counter(map(abs, [*numbers_in(held[0]), answer]))
    on_the_way = [abs(Fraction(linear(one.right).constant)) for one in sums[:-1]]
    used = Counter(abs(number) for one in sums for number in numbers_in(one.left))
    goes_on = all(number in map(abs, numbers_in(one.left)) for number, one in zip(on_the_way, sums[1:], strict=True))
    used.subtract(on_the_way)
    comes_to = linear(sums[-1].right).constant == value_at(held[0], answer)
    return list(sums) if goes_on and comes_to and +used == wanted else []


def _puts_in(equation: Equation, act: Work, answer: Fraction) -> bool:
    """Whether a sum has the numbers of the one side that holds the unknown and the answer, and comes to what it
    should."""
    held = [side for side in equation.sides() if has_unknown(side)]
    if len(held) != 1 or not is_true(act.left, act.right):
        return False
    wanted = Counter(map(abs, [*numbers_in(held[0]), answer]))  # a minus is not of the number in "-14 + 29"
    for one, other in ((act.left, act.right), (act.right, act.left)):
        try:
            same = linear(one).constant == value_at(held[0], answer)
        except Refusal:
            return False
        done = isinstance(other, RESULT) and not isinstance(one, Number)
        written = write(one) == write(put_in(held[0], answer))
        if same and done and (written or Counter(map(abs, numbers_in(one))) == wanted):
            return True
    return False


def _is_answer(act: Act, answer: Fraction) -> bool:
    match act:
        case Line(equation):
            return claimed_answer(equation) == answer
        case Value(value) | Try(value):
            return not has_unknown(value) and linear(value).constant == answer
    return False


def fits(state: State, acts: Sequence[Act]) -> bool:
    """Whether the answer was said last, and is right."""
    said = [act for act in acts if isinstance(act, CONTENT)]
    last = said[-1] if said else None
    return isinstance(last, Line) and claimed_answer(last.equation) == state.task.equation.solution().value


def is_of_the_check(state: State, act: Act) -> bool:
    """Whether it is what a check asks for, a side or both: said before a move, it is heard before it."""
    if state.phase not in CHECKING:
        return False
    if isinstance(act, Line):
        return not any(map(has_unknown, act.equation.sides()))
    due = due_value(state)
    return isinstance(act, Value) and due is not None and is_true(act.value, due)


def is_a_result(side: Expression) -> bool:
    """Whether it is written as a result is: 3/4, and not 60/4, which is a sum."""
    if isinstance(side, Quotient) and isinstance(side.top, Number) and isinstance(side.bottom, Number):
        return not side.bottom.value or (side.top.value / side.bottom.value).denominator != 1
    return isinstance(side, RESULT)
