"""The answer put back into the first equation, each side separately, before it is confirmed."""

from dataclasses import replace
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.moves import Line
from dialogue.algebra.operations import operations_on
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Unknown, constant, has_unknown
from dialogue.tutor.activities.compare_routes import compare, other_route
from dialogue.tutor.activities.diagnosis import inquiry_about
from dialogue.tutor.core.events import Claimed, Counted, Event, EventKind, Outcome, now_and_then
from dialogue.tutor.core.line_in_hand import answer_put_in
from dialogue.tutor.core.mistakes import NO_MODEL, about, what_it_comes_to
from dialogue.tutor.core.questions import back_to_work, go_on_to, operations_kind, solved_here, to_check
from dialogue.tutor.core.state import CHECKING, State
from dialogue.verbalising.sayings import Filling, Saying

CHECKED: frozenset[EventKind] = frozenset({"value right", "values right"})  # whoever said these checked it
CHECKED_ALONE, PUT_IN, NO_CHECKS = "checked alone", "put in for them", "no checks"  # what is counted of checks
CHECK_EVERY = 4  # right answers, of which the last is put in by the learner (a choice)
GAME_EVERY = 3  # equations solved (a choice)


def put_it_in(state: State, event: Claimed) -> Outcome:
    """An answer, right or wrong: the same words, and the learner finds out by putting it in. What was put in before and
    did not fit is not put in again."""
    if event.answer in state.tried:
        return _tried_before(state, event.answer)
    if event.answer == state.guess and (stood_by := not_taken_up(state, event)) is not None:
        return stood_by
    errors = () if event.judgement.balanced else event.judgement.errors
    fresh = replace(state, pending=None, further=(), kept=None, part=None, doubts=0, tries=0, rung=0)
    asked, said = offered(to_check(fresh, event.answer), event)
    return (asked if asked.guess is None else replace(asked, guess_errors=errors)), said


def offered(state: State, event: Event) -> Outcome:
    """An answer that waits to be put in: by the learner, or, where it fits and they have shown that they can, by the
    tutor in one line."""
    guess = state.guess
    if guess is None:
        return state, ()
    if not is_put_in_for_them(state, guess):
        asked = state.counted(PUT_IN) if state.count(CHECKED_ALONE) else state
        return asked, (Saying("put it in", {"guess": guess}),)
    return right_checked(state.counted(PUT_IN), event)


def is_put_in_for_them(state: State, guess: Fraction) -> bool:
    """Whether a check would bring nothing: the answer fits, and checking was done before by themselves, with nothing
    wrong on this equation; asked for now and then all the same, but not of whoever would rather not."""
    if guess != state.task.equation.solution().value or state.task.purpose == "place":
        return False
    if state.count(NO_CHECKS):
        return True
    wrong = state.tried or state.slips or any(place == state.place for place, _ in state.seen)
    wrong = wrong or any(line.level != "independent" for line in state.board)
    return bool(state.count(CHECKED_ALONE)) and not wrong and (state.count(PUT_IN) + 1) % CHECK_EVERY != 0


def not_taken_up(state: State, event: Event) -> Outcome | None:
    """The answer put in by the tutor, where the learner who was asked to says something else that is no question: at
    once if it fits or was objected to, else the second time; nobody is asked a third time. None while it is theirs to
    do."""
    fits = state.guess == state.task.equation.solution().value
    if state.phase not in CHECKING or state.guess is None or state.guessed_in == state.turn:  # not asked for it yet
        return None
    if not (fits or state.doubts or event.kind != "unclear"):
        return None
    return right_checked(replace(state.counted(PUT_IN), doubts=0), event)


def _tried_before(state: State, guess: Fraction) -> Outcome:
    said = came_to(state, guess)
    state = replace(state, tries=state.tries + 1)
    return (back_to_work(state) if state.phase in CHECKING else state), (said,)


def came_to(state: State, guess: Fraction) -> Saying:
    """What the sides came to with an answer that was put in before."""
    left, right = (constant(value_at(side, guess)) for side in state.task.equation.sides())
    return Saying("tried before", {"guess": guess, "left": left, "right": right})


