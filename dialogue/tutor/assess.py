"""From a meaning to an event: each meaning, and each line that is stated, judged in the state in which it was said."""

from fractions import Fraction

from dialogue.acts import Ask, Control, Describe, Meaning, Say, Seen, Unclear, Value
from dialogue.algebra.cost import comes_closer, untidy
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.moves import Line as Stated
from dialogue.algebra.operations import begins, describes, is_done_to_unknown
from dialogue.algebra.refusals import OutOfScope, Refusal
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Expression, Number, Unknown, has_unknown, walk
from dialogue.judge import Judgement, judge
from dialogue.tutor.activities.balance_scene import judged
from dialogue.tutor.activities.diagnosis import answered
from dialogue.tutor.activities.slip_game import chosen
from dialogue.tutor.core.events import Event, EventKind
from dialogue.tutor.core.questions import due_line, due_value, is_unworked
from dialogue.tutor.core.state import State
from dialogue.tutor.core.table import SCENE

ASKED: dict[str, EventKind] = {
    "hint": "hint", "repeat": "repeat", "why": "why", "check": "check", "example": "example",
    "progress": "progress", "wording": "wording", "slower": "slower", "game": "game", "meaning": "wording",
    "answer": "hint",
}  # fmt: skip
SAID: dict[str, EventKind] = {"yes": "yes", "no": "no", "stuck": "stuck", "checked": "comment"}
COMMANDED: dict[str, EventKind] = {
    "undo": "undo", "skip": "skip", "stop": "stop", "pause": "pause", "slower": "slower",
}  # fmt: skip
MOST_DIGITS = 12  # in a number on the board: a move that makes longer ones is asked about (a choice)

NOT_LEGAL: dict[str, EventKind] = {
    "one side": "move one side",
    "multiply by zero": "move by zero",
    "multiply by unknown": "move by unknown",
    "divide by unknown": "move by unknown",
    "divide by zero": "move divides by zero",
    "no operation": "move names nothing",
}


def decide(state: State, meaning: Meaning) -> Event:
    """The event that a meaning is in this state. A line out of scope is unclear, never wrong."""
    if state.phase in SCENE:
        return judged(state, meaning)
    if state.phase == "spot" and (pointed := chosen(state, meaning)) is not None:
        return pointed
    if state.phase == "account" and answered(state, meaning) is not None:
        return Event("account", meaning)
    match meaning:
        case Ask(what):
            return Event(ASKED[what], meaning)
        case Say(what):
            return Event(SAID[what], meaning)
        case Control(what):
            return Event(COMMANDED.get(what, "unclear"), meaning)
        case Seen():
            return Event("unclear", meaning)
        case Unclear(question):
            return Event("unclear", meaning, question=question)
        case Describe(operations):
            return _described(state, meaning, operations)
        case Value(value):
            return _value(state, meaning, value)
        case Verdict():
            return _verdict(state, meaning)
        case Rewrite():
            return _rewrite(state, meaning)
        case Move():
            return _move(state, meaning)
        case Stated(equation):
            return stated(state, meaning, equation)


def _described(state: State, meaning: Meaning, operations: tuple[Move, ...]) -> Event:
    if state.phase != "operations":
        named = bool(operations) and all(is_done_to_unknown(move.operand, state.equation) for move in operations)
        return Event("term named" if named else "term unknown", meaning)
    told = (*state.described, *operations)
    if describes(told, state.equation) or describes(operations, state.equation):
        return Event("described", meaning)
    return Event("described part" if begins(told, state.equation) else "described wrong", meaning)


def _value(state: State, meaning: Meaning, value: Expression) -> Event:
    due = due_value(state)
    if due is None:
        if state.phase != "first":
            return Event("value unasked", meaning)
        return Event("term named" if is_done_to_unknown(value, state.equation) else "term unknown", meaning)
    try:
        given, wanted = linear(value), linear(due)
    except Refusal:
        return Event("unclear", meaning)
    if given == wanted:
        return Event("value unworked" if is_unworked(value, due) else "value right", meaning)
    if state.phase == "line":
        return Event("value unasked", meaning)
    line = due_line(state)
    if state.phase == "left" and line is not None and given == linear(line.right):
        return Event("value of other side", meaning)
    return Event("value wrong", meaning)


