"""The turn for the session log: what was heard, what it meant, how it was judged, with what help."""

from collections.abc import Sequence
from typing import Any

from dialogue.acts import Act, Disclosure, Interpretation, to_json
from dialogue.algebra.equation import Equation
from dialogue.tutor.activities.reasons import reason_given
from dialogue.tutor.core.events import Advanced, Claimed, Counted, Event, EventKind, Moved, Rewritten, Stated
from dialogue.tutor.core.mistakes import is_pattern
from dialogue.tutor.core.state import State, Utterance
from dialogue.verbalising.sayings import Reply

WRONG: frozenset[EventKind] = frozenset(
    {"value wrong", "described wrong", "term unknown", "left wrong", "right wrong", "both wrong", "values wrong"}
)
UNHEARD: frozenset[EventKind] = frozenset({"doubtful", "unsure", "unheard"})
STEPS = (Moved, Rewritten, Stated, Claimed, Counted)


def record_of(
    before: State,
    advanced: Advanced,
    said: Utterance,
    meant: Interpretation | None,
    replies: tuple[Reply, ...],
    lines: Sequence[Equation],
) -> dict[str, Any]:
    """The record, JSON-able. ``acts`` is what was understood, and ``sure`` whether for certain; ``event`` what the
    first of them came to, ``then`` what came of the others, or of what a "yes" set going (``held``); ``steps`` every
    step that was judged in this turn, in order. The step and judgement of the turn as a whole are there too: those of
    the first step that failed, else of the last."""
    after, _, events = advanced
    heard = events[0]
    acts = _acts(heard, meant)
    record: dict[str, Any] = {
        "turn": after.turn,
        "task": before.place,
        "stage": before.task.stage,
        "phase": before.phase,
        "line": before.equation.text(),
        "channel": said.channel,
        "doubt": said.doubt,
        "acts": [to_json(act, exact=True) for act in acts],
        "sure": meant.sure if meant is not None else True,
        "rivals": [[to_json(act, exact=True) for act in each] for each in meant.rivals] if meant is not None else [],
        "event": heard.kind,
        "next": after.phase,
        "level": _level(before, after),
        "replies": [reply.key for reply in replies],
    }
    if len(events) > 1:
        record["then"] = [event.kind for event in events[1:]]
    if before.held and before.phase in {"confirm", "reason"} and len(events) > 1:
        record["held"] = to_json(before.held[0], exact=True)
    if before.phase == "reason" and before.held and len(events) > 1:
        record["reason given"] = reason_given(before, heard.act)
    record |= _judged(before, events, lines)
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
    if meant is not None and meant.taken_back is not None and heard.kind not in UNHEARD:
        record["taken back"] = to_json(meant.taken_back, exact=True)
        record["corrected"] = record.get("balanced", heard.kind not in WRONG) is True
    return record


def _acts(heard: Event, meant: Interpretation | None) -> tuple[Act, ...]:
    """What was understood; of what an adult should hear only that it was said."""
    if meant is None:
        return ()
    return (Disclosure(),) if heard.kind == "distress" else meant.acts


def _judged(before: State, events: Sequence[Event], lines: Sequence[Equation]) -> dict[str, Any]:
    alone = before.aided == "independent"
    each = [
        {
            "act": to_json(event.step, exact=True),
            "line": line.text(),
            "balanced": event.judgement.balanced,
            "closer": event.judgement.closer,
            "errors": [*event.judgement.errors, *(sign for sign in event.judgement.signs if sign in before.signs)],
            "reason": event.judgement.reason,
            "signs": list(event.judgement.signs),
            "first_try": before.tries == 0 and alone,
        }
        for event, line in zip(events, lines, strict=False)
        if isinstance(event, STEPS)
    ]
    if not each:
        return {}
    whole = next((one for one in each if not one["balanced"]), each[-1])
    kept = {key: whole[key] for key in ("balanced", "closer", "errors", "reason")}
    corrected = bool(whole["balanced"] and before.tries and alone)
    return {"step": whole["act"], **kept, "first try": whole["first_try"], "corrected": corrected, "steps": each}


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
