"""The answer put back into the first equation, each side separately, before it is confirmed."""

from dataclasses import replace

from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Line
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Unknown, constant, has_unknown
from dialogue.tutor.activities.compare_routes import compare, other_route
from dialogue.tutor.activities.diagnosis import inquiry_about
from dialogue.tutor.core.events import Event, Outcome, now_and_then
from dialogue.tutor.core.mistakes import about
from dialogue.tutor.core.questions import back_to_work, begin_task, to_check
from dialogue.tutor.core.state import State
from dialogue.verbalising.sayings import Filling, Saying

GAME_EVERY = 3  # equations solved (a choice)


def put_it_in(state: State, event: Event) -> Outcome:
    """An answer, right or wrong: the same words, and the learner finds out by putting it in."""
    assert event.answer is not None and event.judgement is not None
    errors = () if event.judgement.balanced else event.judgement.errors
    state = to_check(replace(state, pending=None, side=None, doubts=0, tries=0), event.answer)
    return replace(state, guess_errors=errors), (Saying("put it in", {"guess": event.answer}),)


def left_checked(state: State, event: Event) -> Outcome:
    """The left side is worked out: the right one is asked for, or, where it is a number, both stand."""
    if has_unknown(state.task.equation.right):
        return replace(state, phase="check right", rung=0, tries=0), (Saying("side worked out"),)
    return right_checked(state, event)


def right_checked(state: State, event: Event) -> Outcome:
    """Both sides worked out: now, and only now, does the answer stand or fall."""
    assert state.guess is not None
    left, right = (value_at(side, state.guess) for side in state.task.equation.sides())
    values: dict[str, Filling] = {"guess": state.guess, "left": constant(left), "right": constant(right)}
    if left != right:
        return _fails(state, values)
    if state.task.equation.solution().kind == "every":
        return back_to_work(state), (Saying("fits but", values),)
    solved = replace(state, solved=(*state.solved, state.place))
    key = "answer fits, praised" if now_and_then(state, "praise") else "answer fits"
    other = other_route(solved)
    if other is not None:
        solved, more = compare(solved, other)
        return solved, (Saying(key, values), *more)
    return begin_task(solved, state.place + 1), (Saying(key, values), *_offer(solved))


def _offer(state: State) -> tuple[Saying, ...]:
    """After every third equation solved a game is offered, in words that ask nothing."""
    more = state.plan.open or state.place + 1 < len(state.plan.tasks)
    return (Saying("offer game"),) if more and len(state.solved) % GAME_EVERY == 0 else ()


def _fails(state: State, values: dict[str, Filling]) -> Outcome:
    """Where several errors would give just this answer, what tells them apart is asked; where one would, its question;
    a slip in the head needs none."""
    after, question = about(state, state.guess_errors)
    said = Saying("answer fails", values)
    after = back_to_work(replace(after, guess=None, guess_errors=(), tries=0))
    if state.guess is not None and len(state.guess_errors) > 1 and after.phase == "move":
        found = explain(state.equation, Line(Equation(Unknown(state.letter), constant(state.guess), state.letter)))
        asked = inquiry_about(state, found, None)
        if asked is not None and not question.key.startswith("model"):
            return replace(after, phase="account", inquiry=asked), (said,)
    explained = state.guess_errors and error_table()[state.guess_errors[0]].idea != "arithmetic"
    return after, (said, question) if explained and after.phase == "move" else (said,)


def counted_right(state: State, event: Event) -> Outcome:
    """None, or every number, said rightly: the equation is over."""
    kind = state.task.equation.solution().kind
    solved = replace(state, solved=(*state.solved, state.place))
    return begin_task(solved, state.place + 1), (Saying(f"counted {kind}", {"line": state.equation}),)


def counted_wrong(state: State, event: Event) -> Outcome:
    """How many numbers solve it was said wrongly: the question that the error asks for, and no step."""
    errors = event.judgement.errors if event.judgement else ()
    state, _ = about(state, errors)
    return replace(state, tries=state.tries + 1, aided="prompted"), (Saying("counted wrong", {"line": state.equation}),)
