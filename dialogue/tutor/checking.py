"""The answer put back into the first equation, each side separately, before it is confirmed."""

from dataclasses import replace

from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import constant, has_unknown
from dialogue.tutor.events import Event
from dialogue.tutor.saying import Filling, Outcome, Saying, about_error, begin_task
from dialogue.tutor.state import State


def left_checked(state: State, event: Event) -> Outcome:
    if has_unknown(state.task.equation.right):
        return replace(state, phase="check right", rung=0), (Saying("side worked out"),)
    return right_checked(state, event)


def right_checked(state: State, event: Event) -> Outcome:
    """Both sides worked out: now, and only now, does the answer stand or fall."""
    assert state.guess is not None
    left, right = (value_at(side, state.guess) for side in state.task.equation.sides())
    values: dict[str, Filling] = {
        "unknown": state.letter,
        "guess": state.guess,
        "left": constant(left),
        "right": constant(right),
    }
    if left == right:
        solved = replace(state, solved=(*state.solved, state.place))
        return begin_task(solved, state.place + 1), (Saying("answer fits", values),)
    errors = state.guess_errors
    state = replace(state, seen=(*state.seen, (state.place, errors[0]))) if errors else state
    state = replace(state, guess=None, guess_errors=(), tries=state.tries + 1, phase="move", rung=0)
    said: tuple[Saying, ...] = (Saying("answer fails", values),)
    if errors:
        said = (*said, about_error(state, errors))
    return state, said


def counted_right(state: State, event: Event) -> Outcome:
    kind = state.task.equation.solution().kind
    solved = replace(state, solved=(*state.solved, state.place))
    return begin_task(solved, state.place + 1), (Saying(f"counted {kind}", {"line": state.equation}),)
