"""What a learner can see of a step that breaks: both lines tried with a number, or side by side; never a verdict
alone."""

from dataclasses import dataclass, replace
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Line, Move, as_written
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, Number, constant, has_unknown, walk
from dialogue.algebra.writing import BOARD
from dialogue.tutor.core.events import Stated, Valued
from dialogue.tutor.core.line_in_hand import claimed_answer
from dialogue.tutor.core.mistakes import NO_MODEL, about, question_on, what_it_comes_to
from dialogue.tutor.core.questions import due_line
from dialogue.tutor.core.state import FailedLine, State
from dialogue.verbalising.sayings import Saying

TRYING = frozenset({"error", "try result", "try rewrite", "evidence number"})  # sayings that may try a number
OF_BOTH = frozenset({"both-sides", "equals"})  # ideas that show only where both sides were said
EASY = tuple(map(Fraction, (2, 3, 5, 10, 20, 50, 100)))  # to try a side with: the first that needs nothing below zero
IN_NUMBERS = frozenset({"signs"})  # ideas that may be behind a wrong number, where the move was right
MOST = 100  # a number that is tried is whole and no larger, so that it can be checked in the head


@dataclass(frozen=True, slots=True)
class Broken:
    """A line that does not follow, and what it was to follow from."""

    before: Equation
    stated: Equation


def evidence(broken: Broken) -> Saying:
    """The number for which the new line is true and the one before is not, where a child can check it; else the two
    lines side by side. The number is never the answer, for the lines do not have the same one."""
    found = broken.stated.solution()
    values = {"line": broken.stated, "before": broken.before}
    if found.value is not None and found.value.denominator == 1 and 0 <= found.value <= MOST:
        return Saying("evidence number", {**values, "trial": found.value})
    return Saying("evidence lines", values)


def aimed(before: State, state: State, event: Stated | Valued) -> tuple[State, Saying]:
    """What to say of a wrong result of the move in hand: the question of the error that explains it; else the sum, and
    the second time, where the unknown is still there, the side tried with a number."""
    due = due_line(before)
    if due is None:
        return state, Saying("check arithmetic")
    claimed = event.step.equation if isinstance(event, Stated) else _with_value(before, due, event.value)
    errors = _errors(before, claimed)
    if not isinstance(event, Stated):  # of one side alone nothing can be said about both
        errors = tuple(error for error in errors if error_table()[error].idea not in OF_BOTH)
    state = replace(state, failed=FailedLine(before.equation, claimed, before.pending))
    idea = error_table()[errors[0]].idea if errors else None
    known = idea is not None and idea not in NO_MODEL
    if _is_number(before, state, due, claimed):
        known = idea in IN_NUMBERS
    if known and state.tries == 1:
        asked, said = about(state, errors)
        answer = claimed_answer(claimed) if isinstance(event, Stated) else None
        own = answer is not None and said.key == "error"  # the learner's own number shows it at once
        return asked, what_it_comes_to(before.task.equation, answer) if own and answer is not None else said
    state, _ = about(state, errors)
    return state, _worked(before, state, due, claimed)


def _with_value(state: State, due: Equation, value: Expression) -> Equation:
    if state.phase == "right":
        return Equation(due.left, value, due.letter)
    return Equation(value, due.right, due.letter)


def _errors(state: State, claimed: Equation) -> tuple[str, ...]:
    try:
        return tuple(found.error for found in explain(state.equation, Line(claimed)))
    except Refusal:
        return ()


def _is_number(before: State, state: State, due: Equation, claimed: Equation) -> bool:
    """Whether what is wrong is a number where a number is due: of the move in hand, so that no idea of it is wrong."""
    sides = (due.right, claimed.right) if state.phase == "right" else (due.left, claimed.left)
    return isinstance(before.pending, Move) and not any(map(has_unknown, sides))


def _other_operation(before: State, state: State, said: Expression) -> Saying | None:
    """The same as was done on the left asked of the right, where another operation gives what was said there."""
    move, was = before.pending, before.equation.right
    if state.phase != "right" or before.aided == "shown" or not isinstance(move, Move):
        return None
    if move.operation == "transfer" or has_unknown(was) or has_unknown(said) or has_unknown(move.operand):
        return None
    number, by, given = (Fraction(linear(one).constant) for one in (was, move.operand, said))
    others = {"add": number + by, "subtract": number - by, "multiply": number * by, "divide": number / by if by else 0}
    if given not in [result for operation, result in others.items() if operation != move.operation]:
        return None
    return Saying(f"same as left, {move.operation}", {"by": move.operand, "sum": was})


