"""The learner page as data: every turn of one learner, stages over lessons, what comes next. Nobody else is on it."""

from collections.abc import Sequence
from typing import Any

from chattutor.review.error_patterns import Idea, ideas
from chattutor.review.evidence import Evidence, Instance
from chattutor.review.over_time import gained, stuck_points
from chattutor.review.phrasing import error_name, error_names, on_board
from chattutor.session_logs.learner_history import coming_up, in_hand
from chattutor.session_logs.notes import Notes
from chattutor.session_logs.reader import Session
from chattutor.session_logs.schema import TurnLine
from chattutor.session_logs.transcript import ENDINGS, learner_words
from dialogue.acts import VERDICT_TEXT, Act, NotAnAct, Value, from_json
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.writing import write
from dialogue.judgement import judge
from dialogue.learner.choice import TaskChoice
from dialogue.learner.stages import stages
from dialogue.turn_record import Answered, JsonAct, JudgedStep, Said

ACCESS = ("plain", "large", "voice")  # settings of a lesson that say how it was read and answered
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
    "values right": "right", "values wrong": "wrong values",
    "term named": "right", "verdict right": "right", "scene right": "right", "value unworked": "right, not worked out",
    "value wrong": "wrong value", "value of other side": "the value of the other side",
    "described wrong": "not these operations", "scene wrong": "wrong", "verdict wrong": "wrong",
}  # fmt: skip


def learner_page(code: str, sessions: Sequence[Session], notes: Notes) -> dict[str, Any]:
    """The page of one learner, from that learner's sessions as the teachers judged them, oldest first."""
    evidence = Evidence().read(sessions)
    learner = evidence.learners[code]
    held = ideas(learner)
    again = {idea.error: idea.seen for idea in held}
    return {
        "code": code,
        "turns": learner.turns,
        "spoken_turns": learner.spoken,
        "self_corrections": learner.corrected,
        "patterns": [_pattern(idea) for idea in held],
        "path": [
            {"when": one.when, "stage": one.stage, "equation": one.equation, "outcome": one.outcome}
            for one in learner.tried.values()
        ],
        "sessions": [_session(session, again) for session in sessions if session.header is not None],
        "gained": [stage for stage, _ in gained(learner)],
        "stuck": stuck_points(learner),
        "next": _next(in_hand(sessions)),
        "before": _next(next(iter(coming_up(sessions, 1)), None)),
        "notes": [{"at": at, "text": text} for at, text in notes.notes],
        "notes_unread": notes.unread,
    }


def _pattern(idea: Idea) -> dict[str, Any]:
    return {
        "id": idea.error,
        "name": error_names(idea.errors),
        "errors": list(idea.errors),
        "mended": idea.mended,
        "seen": _seen(idea.seen),
    }


def _seen(found: list[Instance]) -> list[dict[str, str]]:
    seen = [{"equation": each.equation, "line": each.line, "said": each.said} for each in found]
    return [each for place, each in enumerate(seen) if each not in seen[:place]]


def _next(choice: TaskChoice | None) -> dict[str, Any] | None:
    if choice is None:
        return None
    return {
        "stage": choice.stage,
        "name": stages()[choice.stage - 1].name,
        "purpose": choice.purpose,
        "reason": choice.reason,
        "why": NEXT.get(choice.reason, choice.reason),
    }


def _session(session: Session, again: dict[str, list[Instance]]) -> dict[str, Any]:
    header = session.header
    why = session.end.why if session.end else ""
    followed = zip(session.turns, (*session.turns, None)[1:], strict=True)
    return {
        "id": header.id if header else "",
        "when": header.created if header else "",
        "access": [name for name in ACCESS if header is not None and getattr(header.settings, name)],
        "end": ENDINGS.get(why, "(interrupted)").strip("()"),
        "turns": [
            {**_turn(turn, turn.record, following, again), "asked": _asked(before)}
            for before, (turn, following) in zip((None, *session.turns), followed, strict=False)
            if isinstance(turn.record, Answered)
        ],
    }


