"""A session is a fold: ``step(state, said) -> Turn(state, replies, record)``.

Pure: no clock, no chance, no input or output. The same plan and the same sayings give the same turns, so a saved
session replays and resumes; from the acts that were understood (``respond``), whatever understands them later.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from msgspec import structs

from dialogue.acts import (
    Act,
    Comment,
    Control,
    Describe,
    Disclosure,
    Expecting,
    Interpretation,
    Say,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.tree import has_unknown
from dialogue.turn_record import Given, Opened
from dialogue.tutor.activities.diagnosis import plain_account
from dialogue.tutor.activities.games import aside
from dialogue.tutor.activities.precheck import introduced, without_teaching
from dialogue.tutor.activities.reasons import wants_reason
from dialogue.tutor.advance import advance, fold
from dialogue.tutor.assess import decide
from dialogue.tutor.core.course import greeting, wish_answered
from dialogue.tutor.core.events import Advanced, Event, EventKind, Judged, NotClear, Unsure
from dialogue.tutor.core.questions import begin_task
from dialogue.tutor.core.state import ASIDE, ASKING, HOLDING, OPEN, Phase, Plan, State, Task, Turn, Utterance
from dialogue.tutor.in_line import stands_in
from dialogue.tutor.in_the_lesson import TALK, acts_of, in_decimals, in_the_lesson, question_alone, with_asked_beside
from dialogue.tutor.ordering import CONTENT, Ordered, ordered, wished_beside, without_move
from dialogue.tutor.patience import brought, heard_twice, is_stuck, texts
from dialogue.tutor.placing import in_precheck
from dialogue.tutor.record import as_kept, board_records, record_of
from dialogue.tutor.telling import again_with_line, is_new_line, promised, question, replies_of, told, with_asked
from dialogue.tutor.uncertain import (
    YES,
    answered_by,
    answers_read_back,
    doubted,
    leads_on,
    leaving,
    left,
    let_go,
    settled,
)
from dialogue.understanding.certain import certain_acts, has_words, verdict_words
from dialogue.understanding.interpret import DONE_AT_ONCE, interpret
from dialogue.understanding.phrase_spotting import denies
from dialogue.understanding.plain_questions import parted
from dialogue.understanding.spans import value_of
from dialogue.understanding.symbolic import why_refused
from dialogue.verbalising.replies import as_read_back
from dialogue.verbalising.sayings import Reply

EXPECTING: dict[Phase, Expecting] = {
    "operations": "operations",
    "first": "term",
    "move": "move",
    "part": "any",
    "left": "value",
    "right": "value",
    "line": "equation",
    "check left": "value",
    "check right": "value",
    "count": "any",
    "mend": "move",
    "reconsider": "yesno",
    "reason": "operations",
    "account": "operations",
    "spot": "value",
    "compare": "any",
    "confirm": "yesno",
    "offer stop": "yesno",
    "paused": "any",
    "scene tips": "balance",
    "scene level": "balance",
    "between": "any",
    "done": "any",
}
VERBATIM = 1  # the first "repeat" repeats word for word, the next rephrases (rule 27)
COMMENTS: frozenset[EventKind] = frozenset({"unclear", "yes", "no", "value unasked", "term named", "term unknown"})
MOST_RUNGS = 4  # gone down in one turn, where the words of a rung were just heard
ANSWER = (Value, Try, Work, *TALK)
HINT = Event("hint", None)
SENTENCE = re.compile(r"[.!?;]+(?=\s|$)")
YES_OR_NO_ONLY: frozenset[Phase] = frozenset({"confirm", "offer stop", "paused"})
PARTED: frozenset[Phase] = frozenset({*OPEN, "confirm", "compare"})  # where a question is parted from what is beside it
HELD_BACK: frozenset[EventKind] = frozenset({"doubtful", "unheard", "distress"})


def begin(plan: Plan) -> Turn:
    """The greeting, the first line and the first question. The plan must hold at least one task."""
    state = begin_task(State(plan, faded=plan.faded), 0)
    said = (greeting(plan), *introduced(state.task, None, plan.open))
    replies = replies_of(state, state, said, new_line=True)
    state = with_asked(replace(state, last=replies), replies)
    return Turn(state, replies, Opened(state.phase, board_records(state)))


def give(state: State, task: Task | None, why: Given) -> Turn:
    """The next equation of an open plan, or (None) the end of the lesson. ``why`` is what is kept of the choice.

    Raises ValueError where the lesson is not between two equations.
    """
    if state.phase != "between":
        raise ValueError("an equation is in hand")
    if task is None:
        after, sayings = replace(state, phase="done"), wish_answered(state, given=False)
    else:
        plan = replace(state.plan, tasks=(*state.plan.tasks, task))
        after = begin_task(replace(state, plan=plan), state.place)
        sayings = (*wish_answered(state, given=True), *introduced(task, state.task, plan.open))
    after = replace(after, turn=state.turn + 1, repeats=0, wish=None)
    replies = replies_of(state, after, sayings, new_line=True)
    after = with_asked(replace(after, last=replies), replies)
    return Turn(after, replies, structs.replace(why, task=after.place, next=after.phase, board=board_records(after)))


def expecting(state: State) -> Expecting:
    """What the question in hand asks for: with the letter and the tutor's last words, all that the understanding is
    told."""
    phase = state.phase if state.phase != "paused" else state.back
    if phase == "account" and state.inquiry is not None and state.inquiry.question.kind == "line":
        return "equation"
    if phase == "part" and state.part is not None and state.part.operand is None:
        return "value"
    return EXPECTING[phase]


def step(state: State, said: Utterance) -> Turn:
    """One turn. Total: any text, in any state, gives a turn; a finished lesson stays finished."""
    return _respond(state, said, *_understood(state, said))


def respond(state: State, said: Utterance, found: Interpretation | None) -> Turn:
    """One turn, once it is understood; no interpretation is silence."""
    return _respond(state, said, found, answers_read_back(state, found.acts) if found is not None else None)


def meant(state: State, said: Utterance) -> Interpretation | None:
    """What was said is taken for, in this state; None for silence."""
    return _understood(state, said).found


class _Understood(NamedTuple):
    """``goes_on``: the acts to be heard after what is being read back, where they are a yes to it."""

    found: Interpretation | None
    goes_on: Sequence[Act] | None = None


def _understood(state: State, said: Utterance) -> _Understood:
    """What was said, a question that is plain from its words apart from what stands beside it."""
    part = parted(said.text) if not said.meant and state.phase in PARTED else None
    if part is None or part.rest == said.text.strip():
        return _taken(state, said)
    whole = interpret(said.text, expecting(state), state.letter)
    if any(isinstance(act, Disclosure) for act in whole.acts):
        return _Understood(whole)
    found, goes_on = _taken(state, replace(said, text=part.rest))
    return _Understood(with_asked_beside(found, part), None if goes_on is None else (*goes_on, *acts_of(part)))


def _taken(state: State, said: Utterance) -> _Understood:
    """What was not understood may still be an account, a line of a game, or mathematics that is out of scope."""
    if not said.text.strip():
        return _Understood(None)
    tutor = state.last[-1].text if state.last else ""
    verdict = verdict_words().get(said.text.strip(" .!?").lower()) if state.phase == "count" else None
    if verdict is not None:
        return _Understood(Interpretation((verdict,), sure=True))
    found, *others = said.meant or (interpret(said.text, expecting(state), state.letter, tutor),)
    if state.phase == "confirm" and not any(isinstance(act, Say | Control | Disclosure) for act in found.acts):
        found = interpret(said.text, expecting(left(state)), state.letter, tutor)  # no answer to "you mean ...?"
    heard = (other.acts for other in others)
    rivals = tuple(acts for acts in heard if acts != found.acts and not isinstance(acts[0], Unclear))
    found = replace(found, rivals=(*rivals, *found.rivals))
    found = in_the_lesson(state, said.text, found)
    if not found.sure and not has_words(said.text):
        refused = why_refused(said.text, state.letter) if said.channel == "typed" else Unclear()
        found = _number_that_leads_on(state, said.text) or (
            Interpretation((refused,), sure=False) if refused.question else _as_written(state, said.text, found)
        )  # what cannot be taken is never taken for something near it
    elif not found.sure:
        found = question_alone(settled(state, found, _barred(state, said.text, found.acts)))
    goes_on = answers_read_back(state, found.acts)
    if state.phase == "account" and all(isinstance(act, Comment | Unclear) for act in found.acts):
        account = plain_account(said.text, state.letter)
        if account is not None:
            return _Understood(Interpretation((account,), sure=True))
    if len(found.acts) != 1 or not isinstance(found.acts[0], Unclear) or found.acts[0].question:
        return _Understood(found, goes_on)
    act = aside(said.text, state.phase)
    if act is None and said.channel == "typed":
        act = why_refused(said.text, state.letter)
    return _Understood(found if act is None else Interpretation((act,), sure=not isinstance(act, Unclear)))


def _number_that_leads_on(state: State, text: str) -> Interpretation | None:
    """ "15/2", asked for a move: the answer, and not half of a move; None for another."""
    number = certain_acts(text, "any", state.letter) or (Unclear(),)
    read = isinstance(number[0], Value) and value_of(number[0].value) is not None
    return Interpretation(number, sure=True) if read and leads_on(left(state), number) else None


def _as_written(state: State, text: str, found: Interpretation) -> Interpretation:
    """Of signs alone nothing is guessed: what they are to the letter, or nothing."""
    written = certain_acts(text, expecting(left(state)), state.letter) or (Unclear(),)
    return replace(found, acts=found.acts if found.acts == written else written)


def _barred(state: State, text: str, acts: Sequence[Act]) -> list[Act]:
    """What would be done of a turn with a denial in it, but for what a sentence without one says plainly, and for what
    is said instead of what was asked back."""
    if acts[0] == Say("no"):  # the denial is this one
        text = text.strip().partition(" ")[2]
    done = [act for act in acts if isinstance(act, DONE_AT_ONCE)]
    if not done or not denies(text):
        return []
    if state.phase == "confirm" and Say("no") in acts:
        return [act for act in done if act in state.held]
    plain = [said for said in SENTENCE.split(text) if said.strip() and not denies(said)]
    said = [act for one in plain for act in certain_acts(one, expecting(state), state.letter) or ()]
    return [act for act in done if act not in said]


def _respond(state: State, said: Utterance, found: Interpretation | None, goes_on: Sequence[Act] | None) -> Turn:
    acts: Sequence[Act] = found.acts if found is not None else ()
    state = replace(state, decimals=state.decimals or in_decimals(acts))
    if (wish := wished_beside(acts)) is not None:
        state, acts = replace(state, wish=wish), tuple(act for act in acts if act != Control(wish))
    asked = state
    if said.doubt == "none":
        asked, acts = let_go(state, acts)
        asked = _asked(asked, acts)
    plan = ordered(asked, acts)
    sure = found is None or (found.sure and not found.guessed)
    plan = replace(plan, acts=in_precheck(asked, said, plan.acts, found))
    start = without_move(asked) if plan.corrected else asked
    first, rest = hear(start, said, found, plan)
    if goes_on is not None and first.kind not in HELD_BACK:
        start, first, rest = state, YES, goes_on
    turns = fold(start, first, rest)
    leave = leaving(state, turns[-1].state, first, plan.leave, found) if plan.leave is not None else None
    if leave is not None:
        turns.append(advance(turns[-1].state, leave))
    sayings = told(turns, plan.beside, turns[-1].state, sure or state.phase in HOLDING)
    if wish is not None and (promise := promised(turns[-1].state, wish)) is not None:
        sayings = (*sayings, promise)
    events = tuple(event for turn in turns for event in turn.events)
    advanced = without_teaching(state, Advanced(turns[-1].state, sayings, events))
    after, replies = _answered(state, advanced, first)
    helped = _within(state)
    for _ in range(MOST_RUNGS):
        if not is_stuck(state, after, replies, first):
            break
        down = advance(helped, HINT)
        helped = down.state
        advanced = without_teaching(state, Advanced(helped, down.said, (*events, HINT)))
        after, replies = _answered(state, advanced, HINT)
        if not heard_twice(state, replies):
            break
    idle = after.idle + (not brought(state, after, first))
    if first.kind == "unsure" and after.phase == "confirm":
        after = replace(after, asked_back=after.turn, told_back=(*after.told_back, after.held))
    after = replace(after, idle=idle, last=replies or state.last, said=(*state.said[-1:], texts(replies)))
    after = with_asked(after, replies)
    lines = (start.equation, *(turn.state.equation for turn in turns))
    record = record_of(state, Advanced(after, sayings, advanced.events), found, lines)
    return Turn(after, replies, record, as_kept(found, first))


def _asked(state: State, acts: Sequence[Act]) -> State:
    """The lesson as the acts find it: who goes on with a step where yes or no was asked answers the question before."""
    by_ear = state.phase == "confirm" and state.by_ear  # there a number puts right what was heard
    return (
        left(state) if state.phase in YES_OR_NO_ONLY and not by_ear and acts and isinstance(acts[0], CONTENT) else state
    )


def hear(state: State, said: Utterance, meant: Interpretation | None, plan: Ordered) -> tuple[Event, Sequence[Act]]:
    """The first event of a turn, and the acts after it. Doubt comes first: what is in doubt is read back or asked for
    again, and judged only once confirmed."""
    if meant is None:
        return Event("silence", None), ()
    if plan.acts and isinstance(plan.acts[0], Disclosure):
        return Event("distress", plan.acts[0]), ()
    if said.doubt == "ask again":
        return Event("unheard", None), ()
    acts = plan.acts
    if not acts and plan.leave is not None:
        return Unsure("leave", plan.leave, (plan.leave,), by_ear=False), ()
    if not acts:
        return decide(state, Unclear()), ()
    unclear = all(isinstance(act, Unclear) for act in meant.acts)
    held = tuple(act for act in (acts if plan.leave is None else (*acts, plan.leave)) if not isinstance(act, Unclear))
    rivals = tuple(ordered(state, each).acts or each for each in meant.rivals)
    if said.doubt == "read back" and not unclear:
        if isinstance(acts[0], Say) and state.phase in {"confirm", "offer stop", "reconsider"}:
            return Event("unheard", None), ()  # a doubtful yes must not confirm a doubtful move
        if not any(map(as_read_back, held)):
            return Event("unheard", None), ()
        return Unsure("doubtful", acts[0], held, rivals), ()
    if not meant.sure and not unclear and not _is_harmless(state, said, meant.acts):
        if isinstance(acts[0], Say) and state.phase in {"confirm", "offer stop"}:
            return decide(state, Unclear()), ()
        if isinstance(acts[0], Describe) and state.phase == "operations":
            return NotClear("unclear", acts[0], "operations"), ()
        return doubted(state, acts, rivals)
    if state.phase == "reason" and isinstance(acts[0], CONTENT):
        return Event("comment", acts[0]), acts[1:]  # a reason, whatever it is, is never marked
    event = decide(state, acts[0])
    if state.phase in {*ASIDE, "between", "done"} and isinstance(event, Judged):
        return Event("comment", acts[0]), acts[1:]  # beside the equation: no step of it
    if event.kind in COMMENTS and not _has_question(event) and state.phase == "move" and _asked_openly(state):
        return Event("comment", acts[0]), acts[1:]
    if event.kind == "answer" and isinstance(acts[0], Value) and state.phase == "move" and _asked_openly(state):
        read = stands_in(acts[0].value, state.equation)
        if read or state.last[-1].key == "error":  # a part of the line, or what was asked about an error: no answer
            return Event("comment", acts[0]), acts[1:]
    if len(meant.acts) == 1 and wants_reason(state, event):
        return Unsure("to explain", acts[0], (acts[0],)), ()
    return event, acts[1:]


def _is_harmless(state: State, said: Utterance, acts: Sequence[Act]) -> bool:
    """Whether acts may be acted on though they are not sure: talk, or a typed number that is only put in to be
    tested."""
    if all(isinstance(act, TALK) or act == Say("stuck") for act in acts) or answered_by(state, acts) is not None:
        return True
    tested = said.channel == "typed" and state.phase in ASKING and all(isinstance(act, ANSWER) for act in acts)
    numbers = [act for act in acts if isinstance(act, Value | Try)]
    return tested and len(numbers) == 1 and not has_unknown(numbers[0].value)


def _has_question(event: Event) -> bool:
    return bool(getattr(event, "question", ""))


def _asked_openly(state: State) -> bool:
    """Whether the last question was one to think about ("Which terms hold x?"), which no phase waits for."""
    return bool(state.last) and state.last[-1].text.endswith("?") and not state.last[-1].key.startswith("ask ")


def _answered(state: State, advanced: Advanced, first: Event) -> tuple[State, tuple[Reply, ...]]:
    """The state after the turn, and the replies."""
    after = advanced.state
    repeated = first.kind == "repeat"
    after = replace(after, turn=state.turn + 1, repeats=after.repeats if repeated else 0)
    if first.kind == "silence" and state.phase in {"paused", "done"}:
        return after, ()  # somebody thinking is left in peace
    if repeated and after.repeats <= VERBATIM:
        return after, again_with_line(after, state.last)
    return after, replies_of(state, after, advanced.said, is_new_line(state, after, first))


def _within(state: State) -> State:
    """The lesson in the question that is open: what is held, paused or played is left."""
    if state.game is not None:
        return replace(state, phase=state.game.back, game=None)
    return left(state)


def is_over(state: State) -> bool:
    """Whether the lesson has ended."""
    return state.phase == "done"


__all__ = ["begin", "expecting", "give", "hear", "is_over", "question", "respond", "step"]
