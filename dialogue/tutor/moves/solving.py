"""What the table's effects do when the learner offers a move, a line or a result."""

from dataclasses import replace

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.moves import Line, Move, Rewrite, carry_out
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import next_step
from dialogue.algebra.tree import has_unknown
from dialogue.tutor.activities.diagnosis import inquiry_about
from dialogue.tutor.core.events import (
    Counted,
    Event,
    Judged,
    Moved,
    Outcome,
    Rewritten,
    Stated,
    Valued,
    now_and_then,
)
from dialogue.tutor.core.mistakes import about, model, question_on, with_errors, with_signs
from dialogue.tutor.core.questions import (
    answer_on,
    back_to_work,
    cleared,
    due_line,
    last_line,
    prompted,
    with_line,
    with_pending,
    with_question,
)
from dialogue.tutor.core.state import FailedLine, Phase, State
from dialogue.tutor.moves.checking import offered
from dialogue.tutor.moves.hints import HINT, one_rung_down
from dialogue.tutor.moves.of_factors import off_a_factor
from dialogue.tutor.moves.showing import Broken, aimed, evidence, tried_after
from dialogue.verbalising.sayings import Saying

HINT_AFTER, SHOW_AFTER = 2, 3  # failures on one line (rule 21): then another way of seeing it, and then one more rung
ANOTHER_PLAN_AFTER = 2  # legal but unhelpful moves in a row (rule 15)
WRONG_SIDE: dict[str, Phase] = {"left wrong": "left", "right wrong": "right", "both wrong": "left"}


def take_move(state: State, event: Moved) -> Outcome:
    """A legal move that comes closer: the line that it gives is asked for."""
    chosen = event.step == next_step(state.equation) and survives(state)
    key = "praise choice" if chosen and now_and_then(state, "praise") else "take move"
    state = replace(_fresh(state), level_moves=0, topic=event.step.operand)
    return with_pending(state, event.step), (Saying(key, {"move": event.step}),)


def take_further(state: State, event: Moved) -> Outcome:
    """A further move, said before the line of the one in hand: both are kept, and one line asked for."""
    if state.pending is None:
        return take_move(state, event)
    both = (state.pending, *state.further, event.step)
    state = with_pending(state, *both)
    return state, (Saying("take further", {"held": both}),)


def move_again(state: State, event: Moved) -> Outcome:
    """The move in hand said once more: it stands, and its line is still asked for."""
    return state, (Saying("move again", {"move": event.step}),)


def survives(state: State) -> bool:
    """Whether the unknown is on both sides and some of it will be left: then which side to keep is a choice."""
    left, right = (side.coefficient for side in state.equation.linear())
    return left != right and bool(left and right)


def _praise(state: State) -> tuple[Saying, ...]:
    """Praise is rare, and for a choice, a check or a self-correction (rule 11)."""
    return (Saying("praise correction"),) if state.tries and state.aided == "independent" else ()


def take_rewrite(state: State, event: Rewritten) -> Outcome:
    """A rewrite that comes closer: the line that it gives is asked for."""
    return with_pending(_fresh(state), event.step), (Saying(f"take rewrite {event.step.how}"),)


def take_pending(state: State, event: Event) -> Outcome:
    """A legal move that is no nearer, kept because the learner keeps it."""
    if state.pending is None:
        return back_to_work(state), ()
    return with_pending(state, state.pending), (Saying("as you like"),)


def still_true(state: State, event: Moved) -> Outcome:
    """A legal move that comes no closer is never called wrong: kept, or another plan asked for (rule 15)."""
    state = replace(_with_errors(_fresh(state), event), level_moves=state.level_moves + 1, rung=0)
    state = replace(state, topic=event.step.operand)
    if state.level_moves >= ANOTHER_PLAN_AFTER:
        given = event.judgement.result or state.equation
        plan = Saying("another plan", {"line": given, "unknown": state.letter})
        return back_to_work(replace(state, topic=None)), (off_a_factor(state, event.step) or plan,)
    met = 1 + sum(sign in state.signs or any(error == sign for _, error in state.seen)
                  for sign in event.judgement.signs[:1])  # fmt: skip
    state = replace(state, pending=event.step, phase="reconsider")
    state, said = with_signs(state, event.judgement.signs), Saying("still true", {"move": event.step})
    if event.judgement.signs:  # a sign of an idea: asked about, and not called wrong
        return state, (said, question_on(state, event.judgement.signs[0], met=met))
    return state, (said,)


