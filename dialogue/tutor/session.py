"""A session is a fold: ``step(state, said) -> Turn(state, replies, record)``.

Pure: no clock, no chance, no input or output. The same plan and the same sayings give the same turns, so a saved
session replays and resumes; from the acts that were understood (``respond``), whatever understands them later.
"""

import re
from collections.abc import Sequence
from dataclasses import replace

from msgspec import structs

from dialogue.acts import (
    CONTENT,
    Act,
    Ask,
    Comment,
    Describe,
    Disclosure,
    Interpretation,
    Say,
    Term,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.linear import linear
from dialogue.algebra.tree import has_unknown
from dialogue.turn_record import Given, Opened
from dialogue.tutor.activities.games import start_game
from dialogue.tutor.activities.precheck import in_precheck, introduced, without_teaching
from dialogue.tutor.activities.reasons import tells_why, wants_reason
from dialogue.tutor.advance import advance, fold
from dialogue.tutor.assess import decide
from dialogue.tutor.core.course import greeting, wish_given, wish_missed
from dialogue.tutor.core.events import Advanced, Claimed, Event, EventKind, Judged, NotClear, Unsure
from dialogue.tutor.core.line_in_hand import stands_in
from dialogue.tutor.core.questions import begin_task, is_another_kind
from dialogue.tutor.core.state import ASIDE, ASKING, CHECKING, HOLDING, OPEN, Phase, Plan, State, Task, Turn, Utterance
from dialogue.tutor.interpret_in_lesson import expecting, interpret_in_lesson
from dialogue.tutor.moves.checking import NO_CHECKS
from dialogue.tutor.moves.describing import takes_for_a_sum
from dialogue.tutor.ordering import (
    Ordered,
    is_wish,
    ordered,
    wished_beside,
    wished_instead,
    without_move,
    without_wish_in_hand,
)
from dialogue.tutor.other_side import other_side
from dialogue.tutor.record import as_kept, board_records, record_of
from dialogue.tutor.reply_plan import (
    again_with_line,
    is_new_line,
    is_to_the_person,
    promised,
    question,
    replies_of,
    told,
    with_asked,
)
from dialogue.tutor.resolve_in_lesson import TALK, in_decimals, written_as
from dialogue.tutor.stuck import brought, heard_twice, is_stuck, texts
from dialogue.tutor.taken_up import AsSaid, numbers_in_marks, with_marks
from dialogue.tutor.uncertain import (
    YES,
    answered_by,
    answers_read_back,
    doubted,
    ends_with_answer,
    leaving,
    left,
    let_go,
)
from dialogue.understanding.question_topics import UNWANTED
from dialogue.verbalising.replies import as_read_back, phrases
from dialogue.verbalising.sayings import Reply

NUMBERS = re.compile(r"\d+")
VERBATIM = 1  # the first "repeat" repeats word for word, the next rephrases (rule 27)
COMMENTS: frozenset[EventKind] = frozenset({"unclear", "yes", "no", "value unasked", "term named", "term unknown"})
MOST_RUNGS = 4  # gone down in one turn, where the words of a rung were just heard
ANSWER = (Value, Try, Work, *TALK)
HINT = Event("hint", None)
YES_OR_NO_ONLY: frozenset[Phase] = frozenset({"confirm", "offer stop", "paused"})
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
        after, sayings = replace(state, phase="done", place=len(state.plan.tasks)), wish_missed(state)
        if state.place < len(state.plan.tasks):  # the set goes on
            after = begin_task(replace(state, wish=None), state.place)
    else:
        over, plan = state.task, replace(state.plan, tasks=(*state.plan.tasks, task))
        left_at = state.place if plan.beyond == "extra" and state.place < len(state.plan.tasks) else None
        state = replace(state, plan=plan, back_to=left_at)
        swift = state.swift if state.wish is None and not is_another_kind(state, task) else 0
        after = begin_task(replace(state, swift=swift), len(plan.tasks) - 1)
        named = wish_given(state, task)
        sayings = (*named, *(() if named else introduced(task, over, True)))
        if state.game_next and after.phase in OPEN:
            after, sayings = start_game(after, Event("game", Ask("game")))
    after = replace(after, turn=state.turn + 1, began=state.turn + 1, repeats=0, wish=None, game_next=False)
    replies = replies_of(state, after, sayings, new_line=True)
    after = with_asked(replace(after, last=replies), replies)
    return Turn(after, replies, structs.replace(why, task=after.place, next=after.phase, board=board_records(after)))


def step(state: State, said: Utterance) -> Turn:
    """One turn. Total: any text, in any state, gives a turn; a finished lesson stays finished."""
    found, goes_on = interpret_in_lesson(state, said)
    return _respond(state, said, with_marks(state, said.text, found), goes_on)


def respond(state: State, said: Utterance, found: Interpretation | None) -> Turn:
    """One turn, once it is understood; no interpretation is silence."""
    return _respond(state, said, found, answers_read_back(state, found.acts) if found is not None else None)


def meant(state: State, said: Utterance) -> Interpretation | None:
    """What was said is taken for, in this state; None for silence."""
    return with_marks(state, said.text, interpret_in_lesson(state, said).found)


def _respond(state: State, said: Utterance, found: Interpretation | None, goes_on: Sequence[Act] | None) -> Turn:
    acts: Sequence[Act] = found.acts if found is not None else ()
    marks = frozenset(found.marks if found is not None else ())
    decimals, mixed = written_as(said.text)
    state = replace(state, decimals=state.decimals or decimals or in_decimals(acts), mixed=state.mixed or mixed)
    acts, instead = without_wish_in_hand(state, acts), None
    if (wish := wished_beside(acts)) is not None:
        instead = wished_instead(state, acts)
        state, acts = replace(state, wish=wish), tuple(act for act in acts if not is_wish(act))
    bored = wish is None and _is_bored(acts, state)
    state = _told_of(replace(state, wish="next") if bored else state, acts, marks)
    state = replace(state, other_side=other_side(state, found))
    if any(isinstance(act, Ask) and act.about in {"protest", UNWANTED} for act in acts):
        state = state.counted(NO_CHECKS)
    asked = state
    if said.doubt == "none":
        asked, acts = let_go(state, acts)
        asked = _asked(asked, acts)
    plan = ordered(asked, acts)
    sure = found is None or (found.sure and not found.guessed)
    plan = replace(plan, acts=in_precheck(asked, said, plan.acts, found, lambda act: _is_wrong(decide(asked, act))))
    start = without_move(asked) if plan.corrected else asked
    first, rest = hear(start, said, found, plan)
    if goes_on is not None and first.kind not in HELD_BACK:
        start, first, rest = state, YES, goes_on
    turns = fold(start, first, rest)
    if instead is not None and turns[-1].state.place == state.place and turns[-1].state.phase in OPEN:
        turns.append(advance(turns[-1].state, decide(turns[-1].state, instead)))
        wish = None
    else:
        instead = None
    if plan.leave is not None and ends_with_answer(state, turns[-1].state, plan.leave):
        turns.append(advance(turns[-1].state, decide(turns[-1].state, Ask("check", UNWANTED))))
    leave = None
    if plan.leave is not None:
        has_to_go = plan.leave.what == "stop" and "leaving" in marks
        leave = leaving(state, turns[-1].state, first, replace(plan.leave, now=has_to_go), found)
    if leave is not None:
        turns.append(advance(turns[-1].state, leave))
    heard = turns if instead is None else turns[-1:]
    as_said = AsSaid(plan.beside, marks)
    sayings = told(state, heard, as_said, turns[-1].state, sure or state.phase in HOLDING)
    if bored and len(turns[-1].state.solo) > len(state.solo):
        wish = "harder"
        sayings = tuple(saying for saying in sayings if saying.key != "answer kinds")
    elif bored:
        turns[-1] = turns[-1]._replace(state=replace(turns[-1].state, wish=None))
    if wish is not None or any(isinstance(act, Ask) for act in acts):  # not what was asked for
        sayings = tuple(saying for saying in sayings if saying.key != "offer game")
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
        kept = () if heard_twice(state, replies) else tuple(one for one in sayings if is_to_the_person(one))
        advanced = without_teaching(state, Advanced(helped, (*kept, *down.said), (*events, HINT)))
        after, replies = _answered(state, advanced, HINT)
        if not heard_twice(state, replies):
            break
    idle = after.idle + (not brought(state, after, first))
    if first.kind == "unsure" and after.phase == "confirm":
        after = replace(after, asked_back=after.turn, told_back=(*after.told_back, after.held))
    after = replace(
        after,
        numbers=numbers_in_marks(marks),
        idle=idle,
        last=replies or state.last,
        said=(*state.said[-1:], texts(replies)),
    )
    after = with_asked(after, replies)
    lines = (start.equation, *(turn.state.equation for turn in turns))
    record = record_of(state, Advanced(after, sayings, advanced.events), found, lines)
    return Turn(after, replies, record, as_kept(found, first))


def _is_wrong(event: Event) -> bool:
    return isinstance(event, Judged) and event.judgement.balanced is False


def _asked(state: State, acts: Sequence[Act]) -> State:
    """The lesson as the acts find it: who goes on with a step where yes or no was asked answers the question before."""
    by_ear = state.phase == "confirm" and state.by_ear  # there a number puts right what was heard
    return (
        left(state) if state.phase in YES_OR_NO_ONLY and not by_ear and acts and isinstance(acts[0], CONTENT) else state
    )


def _told_of(state: State, acts: Sequence[Act], marks: frozenset[str]) -> State:
    """The lesson with what is told of a person kept in mind, for whoever says later that it was passed over."""
    moods = [act.about for act in acts if isinstance(act, Comment) and act.kind == "feel"]
    told = next((mood for mood in moods if f"told {mood}" in phrases()), None)
    asked, content = Ask("check", "open") in acts, any(isinstance(act, CONTENT) for act in acts)
    if asked or Comment("aside") in acts:
        state = replace(state, aside_at=state.turn + 1, aside_asked=asked or ("asks" in marks and not content))
    return state if told is None else replace(state, felt=(told, state.turn))


def _is_bored(acts: Sequence[Act], state: State) -> bool:
    """Whether it is too easy or too much of one kind for somebody, where the next equation can be another."""
    bored = any(isinstance(act, Comment) and act.about == "bored" for act in acts) or Ask("check", "kinds") in acts
    return bored and state.wish is None and (state.plan.open or state.plan.beyond == "on")


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
        gentle = isinstance(acts[0], Describe) and (
            takes_for_a_sum(state, acts[0]) or decide(state, acts[0]).kind in {"described unordered", "described part"}
        )
        if isinstance(acts[0], Describe) and state.phase == "operations" and not gentle:
            return NotClear("unclear", acts[0], "operations"), ()
        return doubted(state, acts, rivals)
    if state.phase == "reason" and isinstance(acts[0], CONTENT):
        return Event("comment", acts[0]), acts[1:]  # a reason, whatever it is, is never marked
    event = decide(state, acts[0])
    if state.phase in {*ASIDE, "between", "done"} and isinstance(event, Judged):
        return Event("comment", acts[0]), acts[1:]  # beside the equation: no step of it
    if event.kind in COMMENTS and not _has_question(event) and state.phase == "move" and _asked_openly(state):
        return Event("comment", acts[0]), acts[1:]
    if meant.guessed and event.kind == "answer" and isinstance(acts[0], Value) and _is_of_the_line(state, acts[0]):
        event = decide(state, Term(acts[0].value))
    if meant.guessed and isinstance(event, Claimed) and _is_hardly_one(state, said.text, event):
        return Event("comment", Comment("object" if state.phase in CHECKING else "notice")), acts[1:]
    if event.kind == "answer" and isinstance(acts[0], Value) and state.phase == "move" and _asked_openly(state):
        read = stands_in(acts[0].value, state.equation)
        if read or state.last[-1].key == "error":  # a part of the line, or what was asked about an error: no answer
            return Event("comment", acts[0]), acts[1:]
    if len(meant.acts) == 1 and not tells_why(said.text) and wants_reason(state, event):
        return Unsure("to explain", acts[0], (acts[0],)), ()
    return event, acts[1:]


def _is_hardly_one(state: State, text: str, event: Claimed) -> bool:
    """Whether a wrong answer was only made out among other numbers, or while another is put in: rather one of what was
    told of than what somebody holds to be the answer."""
    return event.judgement.balanced is False and (state.phase in CHECKING or len(set(NUMBERS.findall(text))) > 1)


def _is_of_the_line(state: State, said: Value) -> bool:
    """Whether a number is one of the line in hand, and not its answer too: where a move is asked for, what it is of."""
    number = None if has_unknown(said.value) else linear(said.value).constant
    return state.phase == "move" and stands_in(said.value, state.equation) and number != state.equation.solution().value


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
    began = state.turn + 1 if after.place != state.place else state.began
    after = replace(after, turn=state.turn + 1, began=began, repeats=after.repeats if repeated else 0)
    if first.kind == "silence" and state.phase in {"paused", "done"}:
        return after, ()  # somebody thinking is left in peace
    if repeated and after.repeats <= VERBATIM and not any(map(is_to_the_person, advanced.said)):
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
