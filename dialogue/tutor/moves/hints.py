"""The hint ladder: ask again smaller, offer two choices, work a parallel equation, and only then show the step.

Each call goes down one rung of the question in hand. The last rung of every ladder does the thing itself, recorded
as shown, so a learner who only asks for hints still reaches the solution. Failures and "I don't know" go down the
same ladder, later: what is stuck is never a loop.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Move, Rewrite, as_written, carry_out, carry_out_rewrite
from dialogue.algebra.operations import operations_on
from dialogue.algebra.parallel import parallel
from dialogue.algebra.solver import next_step, value_at
from dialogue.algebra.tree import Expression, Unknown, constant, has_unknown, numbers_in, scaled
from dialogue.tutor.core.events import Event, Outcome
from dialogue.tutor.core.line_in_hand import answer_put_in, put_in
from dialogue.tutor.core.mistakes import amount_for
from dialogue.tutor.core.questions import (
    after_operations,
    back_to_work,
    due_line,
    go_on_to,
    prompted,
    with_line,
    with_pending,
)
from dialogue.tutor.core.state import Phase, State
from dialogue.tutor.moves.checking import left_checked, right_checked
from dialogue.tutor.moves.showing import easy_number
from dialogue.tutor.moves.sums_in_parts import smaller_sums
from dialogue.verbalising.sayings import Filling, Saying

SMALLER, CHOICES, EXAMPLE, SHOW = 1, 2, 3, 4  # the rungs of the question for a move
HINT = CHOICES  # the rung after which failures go on: another equation or picture, and then the step itself
SHOWS: dict[Phase, int] = {
    "move": SHOW,
    "part": SHOW,
    "operations": 3,
}  # the rung of each question that does the thing itself
SHOWS_ELSE = 2


def hint(state: State, event: Event) -> Outcome:
    """One rung down the ladder of the question in hand."""
    return one_rung_down(state, part=event.kind == "stuck")


def tell(state: State, event: Event) -> Outcome:
    """The step itself, asked for: the second time it is shown, and once a smaller question comes before it."""
    last = SHOWS.get(state.phase, SHOWS_ELSE)
    return one_rung_down(state if state.rung == 0 else replace(state, rung=last - 1))


def one_rung_down(state: State, part: bool = False) -> Outcome:
    """The next rung; ``part`` asks first which part the learner can tell."""
    if state.phase in {"reconsider", "account", "part"}:
        state = back_to_work(state)
    state = replace(prompted(state), leads=False, rung=min(state.rung + 1, SHOWS.get(state.phase, SHOWS_ELSE)))
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
    return _move(state, part)


def example(state: State, event: Event) -> Outcome:
    """One step of a parallel equation, worked; never the learner's own."""
    return _example(state)


def _example(state: State) -> Outcome:
    other = parallel(state.equation)
    step = next_step(other)
    if step is None:
        return prompted(state), ()
    after = _after(other, step)
    return prompted(state), (Saying("example", {"other": other, "step": step, "after": after}),)


def _after(equation: Equation, step: Move | Rewrite) -> Equation:
    return carry_out(step, equation) if isinstance(step, Move) else carry_out_rewrite(step, equation)


def _tried_as_lots(state: State, number: Expression) -> Saying | None:
    """What a number seen beside the unknown makes of another one, where it multiplies it: no sum of the two."""
    done = operations_on(state.equation)[:1]
    if not done or done[0].action != "multiply" or linear(done[0].operand) != linear(number):
        return None
    by = Fraction(linear(number).constant)
    amount = amount_for(state.equation, by)
    values: dict[str, Filling] = {"amount": amount, "value": by * amount, "other": by + amount, "unknown": state.letter}
    return Saying("hint means", {**values, "term": scaled(by, Unknown(state.letter))})


def _operations(state: State) -> Outcome:
    if state.rung == 1:
        meant = None if state.topic is None else _tried_as_lots(state, state.topic)
        return state, (meant or Saying("hint operations", {"unknown": state.letter}),)
    if state.rung == 2:
        side = state.equation.side_with_unknown()
        trial = easy_number(state.equation, side)
        return state, (Saying("hint tried", {"sum": side, "amount": trial, "unknown": state.letter}),)
    return after_operations(state), (Saying("operations told", {"done": operations_on(state.equation)}),)


def _first(state: State) -> Outcome:
    if state.rung == 1:
        return state, (Saying("hint first", {"unknown": state.letter}),)
    return back_to_work(state), (Saying("first told"),)