def _verdict(state: State, said: Verdict) -> Event:
    """None or every number: early, right or wrong alike, until the line shows it (3n + 4 = 3n + 9, or 4 = 9)."""
    left, right = state.equation.linear()
    gone = not any(has_unknown(side) for side in state.equation.sides())
    plain = left.coefficient == right.coefficient and not any(untidy(side) for side in state.equation.sides())
    verdict = judge(state.equation, said)
    kind: EventKind = "verdict right" if verdict.balanced else "verdict wrong"
    return Event(kind if gone or plain else "verdict early", said, said, verdict)


def _rewrite(state: State, rewrite: Rewrite) -> Event:
    verdict = judge(state.equation, rewrite)
    moved = verdict.result is not None and verdict.result != state.equation
    return Event("rewrite closer" if moved else "rewrite idle", rewrite, rewrite, verdict)


def _move(state: State, move: Move) -> Event:
    if state.phase == "mend" and isinstance(state.pending, Move) and _is_other_half(state.pending, move):
        whole = Move(move.operation, move.operand, "both")
        return Event("move other side", move, whole, judge(state.equation, whole))
    verdict = judge(state.equation, move)
    if verdict.reason:
        return Event(NOT_LEGAL[verdict.reason], move, move, verdict)
    if verdict.result is not None and any(_is_long(piece) for side in verdict.result.sides() for piece in walk(side)):
        return Event("unclear", move, question="too big")
    return Event("move closer" if verdict.closer else "move level", move, move, verdict)


def _is_long(piece: Expression) -> bool:
    return isinstance(piece, Number) and max(abs(piece.value.numerator), piece.value.denominator) >= 10**MOST_DIGITS


def _is_other_half(done: Move, move: Move) -> bool:
    same = done.operation == move.operation and linear(done.operand) == linear(move.operand)
    return same and move.sides != done.sides


def stated(state: State, meaning: Line, line: Equation) -> Event:
    """The event that a stated line is in this state."""
    try:
        line.linear()
    except OutOfScope:
        return Event("unclear", meaning)
    verdict = judge(state.equation, meaning)
    answer = claimed_answer(line)
    if state.phase in {"check left", "check right"} and answer is None and not _mentions(line):
        return _both_values(state, meaning, line)
    if state.phase in {"left", "right", "line"} and (due := due_line(state)) is not None:
        result = _as_result(due, meaning, line, verdict)
        if result is not None:
            return result
    if answer is not None:
        return Event("answer", meaning, meaning, verdict, line, answer)
    return Event(_as_next_line(state, line, verdict), meaning, meaning, verdict, line)


def claimed_answer(line: Equation) -> Fraction | None:
    """The number claimed, where the line is the unknown alone against a number."""
    for side, other in (line.sides(), line.sides()[::-1]):
        if isinstance(side, Unknown) and not has_unknown(other):
            return Fraction(linear(other).constant)
    return None


def _as_next_line(state: State, line: Equation, verdict: Judgement) -> EventKind:
    if line == state.equation:
        return "line same"
    if not verdict.balanced:
        return "line broken"
    if is_solved(line) and not _mentions(line):
        return "line ends"
    return "line closer" if verdict.closer or line == state.equation.swapped() else "line level"


def _mentions(line: Equation) -> bool:
    return has_unknown(line.left) or has_unknown(line.right)


def _as_result(due: Equation, meaning: Line, line: Equation, verdict: Judgement) -> Event | None:
    """A line offered as the result of the move in hand, each side checked against that move, in either order.

    None where it is better heard as a step further on: an answer, or a line that is closer still.
    """
    left, right = max((_kept(due, one) for one in (line, line.swapped())), key=sum)
    answer = claimed_answer(line)
    if left and right:
        return Event("line kept", meaning, meaning, verdict, line, answer)
    if verdict.balanced:
        further = verdict.closer and (answer is not None or comes_closer(due, line))
        return None if further else Event("line elsewhere", meaning, meaning, verdict, line)
    if left or right:
        return Event("right wrong" if left else "left wrong", meaning, meaning, verdict, line)
    return None if answer is not None else Event("both wrong", meaning, meaning, verdict, line)


def _kept(due: Equation, line: Equation) -> tuple[bool, bool]:
    (due_left, due_right), (left, right) = due.linear(), line.linear()
    return left == due_left, right == due_right


def _both_values(state: State, meaning: Line, line: Equation) -> Event:
    """``17 = 14`` while an answer is being put in: both values at once, in either order."""
    if state.guess is None:
        return Event("unclear", meaning)
    due = sorted(linear(side).at(state.guess) for side in state.task.equation.sides())
    given = sorted(linear(side).constant for side in line.sides())
    return Event("line kept" if given == due else "both wrong", meaning)
