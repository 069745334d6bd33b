"""What the table's effects do when the learner offers a move, a line or a result."""

from dataclasses import replace

from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.moves import Line, Move, Rewrite
from dialogue.algebra.solver import next_step
from dialogue.tutor.activities.diagnosis import inquiry_about
from dialogue.tutor.core.events import Event, Outcome, now_and_then
from dialogue.tutor.core.mistakes import about, model, with_errors
from dialogue.tutor.core.questions import (
    answer_on,
    back_to_work,
    cleared,
    due_line,
    prompted,
    with_line,
    with_pending,
    with_question,
)
from dialogue.tutor.core.state import Level, Phase, State
from dialogue.tutor.moves.hints import example, hint
from dialogue.verbalising.sayings import Saying

HINT_AFTER, EXAMPLE_AFTER = 2, 3  # failures on one line (rule 21)
ANOTHER_PLAN_AFTER = 2  # legal but unhelpful moves in a row (rule 15)
WRONG_SIDE: dict[str, Phase] = {"left wrong": "left", "right wrong": "right", "both wrong": "left"}


def take_move(state: State, event: Event) -> Outcome:
    """A legal move that comes closer: the line that it gives is asked for."""
    assert isinstance(event.step, Move)
    chosen = event.step == next_step(state.equation) and survives(state.equation)
    key = "praise choice" if chosen and now_and_then(state, "praise") else "take move"
    return with_pending(replace(_fresh(state), level_moves=0), event.step), (Saying(key, {"move": event.step}),)


def survives(line: Equation) -> bool:
    """Whether the unknown is on both sides and some of it will be left: then which side to keep is a choice."""
    left, right = (side.coefficient for side in line.linear())
    return left != right and bool(left and right)


def _praise(state: State) -> tuple[Saying, ...]:
    """Praise is rare, and for a choice, a check or a self-correction (rule 11)."""
    return (Saying("praise correction"),) if state.tries and state.aided == "independent" else ()


def take_rewrite(state: State, event: Event) -> Outcome:
    """A rewrite that comes closer: the line that it gives is asked for."""
    assert isinstance(event.step, Rewrite)
    return with_pending(_fresh(state), event.step), (Saying(f"take rewrite {event.step.how}"),)


def take_pending(state: State, event: Event) -> Outcome:
    """A legal move that is no nearer, kept because the learner keeps it."""
    assert state.pending is not None
    return with_pending(state, state.pending), (Saying("as you like"),)


def still_true(state: State, event: Event) -> Outcome:
    """A legal move that comes no closer is never called wrong: kept, or another plan asked for (rule 15)."""
    assert isinstance(event.step, Move)
    state = replace(_with_errors(_fresh(state), event), level_moves=state.level_moves + 1, rung=0)
    if state.level_moves >= ANOTHER_PLAN_AFTER:
        return back_to_work(state), (Saying("another plan"),)
    return replace(state, pending=event.step, phase="reconsider"), (Saying("still true"),)


def another_plan(state: State, event: Event) -> Outcome:
    """The learner takes the move back: what to do is asked again."""
    return back_to_work(state), ()


def tilt(state: State, event: Event) -> Outcome:
    """A one-sided move: the balance tilts, and the learner mends it."""
    assert isinstance(event.step, Move)
    after = replace(_with_errors(_fresh(state), event), pending=event.step, tries=state.tries + 1, rung=0)
    return after, (model(state, after) or Saying("tilt", {"side": event.step.sides}),)


def levelled(state: State, event: Event) -> Outcome:
    """The other side of a one-sided move: the move is then whole."""
    assert isinstance(event.step, Move)
    return with_pending(prompted(state), event.step), (Saying("levelled", {"move": event.step}),)


def by_zero(state: State, event: Event) -> Outcome:
    """Multiplying by zero: every number would solve the next line."""
    return _not_legal(state, event, "by zero")


def by_unknown(state: State, event: Event) -> Outcome:
    """Multiplying or dividing by the unknown, which might be zero."""
    assert isinstance(event.step, Move)
    return _not_legal(state, event, f"{event.step.operation} by unknown")


def divides_by_zero(state: State, event: Event) -> Outcome:
    """Dividing by zero, which gives nothing."""
    return _not_legal(state, event, "divides by zero")


def _not_legal(state: State, event: Event, why: str) -> Outcome:
    """The reason is told each time: there is nothing to find out by asking."""
    return _failed(_with_errors(state, event), Saying(why))


def which_operation(state: State, event: Event) -> Outcome:
    """A move that names no operation ("move it over"): which one is asked."""
    return back_to_work(_fresh(state)), (Saying("which operation"),)


def nothing_to_rewrite(state: State, event: Event) -> Outcome:
    """A rewrite that finds nothing to do."""
    return state, (Saying("nothing to rewrite"),)


def take_line(state: State, event: Event) -> Outcome:
    """A line that comes closer goes on the board."""
    assert event.line is not None
    swapped = Rewrite("swap") if event.line == state.equation.swapped() else None
    after = with_line(replace(state, level_moves=0), event.line, swapped)
    return after, _praise(state) or (Saying("take line"),)


