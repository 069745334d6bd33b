"""The hint ladder: ask again smaller, offer two choices, work a parallel equation, and only then show the step.

Each call goes down one rung of the question in hand. The last rung of every ladder does the thing itself, recorded
as shown, so a learner who only asks for hints still reaches the solution. Failures and "I don't know" go down the
same ladder but stop before that rung: a step is only shown to somebody who asks for it.
"""

from dataclasses import replace
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import INVERSE, Move, Rewrite, as_written, carry_out, carry_out_rewrite
from dialogue.algebra.operations import operations_on
from dialogue.algebra.parallel import parallel
from dialogue.algebra.solver import next_step, value_at
from dialogue.algebra.tree import Expression, Unknown, constant, has_unknown, with_leaves
from dialogue.tutor.core.events import Event, Outcome
from dialogue.tutor.core.questions import (
    after_operations,
    back_to_work,
    begin_task,
    due_line,
    prompted,
    with_line,
    with_pending,
)
from dialogue.tutor.core.state import Phase, State
from dialogue.tutor.moves.checking import left_checked, right_checked
from dialogue.verbalising.sayings import Saying

SHOWS: dict[Phase, int] = {"move": 4}  # the rung of each question that does the thing itself
SHOWS_ELSE = 2


def hint(state: State, event: Event) -> Outcome:
    """One rung down the ladder of the question in hand."""
    asked = event.kind == "hint"
    if state.phase in {"reconsider", "account"}:
        state = back_to_work(state)
    last = SHOWS.get(state.phase, SHOWS_ELSE) - (0 if asked else 1)
    at_end = state.rung >= last
    state = replace(prompted(state), rung=min(state.rung + 1, last))
    if at_end and event.kind == "stuck":
        return state, (Saying("offer to show"),)
    match state.phase:
        case "operations":
            return _operations(state)
        case "first":
            return _first(state)
        case "left" | "right" | "line":
            return _result(state)
        case "check left" | "check right":
            return _put_in(state)
        case "count":
            return _count(state)
        case "mend":
            return _mend(state)
    return _move(state, event)


def example(state: State, event: Event) -> Outcome:
    """One step of a parallel equation, worked; never the learner's own."""
    other = parallel(state.equation)
    step = next_step(other)
    if step is None:
        return prompted(state), ()
    after = _after(other, step)
    return prompted(state), (Saying("example", {"other": other, "step": step, "after": after}),)


def _after(equation: Equation, step: Move | Rewrite) -> Equation:
    return carry_out(step, equation) if isinstance(step, Move) else carry_out_rewrite(step, equation)


def _operations(state: State) -> Outcome:
    if state.rung == 1:
        return state, (Saying("hint operations", {"unknown": state.letter}),)
    return after_operations(state), (Saying("operations told", {"done": operations_on(state.equation)}),)


def _first(state: State) -> Outcome:
    if state.rung == 1:
        return state, (Saying("hint first", {"unknown": state.letter}),)
    return back_to_work(state), (Saying("first told"),)


def _mend(state: State) -> Outcome:
    assert isinstance(state.pending, Move)
    if state.rung == 1:
        return state, (Saying("hint mend", {"side": state.pending.sides}),)
    return back_to_work(state), (Saying("mend told"),)


def _move(state: State, event: Event) -> Outcome:
    step = next_step(state.equation)
    if step is None:
        return state, ()
    if state.rung == 1 and event.kind == "stuck":
        return state, (Saying("which part"),)
    if state.rung == 1:
        return state, (Saying(_smaller(state.equation, step), {"unknown": state.letter}),)
    if state.rung == 2:
        return state, (_two_choices(state, step),)
    if state.rung == 3:
        return example(state, event)
    shown = with_pending(replace(state, aided="shown"), step)
    key = "show move" if isinstance(step, Move) else f"show rewrite {step.how}"
    return shown, (Saying(key, {"move": step} if isinstance(step, Move) else {}),)


def _smaller(line: Equation, step: Move | Rewrite) -> str:
    """The smaller question for a step: what stands in the way, not what to do about it."""
    if isinstance(step, Rewrite):
        return f"smaller {step.how}"
    if all(has_unknown(side) for side in line.sides()):
        return "smaller fractions" if step.operation == "multiply" else "smaller both sides"
    if has_unknown(step.operand):
        return "smaller taken away"
    return "smaller last"


def _two_choices(state: State, step: Move | Rewrite) -> Saying:
    if isinstance(step, Rewrite):
        return Saying(f"choices {step.how}")
    other = Move(INVERSE[step.operation], step.operand)
    first, second = (step, other) if (state.plan.seed + state.turn) % 2 else (other, step)
    return Saying("choices move", {"one": first, "two": second})


def _result(state: State) -> Outcome:
    due = due_line(state)
    assert due is not None
    if state.rung == 1:
        return state, (_smaller_sum(state, due),)
    state = replace(state, aided="shown", tries=0)
    if state.phase == "left":
        return replace(state, phase="right", rung=0), (Saying("show side", {"side": "left", "value": due.left}),)
    return with_line(state, due, state.pending, "shown"), (Saying("show line", {"line": due}),)


def _smaller_sum(state: State, due: Equation) -> Saying:
    """The sum to work out, written beside the side it is on."""
    if isinstance(state.pending, Rewrite):
        return Saying(f"hint {state.pending.how}")
    assert state.pending is not None
    side = state.equation.right if state.phase == "right" else state.equation.left
    if state.pending.operation == "divide":
        return Saying("hint divide", {"sum": side, "by": state.pending.operand})
    return Saying("hint sum", {"sum": as_written(state.pending, side)})


def _put_in(state: State) -> Outcome:
    assert state.guess is not None
    left = state.phase == "check left"
    side = state.task.equation.left if left else state.task.equation.right
    if state.rung == 1:
        return state, (Saying("hint put in", {"sum": put_in(side, state.guess)}),)
    shown = Saying("show value", {"sum": put_in(side, state.guess), "value": constant(value_at(side, state.guess))})
    state, said = (left_checked if left else right_checked)(state, Event("value right"))
    return replace(state, rung=0), (shown, *said)


def put_in(side: Expression, value: Fraction) -> Expression:
    """The side with the number in place of the unknown, nothing worked out: ``3*4 + 2``."""
    return with_leaves(side, lambda leaf: constant(value) if isinstance(leaf, Unknown) else leaf)


def _count(state: State) -> Outcome:
    if state.rung == 1:
        return state, (Saying("hint count", {"line": state.equation}),)
    kind = state.task.equation.solution().kind
    return begin_task(state, state.place + 1), (Saying(f"told {kind}", {"line": state.equation}),)
