"""The turn for the session log: what was heard, what it meant, how it was judged, with what help."""

from typing import Any

from dialogue.acts import Meaning, Unclear, to_json
from dialogue.tutor.activities.reasons import reason_given
from dialogue.tutor.core.events import Advanced, Event
from dialogue.tutor.core.mistakes import is_pattern
from dialogue.tutor.core.state import State, Utterance
from dialogue.verbalising.sayings import Reply


def record_of(
    before: State, advanced: Advanced, said: Utterance, meaning: Meaning | None, replies: tuple[Reply, ...]
) -> dict[str, Any]:
    """The record, JSON-able. ``event`` is what was said; ``then`` what that set going (a "yes" brings the held step,
    whose meaning is ``held``); the step and its judgement are there whenever one was judged in this turn."""
    after, _, events = advanced
    heard = events[0]
    record: dict[str, Any] = {
        "turn": after.turn,
        "task": before.place,
        "stage": before.task.stage,
        "phase": before.phase,
        "line": before.equation.text(),
        "channel": said.channel,
        "doubt": said.doubt,
        "acts": [] if meaning is None else [to_json(meaning, exact=True)],
        "sure": not isinstance(meaning, Unclear),
        "event": heard.kind,
        "next": after.phase,
        "level": _level(before, after),
        "replies": [reply.key for reply in replies],
    }
    if len(events) > 1:
        record["then"] = [event.kind for event in events[1:]]
        record["held"] = to_json(before.held, exact=True) if before.held is not None else None
    if before.phase == "reason" and before.held is not None and len(events) > 1:
        record["reason given"] = reason_given(before, meaning)
    record |= next((_judged(before, event) for event in events if event.judgement is not None), {})
    if after.board != before.board or after.place != before.place:
        record["board"] = board_json(after)
    if len(after.solved) > len(before.solved):
        record["solved"] = before.task.equation.text()
    record |= _told_apart(before, after)
    if before.game is not None and heard.kind in {"slip found", "slip missed"}:
        game = before.game
        record["game"] = {
            "line": game.lines[game.slip].text(),
            "error": game.error,
            "found": heard.kind == "slip found",
        }
    pattern = is_pattern(after)
    if pattern is not None and after.seen != before.seen:
        record["pattern"] = pattern
    return record


def _judged(before: State, event: Event) -> dict[str, Any]:
    if event.step is None or event.judgement is None:
        return {}
    judged = event.judgement
    return {
        "step": to_json(event.step, exact=True),
        "balanced": judged.balanced,
        "closer": judged.closer,
        "errors": list(judged.errors),
        "reason": judged.reason,
        "first try": before.tries == 0 and before.aided == "independent",
        "corrected": bool(judged.balanced and before.tries and before.aided == "independent"),
    }


def _told_apart(before: State, after: State) -> dict[str, Any]:
    """How likely each error behind the line is, from the first question about it to what is left tied at the end."""
    found: dict[str, Any] = {}
    if after.inquiry is not None and after.inquiry != before.inquiry:
        found["asked"] = after.inquiry.question.kind
        found["hypotheses"] = {error: round(chance, 3) for error, chance in after.inquiry.beliefs.items()}
    if before.inquiry is not None and after.inquiry is None and after.seen != before.seen[:-1] and after.seen:
        found["taken for"] = after.seen[-1][1]
    if after.tied and after.tied != before.tied:
        found["tell apart"] = {error: round(chance, 3) for error, chance in after.tied}
    return found


def _level(before: State, after: State) -> str:
    """With what help this turn was made."""
    grown = after.place == before.place and len(after.board) > len(before.board)
    return after.board[-1].level if grown else before.aided


def board_json(state: State) -> list[dict[str, Any]]:
    """The board, a line of working each."""
    return [
        {"line": line.equation.text(), "by": to_json(line.note, exact=True) if line.note else None, "level": line.level}
        for line in state.board
    ]
