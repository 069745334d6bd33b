"""What happened, once judged: the learner's meaning and its judgement become one event for the state table.

Judging comes before the table, so that the table needs no conditions.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, TypeAlias, get_args

from dialogue.algebra.equation import Equation
from dialogue.algebra.judge import Judgement, judge
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Rewrite, Step, Verdict, carry_out, carry_out_rewrite
from dialogue.algebra.refusals import OutOfScope, Refusal
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Expression, Unknown, constant, has_unknown
from dialogue.meaning import Ask, Control, Describe, Meaning, Say, Unclear, Value
from dialogue.tutor.operations import describes, names_a_term
from dialogue.tutor.state import State

Kind: TypeAlias = Literal[
    # a move, judged
    "move closer", "move level", "move one side", "move other side", "move by zero", "move by unknown",
    "move divides by zero", "move names nothing",
    "rewrite closer", "rewrite idle",
    # a line, judged
    "line closer", "line level", "line ends", "line broken", "line kept", "line elsewhere",
    "left wrong", "right wrong", "both wrong", "answer",
    # none, or every number
    "verdict right", "verdict wrong",
    # a value or words in answer to a question
    "value right", "value wrong", "value unasked", "described", "described wrong", "term named", "term unknown",
    # questions and commands
    "hint", "repeat", "why", "check", "example", "progress", "wording", "slower",
    "yes", "no", "stuck", "undo", "skip", "stop", "pause",
    # not understood, not sure, not said
    "unclear", "doubtful", "unheard", "distress", "silence",
]  # fmt: skip
KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class Event:
    """A judged happening. ``line`` is the line it would put on the board; ``answer`` a number claimed to solve."""

    kind: Kind
    meaning: Meaning | None = None
    step: Step | None = None
    judgement: Judgement | None = None
    line: Equation | None = None
    answer: Fraction | None = None
    question: str = ""


ASKED: dict[str, Kind] = {
    "hint": "hint", "repeat": "repeat", "why": "why", "check": "check", "example": "example",
    "progress": "progress", "wording": "wording", "slower": "slower",
}  # fmt: skip


def decide(state: State, meaning: Meaning) -> Event:
    """The event that a meaning is in this state. A line in another letter or out of scope is unclear, never wrong."""
    match meaning:
        case Ask(what):
            return Event(ASKED[what], meaning)
        case Say(what):
            return Event(what, meaning)
        case Control(what):
            return Event(what, meaning)
        case Unclear("distress"):
            return Event("distress", None)
        case Unclear(question):
            return Event("unclear", meaning, question=question)
        case Describe(operations):
            return _described(state, meaning, operations)
        case Value(value):
            return _value(state, meaning, value)
        case Verdict():
            verdict = judge(state.equation, meaning)
            return Event("verdict right" if verdict.balanced else "verdict wrong", meaning, meaning, verdict)
        case Rewrite():
            return _rewrite(state, meaning)
        case Move():
            return _move(state, meaning)
        case Line(equation):
            return _line(state, meaning, equation)


def _described(state: State, meaning: Meaning, operations: tuple[Move, ...]) -> Event:
    if state.phase == "operations":
        return Event("described" if describes(operations, state.equation) else "described wrong", meaning)
    named = bool(operations) and all(names_a_term(move.operand, state.equation) for move in operations)
    return Event("term named" if named else "term unknown", meaning)


def _value(state: State, meaning: Meaning, value: Expression) -> Event:
    due = due_value(state)
    if due is not None:
        try:
            right = linear(value) == linear(due)
        except Refusal:
            return Event("unclear", meaning)
        return Event("value right" if right else "value wrong", meaning)
    if state.phase == "first":
        return Event("term named" if names_a_term(value, state.equation) else "term unknown", meaning)
    return Event("value unasked", meaning)


def due_value(state: State) -> Expression | None:
    """What the question in hand has as its right answer, where it asks for a value."""
    if state.phase in {"left", "right"}:
        result = due_line(state)
        if result is not None:
            return result.left if state.phase == "left" else result.right
    if state.phase in {"check left", "check right"} and state.guess is not None:
        side = state.task.equation.left if state.phase == "check left" else state.task.equation.right
        return constant(linear(side).at(state.guess))
    return None


def due_line(state: State) -> Equation | None:
    """The line that the pending move or rewrite makes; None where none is pending."""
    if state.pending is None:
        return None
    if isinstance(state.pending, Move):
        return carry_out(state.pending, state.equation)
    return carry_out_rewrite(state.pending, state.equation)


def _rewrite(state: State, rewrite: Rewrite) -> Event:
    verdict = judge(state.equation, rewrite)
    moved = verdict.result is not None and verdict.result != state.equation
    return Event("rewrite closer" if moved else "rewrite idle", rewrite, rewrite, verdict, verdict.result)


def _move(state: State, move: Move) -> Event:
    if state.phase == "mend" and isinstance(state.pending, Move) and _is_other_half(state.pending, move):
        whole = Move(move.operation, move.operand, "both")
        verdict = judge(state.equation, whole)
        return Event("move other side", move, whole, verdict, verdict.result)
    verdict = judge(state.equation, move)
    kinds: dict[str, Kind] = {
        "one side": "move one side",
        "multiply by zero": "move by zero",
        "multiply by unknown": "move by unknown",
        "divide by unknown": "move by unknown",
        "divide by zero": "move divides by zero",
        "no operation": "move names nothing",
    }
    if verdict.reason:
        return Event(kinds[verdict.reason], move, move, verdict, verdict.result)
    kind: Kind = "move closer" if verdict.closer else "move level"
    return Event(kind, move, move, verdict, verdict.result)


def _is_other_half(done: Move, move: Move) -> bool:
    same = done.operation == move.operation and linear(done.operand) == linear(move.operand)
    return same and move.sides != done.sides


def _line(state: State, meaning: Line, stated: Equation) -> Event:
    try:
        stated.linear()
    except OutOfScope:
        return Event("unclear", meaning)
    verdict = judge(state.equation, meaning)
    answer = _answer(stated)
    if state.phase in {"check left", "check right"} and answer is None and not _mentions(stated):
        return _check_line(state, meaning, stated)
    if state.pending is not None and state.phase in {"left", "right", "line"}:
        claimed = _claimed(state, meaning, stated, verdict)
        if claimed is not None:
            return claimed
    if answer is not None:
        return Event("answer", meaning, meaning, verdict, stated, answer)
    if not verdict.balanced:
        return Event("line broken", meaning, meaning, verdict, stated)
    if is_solved(stated) and not _mentions(stated):
        return Event("line ends", meaning, meaning, verdict, stated)
    return Event("line closer" if verdict.closer else "line level", meaning, meaning, verdict, stated)


def _mentions(equation: Equation) -> bool:
    return has_unknown(equation.left) or has_unknown(equation.right)


def _answer(stated: Equation) -> Fraction | None:
    """The number claimed, where the line is the unknown alone against a number."""
    for side, other in (stated.sides(), stated.sides()[::-1]):
        if isinstance(side, Unknown) and not has_unknown(other):
            return linear(other).constant
    return None


def _claimed(state: State, meaning: Line, stated: Equation, verdict: Judgement) -> Event | None:
    """A line offered as the result of the pending move: each side checked against that move, in either order."""
    due = due_line(state)
    if due is None:
        return None
    sides = [_kept(due, one) for one in (stated, stated.swapped())]
    left, right = sides[0] if sum(sides[0]) >= sum(sides[1]) else sides[1]
    if left and right:
        return Event("line kept", meaning, meaning, verdict, stated, _answer(stated))
    if verdict.balanced:
        return (
            None
            if verdict.closer and _answer(stated) is not None
            else Event("line elsewhere", meaning, meaning, verdict, stated)
        )
    if left or right:
        return Event("right wrong" if left else "left wrong", meaning, meaning, verdict, stated)
    return None if _answer(stated) is not None else Event("both wrong", meaning, meaning, verdict, stated)


def _kept(due: Equation, stated: Equation) -> tuple[bool, bool]:
    (due_left, due_right), (left, right) = due.linear(), stated.linear()
    return left == due_left, right == due_right


def _check_line(state: State, meaning: Line, stated: Equation) -> Event:
    """``14 = 14`` while an answer is being put in: both values at once."""
    if state.guess is None:
        return Event("unclear", meaning)
    due = {linear(side).at(state.guess) for side in state.task.equation.sides()}
    given = {linear(side).constant for side in stated.sides()}
    return Event("line kept" if given == due else "both wrong", meaning)
