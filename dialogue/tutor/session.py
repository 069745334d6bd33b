"""A session is a fold: ``step(state, said) -> Turn(state, replies, record)``.

Pure: no clock, no chance, no input or output. The same plan and the same sayings give the same turns, so a saved
session replays and resumes.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from dialogue.acts import Expecting, Meaning, Say, Unclear, to_json
from dialogue.algebra.tree import has_unknown
from dialogue.tutor.activities.balance_scene import LOOSE
from dialogue.tutor.activities.diagnosis import plain_account
from dialogue.tutor.activities.precheck import introduced, without_teaching
from dialogue.tutor.activities.reasons import wants_reason
from dialogue.tutor.activities.slip_game import aside
from dialogue.tutor.advance import advance
from dialogue.tutor.assess import decide
from dialogue.tutor.core.events import Advanced, Event, EventKind
from dialogue.tutor.core.questions import begin_task
from dialogue.tutor.core.state import Phase, Plan, State, Task, Turn, Utterance
from dialogue.tutor.core.table import HOLDING, OPEN, SCENE
from dialogue.tutor.record import board_json, record_of
from dialogue.understanding.symbolic import why_refused
from dialogue.understanding.understand import taken_back, understand
from dialogue.verbalising.replies import digits, word
from dialogue.verbalising.sayings import Filling, Reply, Saying

EXPECTING: dict[Phase, Expecting] = {
    "operations": "operations",
    "first": "term",
    "move": "move",
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

WRONG: frozenset[EventKind] = frozenset(
    {"value wrong", "described wrong", "term unknown", "left wrong", "right wrong", "both wrong"}
)


def begin(plan: Plan) -> Turn:
    """The greeting, the first line and the first question. The plan must hold at least one task."""
    state = begin_task(State(plan, faded=plan.faded), 0)
    said = (Saying("welcome"), *introduced(state.task, None, plan.open))
    replies = _replies(state, state, said, new_line=True)
    state = replace(state, last=replies)
    return Turn(state, replies, {"turn": 0, "event": "begin", "next": state.phase, "board": board_json(state)})


def give(state: State, task: Task | None, why: Mapping[str, Any]) -> Turn:
    """The next equation of an open plan, or (None) the end of the lesson. ``why`` goes into the record as it is.

    Raises ValueError where the lesson is not between two equations.
    """
    if state.phase != "between":
        raise ValueError("an equation is in hand")
    if task is None:
        after, sayings = replace(state, phase="done"), tuple[Saying, ...]()
    else:
        plan = replace(state.plan, tasks=(*state.plan.tasks, task))
        after, sayings = begin_task(replace(state, plan=plan), state.place), introduced(task, state.task, plan.open)
    after = replace(after, turn=state.turn + 1, repeats=0)
    replies = _replies(state, after, sayings, new_line=True)
    after = replace(after, last=replies)
    given = {"turn": after.turn, "event": "given", "task": after.place, "stage": task.stage if task else 0}
    return Turn(after, replies, {**why, **given, "next": after.phase, "board": board_json(after)})


def expecting(state: State) -> Expecting:
    """What the question in hand asks for: the only thing, with the letter, that the understanding is told."""
    phase = state.phase if state.phase != "paused" else state.back
    if phase == "account" and state.inquiry is not None and state.inquiry.question.kind == "line":
        return "equation"
    return EXPECTING[phase]


def step(state: State, said: Utterance) -> Turn:
    """One turn. Total: any text, in any state, gives a turn; a finished lesson stays finished."""
    return respond(state, said, meant(state, said))


def meant(state: State, said: Utterance) -> Meaning | None:
    """What was said is taken for, in this state; None for silence."""
    if not said.text.strip():
        return None
    meaning = understand(said.text, expecting(state), state.letter)
    if state.phase == "reason" and isinstance(meaning, Unclear):  # in nobody's words a reason: perhaps the next step
        meaning = understand(said.text, "any", state.letter)
    if state.phase == "account" and isinstance(meaning, Unclear) and meaning.question != "distress":
        meaning = plain_account(said.text, state.letter) or meaning
    if isinstance(meaning, Unclear) and not meaning.question:
        meaning = aside(said.text, state.phase) or meaning
    if meaning == Unclear() and said.channel == "typed":
        meaning = why_refused(said.text, state.letter)
    return meaning


def respond(state: State, said: Utterance, meaning: Meaning | None) -> Turn:
    """One turn, once it is understood; no meaning is silence."""
    event = hear(state, said, meaning)
    after, sayings, events = without_teaching(state, advance(state, event))
    repeated = event.kind == "repeat"
    after = replace(after, turn=state.turn + 1, repeats=after.repeats if repeated else 0)
    if event.kind == "silence" and state.phase in {"paused", "done"}:
        replies: tuple[Reply, ...] = ()  # somebody thinking is left in peace
    elif repeated and after.repeats <= VERBATIM:
        replies = state.last
    else:
        was = state.back if state.phase in {*HOLDING, "paused"} else state.phase
        left_scene = was in SCENE and after.phase in OPEN
        new_line = after.board != state.board or after.place != state.place or repeated or left_scene
        new_line |= state.phase == "spot" and after.phase != "spot"
        replies = _replies(state, after, sayings, new_line)
    after = replace(after, last=replies or state.last)
    record = record_of(state, Advanced(after, sayings, events), said, meaning, replies)
    first = (
        None
        if event.kind in {"doubtful", "unheard"}
        else taken_back(said.text, meaning, expecting(state), state.letter)
    )
    if first is not None:
        record["taken back"] = to_json(first, exact=True)
        record["corrected"] = record.get("balanced", event.kind not in WRONG) is True
    return Turn(after, replies, record)


def hear(state: State, said: Utterance, meaning: Meaning | None) -> Event:
    """Doubt comes first: speech in doubt is read back or asked for again, and judged only once confirmed."""
    if meaning is None:
        return Event("silence")
    if meaning == Unclear("distress"):
        return Event("distress")
    if said.doubt == "ask again":
        return Event("unheard")
    if said.doubt == "read back" and not isinstance(meaning, Unclear):
        if isinstance(meaning, Say) and state.phase in {"confirm", "offer stop", "reconsider"}:
            return Event("unheard")  # a doubtful yes must not confirm a doubtful move
        return Event("doubtful", meaning)
    event = decide(state, meaning)
    if event.kind in COMMENTS and not event.question and state.phase == "move" and _asked_openly(state):
        return Event("comment", meaning)
    return Event("to explain", meaning) if wants_reason(state, event) else event


def _asked_openly(state: State) -> bool:
    """Whether the last question was one to think about ("Which terms hold x?"), which no phase waits for."""
    return bool(state.last) and state.last[-1].text.endswith("?") and not state.last[-1].key.startswith("ask ")


def _replies(before: State, after: State, sayings: tuple[Saying, ...], new_line: bool) -> tuple[Reply, ...]:
    choice, classroom = after.plan.seed + after.turn, after.plan.classroom
    worded = [word(Saying(saying.key, {**named(before), **saying.values}), choice, classroom) for saying in sayings]
    replies = list(dict.fromkeys(worded))
    if after.phase == "done":
        finished = before.phase != "done" and after.place >= len(after.plan.tasks)
        return (*replies, word(Saying("the end"), choice, classroom)) if finished else tuple(replies)
    if after.phase == "between":
        return tuple(replies)
    if after.place != before.place and not after.plan.open:
        replies.append(word(Saying("next"), choice, classroom))
    if new_line and after.phase in OPEN:
        replies.append(word(Saying("line", {"line": after.equation}), choice, classroom))
    if not replies or not replies[-1].text.endswith("?"):
        asked = word(question(after), choice, classroom)
        heard = before.last[-1].text if before.last and after.repeats else ""
        replies.append(word(question(after), choice + 1, classroom) if asked.text == heard else asked)
    return tuple(replies)


def question(state: State) -> Saying:
    """The question of the phase, with everything it may name."""
    values = {**named(state), "loose": LOOSE}
    if state.guess is not None:
        values["guess"] = state.guess
    if state.held is not None:
        values["held"] = state.held
        values["digits"] = digits(state.held)
    if state.phase == "account" and state.inquiry is not None:
        return state.inquiry.saying(values)
    only_right = state.phase == "check right" and not has_unknown(state.task.equation.left)
    return Saying("ask check only right" if only_right else f"ask {state.phase}", values)


def named(state: State) -> dict[str, Filling]:
    """What any wording may name: the unknown, the first line and the line in hand."""
    return {"unknown": state.letter, "first": state.task.equation, "line": state.equation}


def is_over(state: State) -> bool:
    """Whether the lesson has ended."""
    return state.phase == "done"
