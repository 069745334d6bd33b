"""Which question a line needs next, and the state in which it is asked."""

from dataclasses import replace
from fractions import Fraction

from dialogue.algebra.cost import untidy
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, Rewrite, carry_out, carry_out_rewrite
from dialogue.algebra.operations import operations_on
from dialogue.algebra.solver import is_solved
from dialogue.algebra.tree import Expression, Number, Quotient, Unknown, constant, has_unknown
from dialogue.tutor.core.state import BoardLine, Level, Phase, State

FADES_AFTER = 2  # unaided answers after which a question is no longer asked (rule 7 of the trade)


def begin_task(state: State, place: int) -> State:
    """The first line of a task on a clean board, or the end of the lesson."""
    if place >= len(state.plan.tasks):
        more = state.plan.open and not state.plan.tasks[-1].exit
        return replace(cleared(state), place=place, phase="between" if more else "done")
    task = state.plan.tasks[place]
    fresh = replace(state, place=place, board=(BoardLine(task.equation),), aided="independent", level_moves=0)
    if task.scene:
        return replace(cleared(fresh), phase="scene tips")
    return with_question(cleared(fresh))


def cleared(state: State) -> State:
    """The same line with nothing pending and no hints or failures counted."""
    return replace(
        state, pending=None, side=None, guess=None, guess_errors=(), described=(), held=None,
        rung=0, tries=0, doubts=0, silences=0, inquiry=None,
    )  # fmt: skip


def with_line(state: State, line: Equation, note: Move | Rewrite | None, level: Level | None = None) -> State:
    """A new line of working on the board, and the question it needs next."""
    added = BoardLine(line, note, level or state.aided)
    return with_question(replace(cleared(state), board=(*state.board, added), aided="independent"))


def with_question(state: State) -> State:
    """The phase of the first question that this line still needs."""
    known = operations_on(state.equation)
    fresh = len(state.board) == 1 and known and not is_solved(state.equation)
    if state.task.alone:
        return back_to_work(state)
    if fresh and state.count("operations") < FADES_AFTER:
        return replace(state, phase="operations")
    return after_operations(state)


def after_operations(state: State) -> State:
    """The question after "what happens to x?": which to undo first, where there is a choice on the first line."""
    several = len(operations_on(state.equation)) > 1 and len(state.board) == 1
    if several and state.count("first") < FADES_AFTER:
        return replace(state, phase="first", rung=0)
    return back_to_work(state)


def back_to_work(state: State) -> State:
    """Ready for the next move; an answer on the board is to be put in, a line without the unknown to be named."""
    state = replace(state, pending=None, side=None, rung=0, inquiry=None)
    answer = answer_on(state.equation)
    if answer is not None:
        return to_check(state, answer)
    gone = not any(has_unknown(side) for side in state.equation.sides())
    return replace(state, phase="count" if gone else "move", guess=None, guess_errors=())


def to_check(state: State, guess: Fraction) -> State:
    """The answer is put into the first equation, on the left side first unless the unknown is only on the right."""
    left = has_unknown(state.task.equation.left)
    phase: Phase = "check left" if left else "check right"
    return replace(state, phase=phase, guess=guess, guess_errors=(), rung=0, inquiry=None)


def with_pending(state: State, step: Move | Rewrite) -> State:
    """A step accepted: its result is asked for side by side, or as a whole line once learners do that unaided."""
    faded = state.count("sides") >= FADES_AFTER or isinstance(step, Rewrite)
    return replace(state, pending=step, side=None, phase="line" if faded else "left", rung=0, tries=0)


def answer_on(line: Equation) -> Fraction | None:
    """The number claimed for the unknown, where the line is solved for it."""
    if not is_solved(line):
        return None
    for one, other in (line.sides(), line.sides()[::-1]):
        if isinstance(one, Unknown) and not has_unknown(other):
            return Fraction(linear(other).constant)
    return None


def prompted(state: State) -> State:
    """The present step can no longer count as independent."""
    return state if state.aided == "shown" else replace(state, aided="prompted")


def due_line(state: State) -> Equation | None:
    """The line that the pending move or rewrite makes; None where none is pending."""
    if state.pending is None:
        return None
    if isinstance(state.pending, Move):
        return carry_out(state.pending, state.equation)
    return carry_out_rewrite(state.pending, state.equation)


def due_value(state: State) -> Expression | None:
    """What the question in hand asks to be worked out, where it asks for a value."""
    line = due_line(state)
    if line is not None and state.phase in {"left", "right", "line"}:
        return line.right if state.phase == "right" else line.left
    if state.phase in {"check left", "check right"}:
        assert state.guess is not None
        side = state.task.equation.left if state.phase == "check left" else state.task.equation.right
        return constant(linear(side).at(state.guess))
    return None


def is_unworked(value: Expression, due: Expression) -> bool:
    """Whether a right value is still a sum to be worked out (``14 - 2``); a fraction such as 14/6 may stand."""
    if isinstance(value, Quotient) and isinstance(value.top, Number) and isinstance(value.bottom, Number):
        return bool(value.bottom.value) and (value.top.value / value.bottom.value).denominator == 1
    return untidy(value) > untidy(due)