def another_plan(state: State, event: Event) -> Outcome:
    """The learner takes the move back, rightly: what it would have given shows it, and what to do is asked again."""
    return back_to_work(replace(state, topic=None)), (what_it_gives(state, "not nearer"),)


def stuck_with_it(state: State, event: Event) -> Outcome:
    """Who cannot tell whether a move helps is shown what it gives, and asked what to do anew."""
    return back_to_work(replace(state, topic=None)), (what_it_gives(state, "look what it gives"),)


def look_at_it(state: State, event: Event) -> Outcome:
    """Talk while a move is thought over: what it gives is there to be looked at, and the question stands."""
    return state, (what_it_gives(state, "it gives"),)


def what_it_gives(state: State, key: str) -> Saying:
    """What is said of the move in hand by the line that it would give."""
    due = due_line(state)
    return Saying("no nearer") if due is None else Saying(key, {"line": due})


def tilt(state: State, event: Moved) -> Outcome:
    """A one-sided move: the balance tilts, and the learner mends it; where both sides may be meant, the other is asked
    for, and nothing is said to tip."""
    if state.may_be_both:
        asked = replace(_fresh(state), pending=event.step, rung=0, phase="mend", topic=event.step.operand)
        return replace(asked, other_side="asked"), (Saying("other side too", {"move": event.step}),)
    after = replace(
        _with_errors(_fresh(state), event), pending=event.step, tries=state.tries + 1, rung=0, phase="mend",
        topic=event.step.operand,
    )  # fmt: skip
    return after, (model(state, after) or Saying("tilt", {"side": event.step.sides}),)


def levelled(state: State, event: Moved) -> Outcome:
    """The other side of a one-sided move: the move is then whole."""
    return with_pending(prompted(state), event.step), (Saying("levelled", {"move": event.step}),)


def by_zero(state: State, event: Moved) -> Outcome:
    """Multiplying by zero: every number would solve the next line."""
    return _not_legal(state, event, "by zero")


def by_unknown(state: State, event: Moved) -> Outcome:
    """Multiplying or dividing by the unknown, which might be zero."""
    return _not_legal(state, event, f"{event.step.operation} by unknown")


def divides_by_zero(state: State, event: Moved) -> Outcome:
    """Dividing by zero, which gives nothing."""
    return _not_legal(state, event, "divides by zero")


def _not_legal(state: State, event: Moved, why: str) -> Outcome:
    """The reason is told each time: there is nothing to find out by asking."""
    return _failed(_with_errors(state, event), Saying(why))


def which_operation(state: State, event: Moved) -> Outcome:
    """A move that names no operation ("move it over"): which one is asked."""
    return replace(back_to_work(_fresh(state)), topic=event.step.operand), (Saying("which operation"),)


def nothing_to_rewrite(state: State, event: Rewritten) -> Outcome:
    """A rewrite that finds nothing to do; to collect what is on both sides is what somebody wants, and not how."""
    if event.step.how == "collect" and all(map(has_unknown, state.equation.sides())):
        return state, (Saying("heard goal"),)
    return state, (Saying("nothing to rewrite"),)


def take_line(state: State, event: Stated) -> Outcome:
    """A line that comes closer goes on the board."""
    line = event.step.equation
    swapped = Rewrite("swap") if line == state.equation.swapped() else None
    counted = state.counted("sides") if state.aided == "independent" and not swapped else state
    after = with_line(replace(counted, level_moves=0), line, swapped)
    return after, _praise(state) or (Saying("take line"),)


def line_still_true(state: State, event: Stated) -> Outcome:
    """A true line that is no nearer goes on the board too; after two unhelpful steps another plan is asked for."""
    state = replace(state, level_moves=state.level_moves + 1)
    if state.level_moves >= ANOTHER_PLAN_AFTER:
        plan = Saying("another plan", {"line": event.step.equation, "unknown": state.letter})
        return back_to_work(_fresh(state)), (plan,)
    return with_line(state, event.step.equation, None), (Saying("line still true"),)


