"""What the table's effects do when the learner offers a move, a line or an answer."""

from dataclasses import replace

from dialogue.algebra.moves import Move, Rewrite
from dialogue.tutor.events import Event, due_line
from dialogue.tutor.hints import example, hint
from dialogue.tutor.saying import (
    Outcome,
    Saying,
    about_error,
    answer_on,
    cleared,
    is_pattern,
    prompted,
    with_errors,
    with_line,
    with_pending,
    with_question,
)
from dialogue.tutor.state import Level, Phase, State

HINT_AFTER, EXAMPLE_AFTER = 2, 3  # failures on one line (rule 21)
WRONG_SIDE: dict[str, Phase] = {"left wrong": "left", "right wrong": "right", "both wrong": "left"}
ANOTHER_PLAN_AFTER = 2  # legal but unhelpful moves in a row (rule 15)


def take_move(state: State, event: Event) -> Outcome:
    assert isinstance(event.step, Move)
    return with_pending(_fresh(state), event.step), (Saying("take move", {"move": event.step}),)


def take_rewrite(state: State, event: Event) -> Outcome:
    assert isinstance(event.step, Rewrite)
    return with_pending(_fresh(state), event.step), (Saying(f"take rewrite {event.step.how}"),)


def take_pending(state: State, event: Event) -> Outcome:
    """A legal move that is no nearer, kept because the learner keeps it."""
    assert state.pending is not None
    return with_pending(state, state.pending), (Saying("as you like"),)


def still_true(state: State, event: Event) -> Outcome:
    assert isinstance(event.step, Move)
    count = state.level_moves + 1
    state = replace(with_errors(_fresh(state), event), level_moves=count, pending=event.step)
    if count >= ANOTHER_PLAN_AFTER:
        return replace(state, phase="move", pending=None), (Saying("another plan"),)
    return replace(state, phase="reconsider"), (Saying("still true"),)


def another_plan(state: State, event: Event) -> Outcome:
    return replace(state, pending=None), ()


def tilt(state: State, event: Event) -> Outcome:
    """A one-sided move: the balance tilts, and the learner mends it."""
    assert isinstance(event.step, Move)
    state = replace(with_errors(_fresh(state), event), pending=event.step, tries=state.tries + 1)
    return state, (Saying("tilt", {"side": event.step.sides}),)


def levelled(state: State, event: Event) -> Outcome:
    assert isinstance(event.step, Move)
    return with_pending(prompted(state), event.step), (Saying("levelled", {"move": event.step}),)


def by_zero(state: State, event: Event) -> Outcome:
    return _failed(state, event, Saying("by zero", {"unknown": state.letter}))


def by_unknown(state: State, event: Event) -> Outcome:
    assert isinstance(event.step, Move)
    return _failed(state, event, Saying(f"{event.step.operation} by unknown", {"unknown": state.letter}))


def divides_by_zero(state: State, event: Event) -> Outcome:
    return _failed(state, event, Saying("divides by zero"))


def which_operation(state: State, event: Event) -> Outcome:
    return _fresh(state), (Saying("which operation"),)


def nothing_to_rewrite(state: State, event: Event) -> Outcome:
    return state, (Saying("nothing to rewrite"),)


def take_line(state: State, event: Event) -> Outcome:
    assert event.line is not None
    return with_line(state, event.line, None), (Saying("take line"),)


def line_still_true(state: State, event: Event) -> Outcome:
    count = state.level_moves + 1
    key = "another plan" if count >= ANOTHER_PLAN_AFTER else "line still true"
    return replace(_fresh(state), level_moves=count), (Saying(key, {"unknown": state.letter}),)


def line_breaks(state: State, event: Event) -> Outcome:
    assert event.judgement is not None
    return _failed(state, event, about_error(state, event.judgement.errors))


def put_it_in(state: State, event: Event) -> Outcome:
    """An answer, right or wrong: the same words, and the learner finds out by putting it in."""
    assert event.answer is not None and event.judgement is not None
    errors = () if event.judgement.balanced else event.judgement.errors
    state = replace(_fresh(state), guess=event.answer, guess_errors=errors)
    return state, (Saying("put it in", {"guess": event.answer, "unknown": state.letter}),)


def take_result(state: State, event: Event) -> Outcome:
    due = event.line or due_line(state)
    assert due is not None
    state = state.counted("sides") if state.aided == "independent" else state
    return with_line(state, due, state.pending), (Saying("take result"),)


def left_right(state: State, event: Event) -> Outcome:
    return replace(state, rung=0, tries=0), (Saying("side right"),)


def right_right(state: State, event: Event) -> Outcome:
    due = due_line(state)
    assert due is not None
    state = state.counted("sides") if state.aided == "independent" else state
    return with_line(state, due, state.pending), (Saying("side right"),)


def true_but_not_that(state: State, event: Event) -> Outcome:
    key = "true but not that move" if isinstance(state.pending, Move) else "true but not that rewrite"
    return state, (Saying(key, {"move": state.pending} if state.pending else {}),)


def check_arithmetic(state: State, event: Event) -> Outcome:
    """Right move, wrong result: first "check your arithmetic", then the side, then the sum itself; never the number."""
    tries = state.tries + 1
    side: Phase = WRONG_SIDE.get(event.kind, state.phase)
    aided: Level = "prompted" if tries > 1 and state.aided == "independent" else state.aided
    state = replace(with_errors(state, event), tries=tries, aided=aided, phase=side)
    if tries == 1:
        return state, (Saying("check arithmetic"),)
    if tries == HINT_AFTER:
        return state, (Saying("look at the side", {"side": side}),)
    return hint(state, event)


def work_it_out_again(state: State, event: Event) -> Outcome:
    return replace(state, tries=state.tries + 1), (Saying("work it out again"),)


def counted_wrong(state: State, event: Event) -> Outcome:
    state = replace(prompted(with_errors(state, event)), tries=state.tries + 1)
    return state, (Saying("counted wrong", {"line": state.equation}),)


def show_me_the_line(state: State, event: Event) -> Outcome:
    return with_errors(_fresh(state), event), (Saying("show me the line"),)


def _fresh(state: State) -> State:
    """The line with nothing pending; what was counted on it stays counted."""
    return replace(state, pending=None, side=None, guess=None, guess_errors=(), doubts=0)


def _failed(state: State, event: Event, said: Saying) -> Outcome:
    """One more failure on this line: a question first, then one hint down, then a parallel equation."""
    before = is_pattern(state)
    state = with_errors(replace(_fresh(state), tries=state.tries + 1, phase="move"), event)
    pattern = is_pattern(state)
    if pattern is not None and before != pattern:
        return state, (Saying("back to the balance"),)
    if state.tries == HINT_AFTER:
        state, more = hint(state, event)
        return state, (said, *more[:1])
    if state.tries == EXAMPLE_AFTER:
        return example(state, event)
    return state, (said,)


def undo(state: State, event: Event) -> Outcome:
    """Take back what is pending, or an answer offered early; else the last line."""
    offered_early = state.guess is not None and answer_on(state.equation) is None
    if state.pending is not None or offered_early:
        return with_question(cleared(state)), (Saying("undone"),)
    if len(state.board) == 1:
        return with_question(cleared(state)), (Saying("nothing to undo"),)
    return with_question(cleared(replace(state, board=state.board[:-1]))), (Saying("undone"),)
