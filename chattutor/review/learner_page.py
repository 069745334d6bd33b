"""The learner page as data: every turn of one learner, stages over lessons, what comes next. Nobody else is on it."""

from collections.abc import Sequence
from typing import Any

from chattutor.common.steps import judged, step_of
from chattutor.review.class_page import error_name
from chattutor.review.error_patterns import patterns
from chattutor.review.evidence import Evidence, Instance
from chattutor.review.phrasing import on_board
from chattutor.session_logs.learner_history import next_choice
from chattutor.session_logs.lines import TurnLine
from chattutor.session_logs.notes import Notes
from chattutor.session_logs.reader import Session
from chattutor.session_logs.transcript import ENDINGS, learner_words
from dialogue.algebra.equation import read_equation
from dialogue.algebra.refusals import Refusal
from dialogue.learner.choice import Choice
from dialogue.learner.stages import stages

ACCESS = ("plain", "large", "slow", "voice")  # settings of a lesson that say how it was read and answered
KEYS = {"move": "move", "state": "equation", "rewrite": "how"}
ON = {"both": "both sides", "left": "the left side only", "right": "the right side only", "unsaid": "sides not said"}
JUDGEMENTS = {(True, True): "right", (True, False): "still true, no nearer", (False, False): "not balanced"}
NEXT = {  # the reasons of dialogue.learner.choice, for a teacher
    "placing": "a short check of where to begin",
    "going on": "the next practice",
    "a variation": "the same kind, one thing about it changed",
    "an earlier stage": "an earlier kind, so that kinds are mixed",
    "coming back": "done before, and due again",
    "a slip, or lost?": "once more, to tell a slip from being lost",
    "two failures": "two in a row did not work: a worked equation first",
    "ending on a success": "to end on a success",
    "without hints": "one equation without hints",
}
VALUES = {
    "value right": "right", "line kept": "right", "described": "right", "described part": "right so far",
    "term named": "right", "verdict right": "right", "scene right": "right", "value unworked": "right, not worked out",
    "value wrong": "wrong value", "value of other side": "the value of the other side",
    "described wrong": "not these operations", "scene wrong": "wrong", "verdict wrong": "wrong",
}  # fmt: skip


def learner_page(code: str, sessions: Sequence[Session], notes: Notes) -> dict[str, Any]:
    """The page of one learner, from that learner's sessions as the teachers judged them, oldest first."""
    evidence = Evidence().read(sessions)
    learner = evidence.learners[code]
    again = patterns(learner)
    choice = next_choice(sessions)
    return {
        "code": code,
        "turns": learner.turns,
        "spoken_turns": learner.spoken,
        "self_corrections": learner.corrected,
        "patterns": [{"id": error, "name": error_name(error), "seen": _seen(found)} for error, found in again.items()],
        "path": [
            {"when": one.when, "stage": one.stage, "equation": one.equation, "outcome": one.outcome}
            for one in learner.tried.values()
        ],
        "sessions": [_session(session, again) for session in sessions if session.header is not None],
        "next": _next(choice),
        "notes": [{"at": at, "text": text} for at, text in notes.notes],
        "notes_unread": notes.unread,
    }


def _seen(found: list[Instance]) -> list[dict[str, str]]:
    seen = [{"equation": each.equation, "line": each.line, "said": each.said} for each in found]
    return [each for place, each in enumerate(seen) if each not in seen[:place]]


def _next(choice: Choice | None) -> dict[str, Any] | None:
    if choice is None:
        return None
    return {
        "stage": choice.stage,
        "name": stages()[choice.stage - 1].name,
        "purpose": choice.purpose,
        "reason": choice.reason,
        "why": NEXT.get(choice.reason, choice.reason),
        "model": choice.model,
    }


def _session(session: Session, again: dict[str, list[Instance]]) -> dict[str, Any]:
    header = session.header
    why = session.end.why if session.end else ""
    followed = zip(session.turns, (*session.turns, None)[1:], strict=True)
    return {
        "id": header.id if header else "",
        "when": header.created if header else "",
        "access": [name for name in ACCESS if header is not None and header.settings.get(name) is True],
        "end": ENDINGS.get(why, "(broken off)").strip("()"),
        "turns": [_turn(turn, following, again) for turn, following in followed if turn.said is not None],
    }