def _mend(state: State) -> Outcome:
    if state.rung == 1 and isinstance(state.pending, Move):
        return state, (Saying("hint mend", {"side": state.pending.sides}),)
    return back_to_work(state), (Saying("mend told"),)


def _move(state: State, part: bool) -> Outcome:
    step = next_step(state.equation)
    if step is None:
        return state, ()
    if state.rung == SMALLER and part:
        return state, (Saying("which part"),)
    if state.rung == SMALLER:
        return state, (Saying(_smaller(state.equation, step), {"unknown": state.letter}),)
    if state.rung == CHOICES:
        return state, (_two_choices(state, step),)
    if state.rung == EXAMPLE:
        return _example(state)
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


def is_next(state: State, move: Move) -> bool:
    """Whether a move is the one that a teacher would make."""
    step = next_step(state.equation)
    return isinstance(step, Move) and (step.operation, step.operand) == (move.operation, move.operand)


def choices_again(state: State) -> Saying | None:
    """The two moves that were just named to choose from; None where none were."""
    step = next_step(state.equation)
    asked = bool(state.last) and state.last[-1].key.startswith("choices ")
    return _two_choices(state, step) if asked and step is not None and state.phase == "move" else None


def _result(state: State) -> Outcome:
    due = due_line(state)
    if due is None:
        return back_to_work(state), ()
    if state.rung == 1:
        return state, (_smaller_sum(state, due),)
    state = replace(state, aided="shown", tries=0)
    if state.phase == "left" and state.kept is None:
        return replace(state, phase="right", rung=0), (Saying("show side", {"side": "left", "value": due.left}),)
    step, further = state.pending, state.further
    after = with_line(state, due, step, "shown")
    after = with_pending(after, *further) if further else after
    return after, (Saying("show line", {"line": due}),)


def _smaller_sum(state: State, due: Equation) -> Saying:
    """The sum to work out, written beside the side it is on."""
    if isinstance(state.pending, Rewrite):
        return Saying(f"hint {state.pending.how}")
    if state.pending is None:
        return Saying("work out")
    side = state.equation.right if state.phase == "right" else state.equation.left
    written = as_written(state.pending, side)
    if (parts := smaller_sums(written)) is not None:
        return parts
    if state.pending.operation == "divide":
        return Saying("hint divide", {"sum": side, "by": state.pending.operand})
    return Saying("hint sum", {"sum": written})


def sum_in_hand(state: State) -> Saying | None:
    """The sum that the question in hand asks for, named and not worked out; None where it asks for none."""
    due = due_line(state)
    if due is not None:
        return _smaller_sum(state, due)
    if state.guess is None:
        return None
    side = state.task.equation.left if state.phase == "check left" else state.task.equation.right
    written = answer_put_in(state, side)
    return smaller_sums(written) or Saying("hint put in", {"sum": written})


def easier_sum(state: State, said: Sequence[Saying]) -> list[Saying]:
    """The sum that the question in hand asks for in two easier ones, where it can be so done and was not named."""
    parts = sum_in_hand(state)
    easier = parts is not None and parts.key.startswith("parts ")
    return [parts] if parts is not None and easier and all(one.key != parts.key for one in said) else []


def numbers_in_hand(state: State) -> set[Fraction]:
    """The numbers of the sum that the question in hand asks for; empty where it asks for none."""
    side = state.equation.right if state.phase == "right" else state.equation.left
    if isinstance(state.pending, Move) and state.phase in {"left", "right"} and not has_unknown(side):
        return set(numbers_in(as_written(state.pending, side)))
    if state.guess is None or state.phase not in {"check left", "check right"}:
        return set()
    first = state.task.equation
    return set(numbers_in(put_in(first.left if state.phase == "check left" else first.right, state.guess)))


def _put_in(state: State) -> Outcome:
    if state.guess is None:
        return back_to_work(state), ()
    left = state.phase == "check left"
    side = state.task.equation.left if left else state.task.equation.right
    if state.rung == 1:
        return state, tuple(filter(None, (sum_in_hand(state),)))
    shown = Saying("show value", {"sum": answer_put_in(state, side), "value": constant(value_at(side, state.guess))})
    state, said = (left_checked if left else right_checked)(state, Event("hint", None))
    return replace(state, rung=0), (shown, *said)


def _count(state: State) -> Outcome:
    if state.rung == 1:
        return state, (Saying("hint count", {"line": state.equation}),)
    kind = state.task.equation.solution().kind
    return go_on_to(state, state.place + 1), (Saying(f"told {kind}", {"line": state.equation}),)