def same_line(state: State, event: Stated) -> Outcome:
    """A line that is on the board, said again; an earlier one is gone back to."""
    last = len(state.board) - 1
    at = max((at for at, line in enumerate(state.board) if line.equation == event.step.equation), default=last)
    if at == last:
        return state, (Saying("same line"),)
    return with_question(cleared(replace(state, board=state.board[: at + 1]))), (Saying("back to line"),)


def line_breaks(state: State, event: Stated) -> Outcome:
    """Where several errors explain the line, what tells them apart is asked; else the likeliest one's question."""
    line = event.step.equation
    after, said = about(state, event.judgement.errors)
    after = replace(after, failed=FailedLine(state.equation, line))
    shown = evidence(Broken(state.equation, line))
    if len(event.judgement.errors) > 1 and not said.key.startswith("model") and not state.tries:
        asked = inquiry_about(state, explain(state.equation, Line(line)), line)
        if asked is not None:
            after = replace(back_to_work(_fresh(after)), tries=1, phase="account", inquiry=asked)
            return after, (shown,)
    return _failed(after, shown if said.key == "line breaks" else said, shown)


def claim_fails(state: State, event: Stated) -> Outcome:
    """A line that the move said with it does not give, true or not: it is not taken, and the learner looks again."""
    before, move = state.equation, state.pending
    if isinstance(move, Move) and (start := _earlier(state, move, event.step.equation)) is not None:
        told = Saying("claim of before", {"move": move, "before": start, "line": event.step.equation})
        return back_to_work(_fresh(state)), (told,)
    after = replace(_with_errors(prompted(_fresh(state)), event), failed=FailedLine(before, event.step.equation, move))
    values = {"line": event.step.equation, "before": before}
    if isinstance(move, Move):
        failed, said = _failed(after, Saying("claim fails", {**values, "move": move}))
        asked = _side_that_differs(state, event.step.equation, move)
        return failed, (*said, asked) if asked is not None and len(said) == 1 and failed.phase == "move" else said
    return _failed(after, Saying("claim fails, rewritten", values))


def _earlier(state: State, move: Move, stated: Equation) -> Equation | None:
    """A line above the last one from which the move gives what was said: the other way, looked back at."""
    for line in reversed(state.board[:-1]):
        try:
            made = carry_out(move, line.equation)
        except Refusal:
            continue
        if list(map(linear, made.sides())) == list(map(linear, stated.sides())):
            return line.equation
    return None


def _side_that_differs(state: State, stated: Equation, move: Move) -> Saying | None:
    """The one side that the move does not make of the line, asked for; None where both differ, or neither does."""
    due, before = due_line(state), state.equation
    if due is None or move.operation == "transfer":
        return None
    pairs = zip(("left", "right"), before.sides(), due.sides(), stated.sides(), strict=True)
    wrong = [(name, was) for name, was, made, said in pairs if linear(made) != linear(said)]
    if len(wrong) != 1:
        return None
    return Saying(f"what becomes, {move.operation}", {"side": wrong[0][0], "sum": wrong[0][1], "by": move.operand})


def take_result(state: State, event: Event) -> Outcome:
    """The result of the move in hand; where that is the answer, only putting it in confirms it (rule 9)."""
    due, end = due_line(state), last_line(state)
    if due is None or end is None:
        return back_to_work(state), ()
    stated = event.step.equation if isinstance(event, Stated) else due
    counted = state.counted("sides") if state.aided == "independent" and not state.tries else state
    waiting = state.further
    if waiting and stated.linear() in (due.linear(), stated.swapped().linear()):
        after = with_line(counted, stated, state.pending)
        return with_pending(after, *waiting), (Saying("take result, further", {"held": waiting}),)
    for step in (state.pending, *waiting)[:-1]:  # the learner did both at once: the line between is written down
        between = due_line(replace(counted, pending=step))
        counted = counted if between is None else with_line(counted, between, step, state.aided)
    after = with_line(counted, stated, (state.pending, *waiting)[-1], state.aided)
    answer = answer_on(stated)
    if answer is not None:
        return offered(after, event)
    return after, _praise(state) or (Saying("take result"),)


def left_right(state: State, event: Event) -> Outcome:
    """The left side after the move, rightly worked out: the right one is asked for, where it was not said before."""
    if state.kept is not None:
        return take_result(state, event)
    return replace(state, rung=0, tries=0, phase="right"), (Saying("side right"),)