def _asked(before: TurnLine | None) -> str:
    """The tutor's question that a turn answers."""
    said = [reply.text for reply in before.replies] if before is not None else []
    return next((text for text in reversed(said) if text.rstrip().endswith("?")), "")


def _turn(
    turn: TurnLine, record: Answered, following: TurnLine | None, again: dict[str, list[Instance]]
) -> dict[str, Any]:
    judged, said, letter = record.judged, turn.said or Said(), _letter(record.line)
    error = next(iter(judged.errors), "") if judged is not None else ""
    shown = _act(judged.act if judged is not None else next(iter(said.acts or ()), None), letter)
    left, right = _sides(record, judged, shown)
    return {
        "turn": turn.number,
        "task": record.task or 0,
        "line": record.line,
        "letter": letter,
        "heard": learner_words(said),
        "confirmed": _confirmed(said, record, following),
        "channel": "voice" if said.channel == "spoken" else "typed",
        "event": record.event,
        "step": _in_words(shown, letter),
        "left": left,
        "right": right,
        "judgement": VALUES.get(record.event, "") if judged is None else _judgement(judged),
        "level": record.level,
        "error": error,
        "error_name": error_name(error) if error else "",
        "kind": "" if not error else "pattern" if error in again else "slip",
        "evidence": sorted({each.equation for each in again.get(error, ())}),
        "self_correction": record.corrected,
        "overridden": judged.overridden if judged is not None else "",
        "replaced": _replaced(judged.replaced) if judged is not None else "",
    }


def _letter(line: str) -> str:
    """The unknown of a line; x where the line cannot be read."""
    try:
        return read_equation(line).letter
    except Refusal:
        return "x"


def _confirmed(said: Said, record: Answered, following: TurnLine | None) -> str:
    """How sure the words are that came by voice: heard for sure, or said to be so when read back, or not."""
    if record.event != "doubtful":
        return "sure" if said.channel == "spoken" and said.doubt == "none" and said.text else ""
    after = following.record if following is not None else None
    return "confirmed" if isinstance(after, Answered) and after.event == "yes" else "not confirmed"


def _judgement(judged: JudgedStep) -> str:
    if judged.overridden:
        return "right" if judged.balanced else "not balanced"
    key = (judged.balanced is True, judged.closer is True)
    return "not defined" if judged.balanced is None else JUDGEMENTS.get(key, "not balanced")


def _replaced(judged: JudgedStep | None) -> str:
    """What was judged before a teacher judged otherwise, with the likeliest error; empty where nobody did."""
    return "" if judged is None else ": ".join([_judgement(judged), *map(error_name, judged.errors[:1])])


def _act(kept: JsonAct | None, letter: str) -> Act | None:
    """What was kept, read again; None for whatever cannot be."""
    try:
        return None if kept is None else from_json(kept, letter)
    except NotAnAct:
        return None


def _in_words(act: Act | None, letter: str) -> str:
    """The move or line in words; empty for whatever is neither."""
    match act:
        case Move(operation, operand, sides):
            return f"{operation} {on_board(write(operand), letter)}, {ON[sides]}"
        case Line(equation):
            return equation.text()
        case Verdict(kind):
            return VERDICT_TEXT[kind]
        case Value(value):
            return on_board(write(value), letter)
        case Rewrite(how):
            return how
    return ""


def _sides(record: Answered, judged: JudgedStep | None, act: Act | None) -> tuple[str, str]:
    """Each side after the step: as stated, or as the move leaves it; or the one side that was asked for."""
    if judged is None:
        asked = record.phase.removeprefix("check ")
        value = write(act.value) if isinstance(act, Value) and record.event in VALUES else ""
        return {"left": (value, ""), "right": ("", value)}.get(asked, ("", ""))
    try:
        match act:
            case Line(equation):
                result: Equation | None = equation
            case Move() | Rewrite():
                result = judge(read_equation(judged.line), act).result
            case _:
                result = None
    except Refusal:
        result = None
    return ("", "") if result is None else (write(result.left), write(result.right))