def left_checked(state: State, event: Event) -> Outcome:
    """The left side is worked out: the right one is asked for, or, where it is a number or was said, both stand."""
    if has_unknown(state.task.equation.right) and state.kept is None and state.guess is not None:
        left = constant(value_at(state.task.equation.left, state.guess))
        return replace(state, phase="check right", rung=0, tries=0), (Saying("side worked out", {"left": left}),)
    return right_checked(state, event)


def right_checked(state: State, event: Event) -> Outcome:
    """Both sides worked out: now, and only now, does the answer stand or fall."""
    if state.guess is None:
        return back_to_work(state), ()
    left, right = (value_at(side, state.guess) for side in state.task.equation.sides())
    values: dict[str, Filling] = {"guess": state.guess, "left": constant(left), "right": constant(right)}
    if left != right:
        return _fails(state, event, values)
    if state.task.equation.solution().kind == "every":
        return back_to_work(replace(state, tried=(*state.tried, state.guess))), (Saying("fits but", values),)
    solved = solved_here(state.counted(CHECKED_ALONE) if event.kind in CHECKED else state)
    done = operations_on(state.task.equation)
    if len(done) == 1:
        solved = solved.counted("one step")
    by_steps = len(state.board) > 1 and all(line.level == "independent" for line in state.board)
    if done and (by_steps or solved.swift):
        # done alone: what happens to the unknown need not be asked of this kind
        solved = solved.counted(operations_kind(done))
    checked = event.kind in CHECKED and now_and_then(state, "praise")
    key = "answer fits, praised" if checked else "answer fits"
    if event.kind not in CHECKED:
        sums = [answer_put_in(state, one) for one in state.task.equation.sides() if has_unknown(one)]
        both = len(sums) == 2
        key = "put in, both fit" if both else "put in, fits"
        values = {**values, "sum": sums[0], "other": sums[-1]}
    other = other_route(solved)
    if other is not None:
        solved, more = compare(solved, other)
        return solved, (Saying(key, values), *more)
    return go_on_to(solved, state.place + 1), (Saying(key, values), *_offer(solved))


def _offer(state: State) -> tuple[Saying, ...]:
    """After every third equation solved a game is offered, in words that ask nothing."""
    more = state.plan.open or state.place + 1 < len(state.plan.tasks)
    return (Saying("offer game"),) if more and len(state.solved) % GAME_EVERY == 0 else ()


def _fails(state: State, event: Event, values: dict[str, Filling]) -> Outcome:
    """Where several errors would give just this answer, what tells them apart is asked; where one would, its question;
    after a trial, on which side it was out, which is on the way to undoing."""
    guess = state.guess
    if guess is None:
        return back_to_work(state), ()
    after, question = about(state, state.guess_errors)
    said = Saying("answer fails", values)
    tried = (*state.tried, guess)
    after = back_to_work(replace(after, guess=None, guess_errors=(), tries=0, tried=tried))
    if len(state.guess_errors) > 1 and after.phase == "move":
        found = explain(state.equation, Line(Equation(Unknown(state.letter), constant(guess), state.letter)))
        asked = inquiry_about(state, found, None)
        if asked is not None and not question.key.startswith("model"):
            return replace(after, phase="account", inquiry=asked), (said,)
    explained = state.guess_errors and error_table()[state.guess_errors[0]].idea not in NO_MODEL
    if explained and after.phase == "move" and not _only_tried(state, event):
        return after, (said, question)
    return after, (what_it_comes_to(state.task.equation, guess),)


def _only_tried(state: State, event: Event) -> bool:
    """Whether the number came with both sides worked out: a trial of a number, which changed no side."""
    return event.kind in CHECKED and state.guessed_in == state.turn


def counted_right(state: State, event: Event) -> Outcome:
    """None, or every number, said rightly: the equation is over."""
    kind = state.task.equation.solution().kind
    solved = solved_here(state)
    return go_on_to(solved, state.place + 1), (Saying(f"counted {kind}", {"line": state.equation}),)


def counted_wrong(state: State, event: Counted) -> Outcome:
    """How many numbers solve it was said wrongly: the question that the error asks for, and then one rung down."""
    state, _ = about(state, event.judgement.errors)
    state = replace(state, tries=state.tries + 1, aided="prompted")
    return state, (Saying("counted wrong", {"line": state.equation}),)
