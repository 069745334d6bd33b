"""A session is a fold: ``step(state, said) -> Turn(state, replies, record)``.

Pure: no clock, no chance, no input or output. The same plan and the same sayings give the same turns, so a saved
session replays and resumes.
"""

from dataclasses import replace
from typing import Any

from dialogue.language.understand import understand
from dialogue.meaning import Expecting, Meaning, Say, Unclear, to_json
from dialogue.tutor.advance import advance
from dialogue.tutor.events import Event, decide
from dialogue.tutor.saying import Filling, Saying, begin_task, is_pattern
from dialogue.tutor.state import Phase, Plan, Reply, Said, State, Turn
from dialogue.tutor.wording import word

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
    "confirm": "yesno",
    "offer stop": "yesno",
    "paused": "any",
    "done": "any",
}
VERBATIM = 1  # the first "repeat" repeats word for word, the next rephrases (rule 27)


def begin(plan: Plan) -> Turn:
    """The greeting, the first line and the first question. The plan must hold at least one task."""
    state = begin_task(State(plan), 0)
    said = (Saying("welcome"),)
    replies = _replies(state, state, said, new_line=True)
    state = replace(state, last=replies)
    return Turn(state, replies, {"turn": 0, "event": "begin", "next": state.phase, "board": _board(state)})


def expecting(state: State) -> Expecting:
    """What the question in hand asks for: the only thing, with the letter, that the understanding is told."""
    return EXPECTING[state.phase if state.phase != "paused" else state.back]


def step(state: State, said: Said) -> Turn:
    """One turn. Total: any text, in any state, gives a turn; a finished lesson stays finished."""
    meaning = understand(said.text, expecting(state), state.letter) if said.text.strip() else None
    event = hear(state, said, meaning)
    after, sayings = advance(state, event)
    after = replace(after, turn=state.turn + 1)
    repeated = event.kind == "repeat"
    if not repeated:
        after = replace(after, repeats=0)
    if repeated and after.repeats <= VERBATIM:
        replies = state.last
    else:
        new_line = after.board != state.board or after.place != state.place or repeated
        replies = _replies(state, after, sayings, new_line)
        after = replace(after, last=replies)
    return Turn(after, replies, _record(state, after, said, meaning, event, replies))


def hear(state: State, said: Said, meaning: Meaning | None) -> Event:
    """Doubt comes first: speech in doubt is read back or asked for again, and judged only once confirmed."""
    if meaning is None:
        return Event("silence")
    if said.doubt == "ask again":
        return Event("unheard")
    if said.doubt == "read back" and not isinstance(meaning, Unclear):
        if isinstance(meaning, Say) and state.phase in {"confirm", "offer stop", "reconsider"}:
            return Event("unheard")  # a doubtful yes must not confirm a doubtful move
        return Event("doubtful", meaning)
    return decide(state, meaning)


def _replies(before: State, after: State, sayings: tuple[Saying, ...], new_line: bool) -> tuple[Reply, ...]:
    choice = after.plan.seed + after.turn
    replies = [word(Saying(saying.key, {**named(before), **saying.values}), choice) for saying in sayings]
    if after.phase == "done":
        finished = before.phase != "done" and after.place >= len(after.plan.tasks)
        return (*replies, word(Saying("the end"), choice)) if finished else tuple(replies)
    if after.place != before.place:
        replies.append(word(Saying("next"), choice))
    if new_line:
        replies.append(word(Saying("line", {"line": after.equation}), choice))
    if not replies or not replies[-1].text.rstrip().endswith("?"):
        replies.append(word(question(after), choice + after.repeats))
    return tuple(replies)


def question(state: State) -> Saying:
    """The question of the phase, with everything it may name."""
    values = named(state)
    if state.guess is not None:
        values["guess"] = state.guess
    if state.held is not None:
        values["held"] = state.held
    return Saying(f"ask {state.phase}", values)


def named(state: State) -> dict[str, Filling]:
    """What any wording may name: the unknown, the first line and the line in hand."""
    return {"unknown": state.letter, "first": state.task.equation, "line": state.equation}


def _board(state: State) -> list[dict[str, Any]]:
    return [
        {"line": line.equation.text(), "by": to_json(line.note) if line.note else None, "level": line.level}
        for line in state.board
    ]


def _record(
    before: State, after: State, said: Said, meaning: Meaning | None, event: Event, replies: tuple[Reply, ...]
) -> dict[str, Any]:
    """The turn for the session log: what was heard, what it meant, how it was judged, with what help."""
    record: dict[str, Any] = {
        "turn": after.turn,
        "task": before.place,
        "stage": before.task.stage,
        "phase": before.phase,
        "line": before.equation.text(),
        "channel": said.channel,
        "doubt": said.doubt,
        "meaning": to_json(meaning) if meaning is not None else None,
        "event": event.kind,
        "next": after.phase,
        "level": _level(before, after),
        "replies": [reply.key for reply in replies],
    }
    if event.kind == "distress":
        record["meaning"] = None  # nothing of what was said is kept beyond the turn
    if event.step is not None and event.judgement is not None:
        judged = event.judgement
        record["step"] = to_json(event.step)
        record["balanced"], record["closer"] = judged.balanced, judged.closer
        record["errors"] = list(judged.errors)
        record["reason"] = judged.reason
        record["first try"] = before.tries == 0 and before.aided == "independent"
        record["corrected"] = bool(judged.balanced and before.tries and before.aided == "independent")
    if after.board != before.board or after.place != before.place:
        record["board"] = _board(after)
    if len(after.solved) > len(before.solved):
        record["solved"] = before.task.equation.text()
    pattern = is_pattern(after)
    if pattern is not None and after.seen != before.seen:
        record["pattern"] = pattern
    return record


def _level(before: State, after: State) -> str:
    """With what help this turn was made."""
    grown = after.place == before.place and len(after.board) > len(before.board)
    return after.board[-1].level if grown else before.aided


def is_over(state: State) -> bool:
    """Whether the lesson has ended."""
    return state.phase == "done"
