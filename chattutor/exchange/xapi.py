"""Session logs as xAPI statements, one JSON object per line, for a learning record store that a school already has.

After the xAPI specification (github.com/adlnet/xAPI-Spec, xAPI-Data.md, sections 2.4 and 4; IEEE 9274.1.1 is its
second edition): the actor is an Agent with one identifier, a pseudonymous account; the verbs are those of ADL's
vocabulary; the result has success, response, completion and an ISO 8601 duration; ids are UUIDs that come from the
session's id and the turn, so that sending the same log twice adds nothing. No name and no address is in one.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Any, assert_never
from uuid import NAMESPACE_URL, uuid5

from chattutor.session_logs.reader import Session
from chattutor.session_logs.schema import Header, TurnLine
from chattutor.session_logs.transcript import kept_words
from chattutor.session_logs.turn_kinds import is_right, kind_of
from dialogue.turn_record import Answered, Given, JudgedStep, Opened, Resumed

HOME = "https://chattutor.invalid"  # RFC 2606: a name that leads nowhere, for whoever sends none of their own
VERBS = "http://adlnet.gov/expapi/verbs/"
QUESTION, ASKED_FOR, EQUATION = (
    "http://adlnet.gov/expapi/activities/cmi.interaction",
    "http://adlnet.gov/expapi/activities/interaction",
    "http://adlnet.gov/expapi/activities/assessment",
)
VERSION = "2.0.0"


def statements(session: Session, home: str = HOME) -> Iterator[dict[str, Any]]:
    """The statements of one session: answered for each judged step and each answer to a question, asked for each
    question to the tutor, completed for each equation solved and, with how long it took, for the lesson. ``home``:
    the account's home page."""
    header = session.header
    if header is None or header.settings.paper:
        return
    before, began = header.created, header.created
    for turn in session.turns:
        record = turn.record
        match record:
            case Opened() | Given() | Resumed():
                pass
            case Answered():
                if record.event != "distress":  # that is an adult's business, and no record store's
                    yield from _of_turn(header, turn, record, before, home)
                    if record.solved:
                        yield _solved(header, turn, record, began, home)
                        began = turn.at
            case _:
                assert_never(record)
        before = turn.at
    if session.end is not None and session.end.why == "finished":
        result = {"completion": True, "duration": duration(header.created, session.end.at)}
        lesson = _activity(home, header.id, EQUATION, "A lesson on linear equations")
        yield _statement(header, home, "lesson", "completed", lesson, session.end.at, result)


def _of_turn(header: Header, turn: TurnLine, record: Answered, before: str, home: str) -> Iterator[dict[str, Any]]:
    """What was answered and asked in a turn."""
    for number, step in enumerate(record.steps):
        yield _answered(header, turn, record, before, home, step, number)
    for number, event in enumerate((record.event, *record.then)):
        kind = kind_of(event)
        match kind:
            case "answer":
                if not record.steps and is_right(event) is not None:
                    yield _answered(header, turn, record, before, home, event, number)
            case "question":
                yield _asked(header, turn, record, event, number, home)
            case "step" | "command" | "talk" | "unsure" | "to tell" | "silence":
                pass
            case _:
                assert_never(kind)


def duration(since: str, until: str) -> str:
    """ISO 8601, in seconds to the hundredth (section 4.6); a clock that was set back gives none."""
    try:
        seconds = (datetime.fromisoformat(until) - datetime.fromisoformat(since)).total_seconds()
    except (ValueError, TypeError):
        seconds = 0.0
    return f"PT{max(seconds, 0.0):.2f}S"


def _answered(
    header: Header, turn: TurnLine, record: Answered, before: str, home: str, what: JudgedStep | str, number: int
) -> dict[str, Any]:
    judged = what if isinstance(what, JudgedStep) else None
    right = judged.balanced is True if judged is not None else is_right(str(what)) is True
    result = {
        "success": right,
        "response": kept_words(turn.said),
        "duration": duration(before, turn.at),
        "extensions": {
            f"{home}/xapi/closer": judged is not None and judged.closer is True,
            f"{home}/xapi/help": record.level,
            f"{home}/xapi/errors": list(judged.errors) if judged is not None else [],
        },
    }
    line = judged.line if judged is not None else record.line
    name = _numbered(turn, number)
    question = _activity(
        home, f"{header.id}/{name}", QUESTION, f"{line} ({record.phase})", {"interactionType": "other"}
    )
    return _statement(header, home, f"answered {name}", "answered", question, turn.at, result)


def _asked(header: Header, turn: TurnLine, record: Answered, what: str, number: int, home: str) -> dict[str, Any]:
    result = {"response": what, "extensions": {f"{home}/xapi/help": record.level}}
    name = _numbered(turn, number)
    question = _activity(home, f"{header.id}/{name}", ASKED_FOR, record.line)
    return _statement(header, home, f"asked {name}", "asked", question, turn.at, result)


def _numbered(turn: TurnLine, number: int) -> str:
    """The turn; and of several things in one turn, from the second on, which."""
    return f"{turn.number}.{number}" if number else str(turn.number)


def _solved(header: Header, turn: TurnLine, record: Answered, began: str, home: str) -> dict[str, Any]:
    result = {"success": True, "completion": True, "duration": duration(began, turn.at)}
    equation = _activity(home, f"{header.id}/equation-{record.task}", EQUATION, f"Solving {record.solved}")
    return _statement(header, home, f"completed {turn.number}", "completed", equation, turn.at, result)


def _activity(home: str, name: str, kind: str, words: str, more: dict[str, Any] | None = None) -> dict[str, Any]:
    definition = {"type": kind, "name": {"en": words}} | (more or {})
    return {"objectType": "Activity", "id": f"{home}/xapi/{name}", "definition": definition}


def _statement(
    header: Header, home: str, name: str, verb: str, activity: dict[str, Any], at: str, result: dict[str, Any]
) -> dict[str, Any]:
    return {
        "id": _named(f"{home}/{header.id}/{name}"),
        "actor": {"objectType": "Agent", "account": {"homePage": home, "name": header.learner}},
        "verb": {"id": f"{VERBS}{verb}", "display": {"en": verb}},
        "object": activity,
        "result": result,
        "context": {
            "registration": _named(f"{home}/{header.id}"),
            "platform": f"chattutor {header.version}",
            "language": "en",
        },
        "timestamp": at,
        "version": VERSION,
    }


def _named(name: str) -> str:
    """The UUID of a name; half a surrogate pair out of a log, which has no bytes of its own, as it is escaped."""
    return str(uuid5(NAMESPACE_URL, name.encode("utf-8", "backslashreplace").decode()))