def _worked(before: State, state: State, due: Equation, claimed: Equation) -> Saying:
    if not isinstance(state.pending, Move):
        return _tried_with(before.equation, claimed) or Saying("check the line")
    right = state.phase == "right"
    side, was, said = (
        (due.right, before.equation.right, claimed.right) if right else (due.left, before.equation.left, claimed.left)
    )
    name = "right" if right else "left"
    if state.tries == 1 and (other := _other_operation(before, state, said)) is not None:
        return other
    if _turned(said, side):
        return Saying("look at the digits", {"side": name})
    if state.tries > 1 and has_unknown(side) and has_unknown(said):
        return tried_after(before.equation, state.pending, was, side, said)
    if state.tries > 1:
        return Saying("look at the sum", {"side": name, "sum": as_written(state.pending, was)})
    return Saying("check arithmetic", {"side": name})


def tried_after(line: Equation, move: Move, was: Expression, side: Expression, said: Expression) -> Saying:
    """A side before and after a move, and what was said that it leaves, tried with a number."""
    trial = easy_number(line, was, side)
    numbers = {"trial": trial, "value": constant(value_at(was, trial)), "after": constant(value_at(side, trial))}
    two = constant(value_at(said, trial))
    return Saying("try result", {**numbers, "sum": was, "move": move, "one": said, "two": two, "unknown": line.letter})


def _tried_with(line: Equation, claimed: Equation) -> Saying | None:
    """A side written another way that is not worth the same, tried with a number."""
    for was, said in zip(line.sides(), claimed.sides(), strict=True):
        trial = easy_number(line, was, said)
        if value_at(was, trial) != value_at(said, trial):
            values = {"trial": trial, "value": constant(value_at(was, trial)), "two": constant(value_at(said, trial))}
            return Saying("try rewrite", {**values, "sum": was, "one": said, "unknown": line.letter})
    return None


def _turned(said: Expression, due: Expression) -> bool:
    """Whether a number was read or written with its digits the other way round: 84 for 48."""
    here = {str(piece) for piece in map(_digits, walk(said)) if piece}
    there = {str(piece) for piece in map(_digits, walk(due)) if piece}
    return any(number[::-1] in there - here for number in here - there)


def _digits(piece: Expression) -> str:
    whole = isinstance(piece, Number) and piece.value.denominator == 1 and abs(piece.value) > 9
    return str(abs(piece.value.numerator)) if isinstance(piece, Number) and whole else ""


def easy_number(line: Equation, *sides: Expression) -> Fraction:
    """A number to try the sides with, that leaves each whole and not below zero if it can be; never the answer."""
    answer = line.solution().value
    found = [trial for trial in EASY if trial != answer]
    whole = (
        trial for trial in found
        if all(value_at(side, trial) >= 0 and value_at(side, trial).denominator == 1 for side in sides)
    )  # fmt: skip
    return next(whole, found[0])


def another_view(state: State, shown: Saying) -> Saying:
    """The evidence, or, where it was just given, the next question of the error that explains the line."""
    line = state.failed.stated.text(BOARD) if state.failed is not None else ""
    given = len(state.said) > 1 and all(any(line in text for text in turn) for turn in state.said)  # twice running
    errors = [error for place, error in state.seen if place == state.place]
    if not given or not errors or state.failed is None:
        return shown
    return question_on(state, errors[-1], met=min(2, 1 + state.tries))


def shown_again(state: State) -> Saying | None:
    """The evidence against the last line that did not follow, for whoever asks why."""
    failed = state.failed
    if failed is None or not any(map(has_unknown, failed.stated.sides())):  # of a side's number the sum says more
        return None
    if failed.stated.solution() != failed.before.solution():
        return evidence(Broken(failed.before, failed.stated))
    if isinstance(failed.move, Move):
        return Saying("claim fails", {"line": failed.stated, "before": failed.before, "move": failed.move})
    return None