def _turn(turn: TurnLine, following: TurnLine | None, again: dict[str, list[Instance]]) -> dict[str, Any]:
    record = turn.record
    errors = record.get("errors")
    error = str(errors[0]) if isinstance(errors, list) and errors else ""
    left, right = _sides(record)
    return {
        "turn": turn.number,
        "task": record.get("task") if isinstance(record.get("task"), int) else 0,
        "line": str(record.get("line", "")),
        "letter": _letter(record.get("line")),
        "heard": learner_words(turn.said or {}),
        "confirmed": _confirmed(record, following),
        "channel": "voice" if record.get("channel") == "spoken" else "typed",
        "event": str(record.get("event", "")),
        "step": _step(record.get("step") or record.get("meaning"), _letter(record.get("line"))),
        "left": left,
        "right": right,
        "judgement": _judgement(record),
        "level": str(record.get("level", "")),
        "error": error,
        "error_name": error_name(error) if error else "",
        "kind": "" if not error else "pattern" if error in again else "slip",
        "evidence": sorted({each.equation for each in again.get(error, ())}),
        "self_correction": record.get("corrected") is True,
        "overridden": str(record.get("overridden", "")),
        "replaced": _replaced(record.get("replaced")),
    }


def _letter(line: object) -> str:
    """The unknown of a line; x where the line cannot be read."""
    try:
        return read_equation(str(line)).letter
    except Refusal:
        return "x"


def _confirmed(record: dict[str, Any], following: TurnLine | None) -> str:
    """Whether words heard with doubt were said to be so, when read back."""
    if record.get("event") != "doubtful":
        return ""
    answer = following.record.get("event") if following is not None else ""
    return "confirmed" if answer == "yes" else "not confirmed"


def _judgement(record: dict[str, Any]) -> str:
    if "balanced" not in record:
        return VALUES.get(str(record.get("event")), "")
    if record.get("overridden"):
        return "right" if record["balanced"] else "not balanced"
    key = (record["balanced"] is True, record.get("closer") is True)
    return "not defined" if record["balanced"] is None else JUDGEMENTS.get(key, "not balanced")


def _replaced(record: object) -> str:
    """What was judged before a teacher judged otherwise, with the likeliest error; empty where nobody did."""
    if not isinstance(record, dict):
        return ""
    errors = record.get("errors")
    named = [error_name(str(errors[0]))] if isinstance(errors, list) and errors else []
    return ": ".join([_judgement(record), *named])


def _step(given: object, letter: str) -> str:
    """The move or line in words; empty for whatever is neither."""
    match given:
        case {"act": "move", "operation": str(operation), "operand": str(operand), "sides": str(sides)}:
            return f"{operation} {on_board(operand, letter)}, {ON.get(sides, sides)}"
        case {"act": "state", "equation": str(text)}:
            return text
        case {"act": "value", "value": str(text)}:
            return on_board(text, letter)
        case {"act": "rewrite", "how": str(how)}:
            return how
    return ""


def _sides(record: dict[str, Any]) -> tuple[str, str]:
    """Each side after the step: as stated, or as the move leaves it; or the one side that was asked for."""
    match record:
        case {"phase": str(phase), "event": str(event), "meaning": {"value": str(value)}} if event in VALUES:
            return {"left": (value, ""), "right": ("", value)}.get(phase.removeprefix("check "), ("", ""))
        case {"line": str(line), "step": {"act": str(act), **rest}} if act in KEYS:
            try:
                equation = read_equation(line)
                step = step_of({act: rest if act == "move" else rest.get(KEYS[act])}, equation.letter)
                result = rest.get("equation") if act == "state" else judged(equation, step)["result"]
            except (Refusal, ValueError):
                return "", ""
            left, equals, right = str(result or "").partition("=")
            return (left.strip(), right.strip()) if equals else ("", "")
    return "", ""