def line_still_true(state: State, event: Event) -> Outcome:
    """A true line that is no nearer goes on the board too; after two unhelpful steps another plan is asked for."""
    assert event.line is not None
    state = replace(state, level_moves=state.level_moves + 1)
    if state.level_moves >= ANOTHER_PLAN_AFTER:
        return back_to_work(_fresh(state)), (Saying("another plan"),)
    return with_line(state, event.line, None), (Saying("line still true"),)


def same_line(state: State, event: Event) -> Outcome:
    """The line on the board, said again."""
    return state, (Saying("same line"),)


def line_breaks(state: State, event: Event) -> Outcome:
    """Where several errors explain the line, what tells them apart is asked; else the likeliest one's question."""
    assert event.judgement is not None and event.line is not None
    after, said = about(state, event.judgement.errors)
    if len(event.judgement.errors) > 1 and not said.key.startswith("model") and not state.tries:
        asked = inquiry_about(state, explain(state.equation, Line(event.line)), event.line)
        if asked is not None:
            after = replace(back_to_work(_fresh(after)), tries=1, phase="account", inquiry=asked)
            return after, (Saying("line breaks"),)
    return _failed(after, said)


def take_result(state: State, event: Event) -> Outcome:
    """The result of the move in hand; where that is the answer, only putting it in confirms it (rule 9)."""
    due = event.line or due_line(state)
    assert due is not None
    answer = answer_on(due)
    if answer is not None:
        said: tuple[Saying, ...] = (Saying("put it in", {"guess": answer}),)
    else:
        said = _praise(state) or (Saying("take result"),)
    counted = state.counted("sides") if state.aided == "independent" and not state.tries else state
    return with_line(counted, due, state.pending), said


def left_right(state: State, event: Event) -> Outcome:
    """The left side after the move, rightly worked out: the right one is asked for."""
    return replace(state, rung=0), (Saying("side right"),)


def work_out(state: State, event: Event) -> Outcome:
    """A side with its sum not yet done."""
    return state, (Saying("work out"),)


def other_side(state: State, event: Event) -> Outcome:
    """The value of the side that was not asked for."""
    return state, (Saying("other side"),)


def true_but_not_that(state: State, event: Event) -> Outcome:
    """A true line that is not what the move in hand gives."""
    assert state.pending is not None
    key = "true but not that move" if isinstance(state.pending, Move) else "true but not that rewrite"
    return state, (Saying(key, {"move": state.pending}),)


def check_arithmetic(state: State, event: Event) -> Outcome:
    """Right move, wrong result: "check your arithmetic", then the side, then the sum itself; never the number."""
    tries = state.tries + 1
    side: Phase = WRONG_SIDE.get(event.kind, state.phase)
    if state.phase == "line":
        side = "line" if isinstance(state.pending, Rewrite) else side
    aided: Level = "prompted" if tries > 1 and state.aided == "independent" else state.aided
    state = replace(_with_errors(state, event), tries=tries, aided=aided, phase=side)
    if tries == 1:
        return state, (Saying("check arithmetic" if isinstance(state.pending, Move) else "check the line"),)
    if tries == HINT_AFTER and side in {"left", "right"}:
        return state, (Saying("look at the side", {"side": side}),)
    return hint(state, event)


def work_it_out_again(state: State, event: Event) -> Outcome:
    """A side of the check wrongly worked out: again, and then a hint."""
    state = replace(state, tries=state.tries + 1)
    return hint(state, event) if state.tries >= HINT_AFTER else (state, (Saying("work it out again"),))


def show_me_the_line(state: State, event: Event) -> Outcome:
    """How many numbers solve it, said too early to be seen: the line that shows it is asked for."""
    return back_to_work(_with_errors(_fresh(state), event)), (Saying("show me the line"),)


def _with_errors(state: State, event: Event) -> State:
    return with_errors(state, event.judgement.errors if event.judgement else ())


def _fresh(state: State) -> State:
    """The line with nothing pending; what was counted on it stays counted."""
    return replace(state, pending=None, side=None, guess=None, guess_errors=(), doubts=0)


def _failed(state: State, said: Saying) -> Outcome:
    """One more failure on this line: a question first, then one hint down, then a parallel equation (rule 21)."""
    rung = state.rung if state.phase in {"move", "operations", "first"} else 0
    state = replace(back_to_work(_fresh(state)), tries=state.tries + 1, rung=rung)
    if state.phase == "move" and not said.key.startswith("model"):
        if state.tries == HINT_AFTER and said.key != "error":
            state, more = hint(state, Event("unclear"))
            return state, (said, *more)
        if state.tries == EXAMPLE_AFTER:
            return example(state, Event("example"))
    return state, (said,)


def undo(state: State, event: Event) -> Outcome:
    """Take back what is pending, or an answer offered early; else the last line."""
    offered_early = state.guess is not None and answer_on(state.equation) is None
    if state.pending is not None or offered_early:
        return with_question(cleared(state)), (Saying("undone"),)
    if len(state.board) == 1:
        return with_question(cleared(state)), (Saying("nothing to undo"),)
    return with_question(cleared(replace(state, board=state.board[:-1]))), (Saying("undone"),)
