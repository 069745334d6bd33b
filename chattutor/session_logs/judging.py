"""Judging old sessions with today's rules: what would change, turn by turn.

Each turn is judged by itself, from the line it was said on and the step it was taken for, so that one changed
judgement does not hide those after it.
"""

from collections.abc import Iterator
from typing import Any

from chattutor.common.jsonlines import Unusable
from chattutor.common.steps import judged, step_of
from chattutor.session_logs.given import tasks_of
from chattutor.session_logs.reader import Session
from chattutor.session_logs.saved import NotSaved
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import OWN
from dialogue.algebra.refusals import Refusal

COMPARED = ("balanced", "closer", "errors", "reason")
KEYS = {"move": "move", "state": "equation", "rewrite": "how"}


def changes(session: Session) -> Iterator[dict[str, Any]]:
    """The turns whose judgement would be another today: ``{"file", "turn", "text", "equation", "changed"}``."""
    if session.header is None:
        return
    try:
        tasks = tasks_of(session)
    except NotSaved:
        return
    for turn in session.turns:
        match turn.record:
            case {"line": str(line), "task": int(place), "step": {"act": str(act), **rest}} if act in KEYS:
                letter = tasks[min(max(place, 0), len(tasks) - 1)].equation.letter
                given = {act: rest if act == "move" else rest.get(KEYS[act])}
                changed = _changed(line, letter, given, turn.record)
                if changed:
                    text = turn.said.get("text", "") if turn.said else ""
                    yield {
                        "file": str(session.path),
                        "turn": turn.number,
                        "text": text,
                        "equation": line,
                        "changed": changed,
                    }


def _changed(line: str, letter: str, given: dict[str, Any], record: dict[str, Any]) -> dict[str, tuple[Any, Any]]:
    try:
        now = judged(read_equation(line, letter, OWN), step_of(given, letter))
    except Refusal as refusal:
        return {"judgement": ("made", f"refused: {refusal.sentence}")}
    except Unusable as unusable:
        return {"judgement": ("made", f"not a step: {unusable}")}
    return {key: (record.get(key), now[key]) for key in COMPARED if record.get(key) != now[key]}