def work_out(state: State, event: Event) -> Outcome:
    """A side with its sum not yet done."""
    return state, (Saying("work out"),)


def other_side(state: State, event: Valued) -> Outcome:
    """The value of the side that was not asked for is kept, and will not be asked for again."""
    return replace(state, kept=event.value), (Saying("other side", {"value": event.value}),)


def true_but_not_that(state: State, event: Stated) -> Outcome:
    """A true line that is not what the move in hand gives."""
    if isinstance(state.pending, Move):
        return state, (Saying("true but not that move", {"move": state.pending}),)
    return state, (Saying("true but not that rewrite"),)


def result_wrong(state: State, event: Stated | Valued) -> Outcome:
    """A wrong result of the move in hand: the question its error asks for; for a slip in a sum the sum itself, never
    the number; then another way of seeing it, and then the ladder."""
    side: Phase = WRONG_SIDE.get(event.kind, state.phase)
    if state.phase == "line":
        side = "line" if isinstance(state.pending, Rewrite) else side
    tries = state.tries + 1
    before = state
    state = replace(state, tries=tries, phase=side, further=())
    state = prompted(state) if tries > 1 else state
    if tries >= SHOW_AFTER:
        return one_rung_down(state)
    state, said = aimed(before, state, event)
    return state, (said,)


def left_wrongly(state: State, event: Valued) -> Outcome:
    """What a move was said to leave of a side, and does not: the side tried with a number."""
    failed = state.failed
    if failed is None or not isinstance(failed.move, Move):
        return state, ()
    due = carry_out(failed.move, failed.before)
    was, side = next(pair for pair in zip(failed.before.sides(), due.sides(), strict=True) if has_unknown(pair[0]))
    return state, (tried_after(failed.before, failed.move, was, side, event.value),)


def work_it_out_again(state: State, event: Event) -> Outcome:
    """A side of the check wrongly worked out: again, and then a hint."""
    state = replace(state, tries=state.tries + 1)
    return one_rung_down(state) if state.tries >= HINT_AFTER else (state, (Saying("work it out again"),))


def show_me_the_line(state: State, event: Counted) -> Outcome:
    """How many numbers solve it, said too early to be seen: the line that shows it is asked for."""
    return back_to_work(_with_errors(_fresh(state), event)), (Saying("show me the line"),)


def _with_errors(state: State, event: Judged) -> State:
    return with_errors(state, event.judgement.errors)


def _fresh(state: State) -> State:
    """The line with nothing pending; what was counted on it stays counted."""
    return replace(state, pending=None, further=(), kept=None, part=None, guess=None, guess_errors=(), doubts=0)


def _failed(state: State, said: Saying, shown: Saying | None = None) -> Outcome:
    """One more failure on this line: a question first, then what can be seen, then one rung down (rule 21)."""
    rung = state.rung if state.phase in {"move", "operations", "first"} else 0
    state = replace(back_to_work(_fresh(state)), tries=state.tries + 1, rung=rung)
    if state.phase != "move" or said.key.startswith("model"):
        return state, (said,)
    if state.tries == HINT_AFTER:
        if said.key == "error" and shown is not None:
            return state, (shown, said)
        state, more = one_rung_down(state)
        return state, (said, *more)
    if state.tries >= SHOW_AFTER:
        return one_rung_down(replace(state, rung=max(state.rung, HINT)))
    return state, (said,)


def undo(state: State, event: Event) -> Outcome:
    """Take back what is pending, or an answer offered early; else the last line."""
    offered_early = state.guess is not None and answer_on(state.equation) is None
    if state.pending is not None or offered_early:
        return with_question(cleared(state)), (Saying("undone"),)
    if len(state.board) == 1:
        return with_question(cleared(state)), (Saying("nothing to undo"),)
    return with_question(cleared(replace(state, board=state.board[:-1]))), (Saying("undone"),)


def restart(state: State, event: Event) -> Outcome:
    """The same equation from its first line."""
    helped = state.aided != "independent" or any(line.level != "independent" for line in state.board)
    fresh = replace(cleared(state), board=state.board[:1], aided="prompted" if helped else "independent", level_moves=0)
    return with_question(fresh), (Saying("restarted"),)
