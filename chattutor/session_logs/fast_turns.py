"""The lines of a sound log as msgspec reads them. Loaded only where msgspec is installed (the ``scale`` extra).

Typed as strictly as the careful reader of ``logs/lines.py`` reads, or more so: what is refused here is left to it. Only
in what is skipped, bytes that are no UTF-8 are not found; with a right chain after them no lesson ever wrote them.
"""

from typing import Any, Literal, cast

import msgspec

from chattutor.session_logs.lines import SCHEMA
from chattutor.session_logs.turns import TURN, LogRead, Record


class _Anything(msgspec.Struct, gc=False):
    """An object of which nothing is needed."""


class _Plan(msgspec.Struct, gc=False):
    tasks: Any = None


class _Before(msgspec.Struct, gc=False):
    id: str


class _Header(msgspec.Struct, gc=False):
    chattutor: Literal["session"]
    schema: int
    id: str
    learner: str
    created: str
    version: str
    plan: _Plan
    settings: _Anything
    continues: _Before | None = None


class _Words(msgspec.Struct, gc=False):
    text: Any = ""


class _Turn(msgspec.Struct, gc=False):
    turn: int
    at: str
    said: _Words | None
    record: Record
    replies: list[_Anything]


class _End(msgspec.Struct, gc=False):
    end: str
    at: str
    turns: int


header = msgspec.json.Decoder(_Header).decode
turns = msgspec.json.Decoder(_Turn).decode_lines
end = msgspec.json.Decoder(_End).decode


def read(content: bytes) -> LogRead | None:
    """A log, from a file's bytes whose chain was found right; None for whatever is not plainly a sound one."""
    first = content.index(b"\n")
    last = content.rfind(b"\n", first, -1) + 1
    lines = memoryview(content)
    ended = last > first + 1 and not content.startswith(TURN, last)
    try:
        head = header(lines[:first])
        found = turns(lines[first + 1 : last if ended else None])
        closing = end(lines[last:]) if ended else None
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        return None
    if head.schema > SCHEMA or (closing is not None and closing.turns != len(found)):
        return None
    before = head.continues.id if head.continues is not None else ""
    return LogRead(head.id, head.learner, head.created, before, head.plan.tasks, cast(Any, found))
