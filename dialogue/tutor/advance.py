"""A turn through the state table: its acts in order, each judged where the one before it has led.

An effect may leave acts to be heard at once (a "yes" brings what it confirms) and acts that count only where they are
right (a step said in the same breath as a reason). What follows a step that breaks the balance is not taken: it stands
on that step.
"""

from collections.abc import Sequence
from dataclasses import replace

from dialogue.acts import Act, Ask, Describe, PartMove, Term, Try, Value, Work
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.solver import next_step
from dialogue.algebra.tree import has_unknown
from dialogue.tutor.activities.reasons import CREDITED
from dialogue.tutor.assess import decide
from dialogue.tutor.core.events import Advanced, Claimed, Event, EventKind, Moved, Stated
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import State
from dialogue.tutor.moves.learner_questions import answer_to, why_done
from dialogue.tutor.table import row_for

NOT_HEARD = frozenset(
    {"unclear", "unheard", "doubtful", "unsure", "narrow", "no", "silence"}
)  # these leave the doubts counted
BREAKS: frozenset[EventKind] = frozenset(
    {
        "line broken", "claim false", "left wrong", "right wrong", "both wrong", "move one side", "move by zero",
        "move by unknown", "move divides by zero", "move names nothing", "value wrong", "values wrong", "verdict wrong",
        "sum wrong",
    }
)  # fmt: skip
MOVED: frozenset[EventKind] = frozenset({"move closer", "move level", "move further", "move other side"})
STEPS = (Move, PartMove, Rewrite, Line, Verdict, Value, Term, Describe)
QUESTIONS = frozenset({"why", "meaning", "check", "progress"})
ANSWERED: frozenset[EventKind] = frozenset({"why", "meaning", "progress"})  # "is it right?" is answered by the check
MOST_EVENTS = 24  # in one turn: more than any turn of as many acts as can be read has needed


def advance(state: State, event: Event) -> Advanced:
    """One event through the table. Total: every phase and event has an answer."""
    after, said = row_for(state.phase, event.kind).effect(state, event)
    if event.kind != "silence":
        after = replace(after, silences=0)
    if event.kind not in NOT_HEARD:
        after = replace(after, doubts=0)
    if isinstance(event, Moved | Stated | Claimed):
        after = replace(after, moved=event.kind in MOVED)
    return Advanced(after, said, (event,))


def _is_over(begun: State, now: State) -> bool:
    """Whether the equation that a turn began with is over, so that what follows is of it and of no other."""
    return now.place != begun.place or len(now.solved) > len(begun.solved)


def _is_answer_again(state: State, act: Act) -> bool:
    """Whether a number is the answer just given in this turn, said once more, and no value of a side."""
    if state.guess is None or not isinstance(act, Value) or has_unknown(act.value):
        return False
    due = due_value(state)
    number = linear(act.value).constant
    return number == state.guess and (due is None or linear(due).constant != number)


def _asked_before(turns: Sequence[Advanced], start: State, act: Act) -> State | None:
    """The lesson in which a question was asked, where the turn has gone on to another equation; None elsewhere."""
    place = turns[-1].state.place
    if place == start.place or not isinstance(act, Ask) or act.what not in QUESTIONS:
        return None
    return next(turn.state for turn in (Advanced(start, (), ()), *turns)[::-1] if turn.state.place != place)


def _only_said(now: State, asked: State, act: Act) -> Advanced:
    """The answer to a question about the equation that is over; the lesson stays where it is."""
    event = decide(asked, act)
    answer = answer_to(asked, event)
    if act == Ask("why"):  # the check is over: what was done is asked about, or what would have been
        step = next_step(asked.equation) if len(asked.board) == 1 else None
        answer = why_done(replace(asked, pending=step) if isinstance(step, Move) else asked)
    if answer is None and event.kind in ANSWERED:
        return Advanced(now, advance(asked, event).said, (event,))
    return Advanced(now, () if answer is None else (answer,), (event,))


def fold(state: State, first: Event, rest: Sequence[Act]) -> list[Advanced]:
    """The event and then the acts of a turn, one after the other, until one breaks the balance or the phase that is
    reached no longer listens; what each came to."""
    turns = [advance(replace(state, moved=False, then=(), if_right=()), first)]
    waiting, if_right = [*turns[0].state.then, *rest], turns[0].state.if_right
    if state.phase == "reason":  # what is said there is the reason, which is never marked
        waiting, if_right = list(turns[0].state.then), (*if_right, *rest)
    while (waiting or if_right) and len(turns) < MOST_EVENTS:
        now = replace(turns[-1].state, then=(), if_right=())
        broken = any(turn.events[0].kind in BREAKS for turn in turns)
        if waiting:
            act = waiting.pop(0)
            if isinstance(act, STEPS) and (broken or _is_over(state, now)):
                continue
            if isinstance(act, Try | Work) and _is_over(state, now):
                continue
            if now.guess != state.guess and _is_answer_again(now, act):
                continue
            asked = _asked_before(turns, state, act)
            turns.append(advance(now, decide(now, act)) if asked is None else _only_said(now, asked, act))
        else:
            act, if_right = if_right[0], if_right[1:]
            event = decide(now, act)
            if event.kind in CREDITED and not broken and now.place == state.place:
                turns.append(advance(now, event))
        waiting = [*turns[-1].state.then, *waiting] if turns[-1].state.then else waiting
    turns[-1] = turns[-1]._replace(state=replace(turns[-1].state, then=(), if_right=(), moved=False))
    return turns
