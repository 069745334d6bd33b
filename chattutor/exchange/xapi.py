"""Session logs as xAPI statements, a JSON object a line, for a learning record store that a school already has.

After the xAPI specification (github.com/adlnet/xAPI-Spec, xAPI-Data.md, sections 2.4 and 4; IEEE 9274.1.1 is its
second edition): the actor is an Agent with one identifier, a pseudonymous account; the verbs are those of ADL's
vocabulary; the result has success, response, completion and an ISO 8601 duration; ids are UUIDs that come from the
session's id and the turn, so that sending the same log twice adds nothing. No name and no address is in one.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from chattutor.session_logs.lines import Header, TurnLine
from chattutor.session_logs.reader import Session

HOME = "https://chattutor.invalid"  # RFC 2606: a name that leads nowhere, for whoever sends none of their own
VERBS = "http://adlnet.gov/expapi/verbs/"
QUESTION, ASKED_FOR, EQUATION = (
    "http://adlnet.gov/expapi/activities/cmi.interaction",
    "http://adlnet.gov/expapi/activities/interaction",
    "http://adlnet.gov/expapi/activities/assessment",
)
ASKS = {"hint", "why", "repeat", "example", "progress", "stuck", "slower", "where", "help"}
VERSION = "2.0.0"


def statements(session: Session, home: str = HOME) -> Iterator[dict[str, Any]]:
    """The statements of one session: answered for each judged step, asked for each request, completed for each
    equation solved and, with how long it took, for the lesson. ``home``: the account's home page."""
    header = session.header
    if header is None or header.settings.get("paper"):
        return
    before, began = header.created, header.created
    for turn in session.turns:
        if turn.said is None:
            before = turn.at
            continue
        record = turn.record
        event = str(record.get("event"))
        if event == "distress":
            before = turn.at
            continue  # an adult's business, and no record store's
        if "balanced" in record or event in {"value right", "value wrong"}:
            yield _answered(header, turn, before, home)
        elif event in ASKS:
            yield _asked(header, turn, home)
        if "solved" in record:
            yield _solved(header, turn, began, home)
            began = turn.at
        before = turn.at
    if session.end is not None and session.end.why == "finished":
        result = {"completion": True, "duration": duration(header.created, session.end.at)}
        lesson = _activity(home, header.id, EQUATION, "A lesson on linear equations")
        yield _statement(header, home, "lesson", "completed", lesson, session.end.at, result)


def duration(since: str, until: str) -> str:
    """ISO 8601, in seconds to the hundredth (section 4.6); a clock that was set back gives none."""
    try:
        seconds = (datetime.fromisoformat(until) - datetime.fromisoformat(since)).total_seconds()
    except (ValueError, TypeError):
        seconds = 0.0
    return f"PT{max(seconds, 0.0):.2f}S"


def _answered(header: Header, turn: TurnLine, before: str, home: str) -> dict[str, Any]:
    record = turn.record
    right = record["balanced"] is True if "balanced" in record else record.get("event") == "value right"
    result = {
        "success": right,
        "response": str((turn.said or {}).get("text", "")),
        "duration": duration(before, turn.at),
        "extensions": {
            f"{home}/xapi/closer": record.get("closer") is True,
            f"{home}/xapi/help": str(record.get("level", "")),
            f"{home}/xapi/errors": list(map(str, _listed(record.get("errors")))),
        },
    }
    name = f"{record.get('line', '')} ({record.get('phase', '')})"
    question = _activity(home, f"{header.id}/{turn.number}", QUESTION, name, {"interactionType": "other"})
    return _statement(header, home, f"answered {turn.number}", "answered", question, turn.at, result)


def _asked(header: Header, turn: TurnLine, home: str) -> dict[str, Any]:
    what = str(turn.record.get("event"))
    result = {"response": what, "extensions": {f"{home}/xapi/help": str(turn.record.get("level", ""))}}
    question = _activity(home, f"{header.id}/{turn.number}", ASKED_FOR, str(turn.record.get("line", "")))
    return _statement(header, home, f"asked {turn.number}", "asked", question, turn.at, result)


def _solved(header: Header, turn: TurnLine, began: str, home: str) -> dict[str, Any]:
    result = {"success": True, "completion": True, "duration": duration(began, turn.at)}
    place = turn.record.get("task")
    line = str(turn.record.get("line", ""))
    equation = _activity(home, f"{header.id}/equation-{place}", EQUATION, f"Solving {line}")
    return _statement(header, home, f"completed {turn.number}", "completed", equation, turn.at, result)


def _listed(given: object) -> list[Any]:
    return given if isinstance(given, list) else []


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
