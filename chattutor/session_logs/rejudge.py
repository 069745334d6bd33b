"""Old sessions with today's rules and today's understanding: what would change, turn by turn.

Each turn is looked at by itself: a step is judged from the line it was made on, and the words are understood where
the lesson stood then, so that one change does not hide those after it.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from chattutor.common.exits import LogTrouble
from chattutor.session_logs.reader import Session
from chattutor.session_logs.replay import replay
from chattutor.session_logs.saved import NotSaved, tasks_of, utterance_of
from chattutor.session_logs.schema import TurnLine
from dialogue.acts import NotAnAct, from_json, to_json
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.reading import OWN
from dialogue.algebra.refusals import Refusal
from dialogue.judgement import judge
from dialogue.turn_record import Answered, JudgedStep
from dialogue.tutor.core.state import State
from dialogue.tutor.session import meant


@dataclass(frozen=True, slots=True)
class Change:
    """A turn that would come out otherwise today: of each thing that differs, what it was and what it would be."""

    file: str
    turn: int
    text: str
    equation: str
    changed: dict[str, tuple[Any, Any]]


def changes(session: Session, folder: Path) -> Iterator[Change]:
    """The turns that would be understood or judged otherwise today; ``folder`` has the sittings it goes on from."""
    try:
        tasks = tasks_of(session)
    except NotSaved:
        return
    states = _states(session, folder)
    for turn in session.turns:
        record = turn.record
        if not isinstance(record, Answered) or record.task is None:
            continue
        letter = tasks[min(max(record.task, 0), len(tasks) - 1)].equation.letter
        found = _understood(turn, states.get(turn.number))
        for step in record.steps:
            found |= _judged(step, letter)
        if found:
            text = turn.said.text if turn.said else ""
            yield Change(str(session.path), turn.number, text, record.line, found)


def _states(session: Session, folder: Path) -> dict[int, State]:
    """Where the lesson stood before each turn; nothing where it cannot be replayed."""
    if session.header is None or session.header.settings.paper:
        return {}
    try:
        turns = list(replay(session, folder))
    except LogTrouble:
        return {}
    before = zip(turns[1:], turns, strict=False)
    own = set(map(id, session.turns))  # not those of the sittings before it
    return {each.line.number: earlier.turn.state for each, earlier in before if id(each.line) in own}


def _judged(step: JudgedStep, letter: str) -> dict[str, tuple[Any, Any]]:
    try:
        made = from_json(step.act, letter)
        if not isinstance(made, Move | Rewrite | Line | Verdict):
            raise NotAnAct("it is not a step")
        if step.reason == "not that move":  # a line beside a claim: it was not judged alone
            return {}
        now = judge(read_equation(step.line, letter, OWN), made)
    except NotAnAct as error:
        return {"judgement": ("made", f"not a step: {error}")}
    except Refusal as refusal:
        return {"judgement": ("made", f"refused: {refusal.sentence}")}
    both = {
        "balanced": (step.balanced, now.balanced),
        "closer": (step.closer, now.closer),
        "errors": ([error for error in step.errors if error not in step.signs], list(now.errors)),
        "reason": (step.reason, now.reason),
    }
    return {key: pair for key, pair in both.items() if pair[0] != pair[1]}


def _understood(turn: TurnLine, before: State | None) -> dict[str, tuple[Any, Any]]:
    """What it was taken for then and now; nothing for words that were not kept, or of logs without acts."""
    said = turn.said
    if said is None or said.acts is None or said.withheld or before is None:
        return {}
    try:
        found = meant(before, utterance_of(said))
    except NotSaved:  # a log that was changed by hand
        return {}
    now = [] if found is None else [to_json(act, exact=True) for act in found.acts]
    return {} if now == list(said.acts) else {"acts": (list(said.acts), now)}
