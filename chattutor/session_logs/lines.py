"""The lines of a session log and the chain that ties them together.

A file is one header line, one line a turn, and one closing line unless the sitting was broken off::

    {"chattutor": "session", "schema": 1, "id", "learner", "created", "version", "plan", "settings", "continues",
     "chain"}
    {"turn": 0, "at", "said": null, "record", "replies", "chain"}          the tutor's opening
    {"turn": 1, "at", "said": {...}, "record": {...}, "replies": [...], "chain"}
    {"end": "finished|stopped|input ended", "at", "turns", "chain"}

``chain`` comes last and is the sha256 (FIPS 180-4), shortened to 32 hex digits, of the chain before it and of the
bytes of its own line up to it. A line changed, taken out or put in breaks it. It has no key: it finds accidents and
careless edits, and somebody who rewrites the whole file with a program can forge it.
"""

import json
import re
from dataclasses import dataclass, field
from hashlib import sha256
from typing import Any

SCHEMA = 1
MAX_LINE = 262_144  # bytes; a turn has some thousands
MAX_TURNS = 10_000
CHAIN = re.compile(rb',"chain":"([0-9a-f]{32})"\}\n?\Z')


@dataclass(frozen=True, slots=True)
class Header:
    """What a sitting started from: enough, with the turns, to replay it."""

    id: str
    learner: str
    created: str
    version: str
    plan: dict[str, Any]
    settings: dict[str, Any] = field(default_factory=dict)
    continues: dict[str, Any] | None = None
    schema: int = SCHEMA

    def body(self) -> dict[str, Any]:
        """The line without its chain."""
        return {
            "chattutor": "session",
            "schema": self.schema,
            "id": self.id,
            "learner": self.learner,
            "created": self.created,
            "version": self.version,
            "plan": self.plan,
            "settings": self.settings,
            "continues": self.continues,
        }


@dataclass(frozen=True, slots=True)
class TurnLine:
    """One turn: what was said (None for the opening), the tutor's record of it, and the replies shown."""

    number: int
    at: str
    said: dict[str, Any] | None
    record: dict[str, Any]
    replies: list[dict[str, Any]]

    def body(self) -> dict[str, Any]:
        """The line without its chain."""
        return {
            "turn": self.number,
            "at": self.at,
            "said": self.said,
            "record": self.record,
            "replies": self.replies,
        }


@dataclass(frozen=True, slots=True)
class EndLine:
    """How the sitting ended, and how many turns there were."""

    why: str
    at: str
    turns: int

    def body(self) -> dict[str, Any]:
        """The line without its chain."""
        return {"end": self.why, "at": self.at, "turns": self.turns}


class NotALine(ValueError):
    """Bytes that are not a line of a session log; the message says why."""


def chained(body: dict[str, Any], before: str) -> tuple[bytes, str]:
    """The line as bytes with its line end, and its chain."""
    text = json.dumps(body, ensure_ascii=False, separators=(",", ":"))
    start = text.encode("utf-8", "backslashreplace")[:-1]
    chain = link(start, before)
    return b'%s,"chain":"%s"}\n' % (start, chain.encode()), chain


def link(start: bytes, before: str) -> str:
    """The chain of a line whose bytes up to the chain are ``start``."""
    return sha256(before.encode() + start).hexdigest()[:32]


def split(line: bytes) -> tuple[bytes, str]:
    """A line's bytes up to its chain, and the chain written in it. Raises NotALine."""
    found = CHAIN.search(line)
    if found is None:
        raise NotALine("it has no chain at its end")
    return line[: found.start()], found.group(1).decode()


def read_header(line: bytes) -> Header:
    """The first line. Raises NotALine."""
    given = _object(line)
    if given.get("chattutor") != "session":
        raise NotALine("it is not a session log")
    plan, settings, continues = given.get("plan"), given.get("settings"), given.get("continues")
    texts = [given.get(key) for key in ("id", "learner", "created", "version")]
    schema = given.get("schema")
    if (
        not isinstance(schema, int)
        or not isinstance(plan, dict)
        or not isinstance(settings, dict)
        or not (continues is None or (isinstance(continues, dict) and isinstance(continues.get("id"), str)))
        or not all(isinstance(text, str) for text in texts)
    ):
        raise NotALine("its first line is not a session log's")
    name, learner, created, version = (str(text) for text in texts)
    return Header(name, learner, created, version, plan, settings, continues, schema)


def read_line(line: bytes) -> TurnLine | EndLine:
    """A line after the first. Raises NotALine."""
    given = _object(line)
    match given:
        case {
            "turn": int(number),
            "at": str(at),
            "said": dict() | None,
            "record": dict(record),
            "replies": list(replies),
        }:
            if all(isinstance(reply, dict) for reply in replies):
                return TurnLine(number, at, given["said"], record, replies)
        case {"end": str(why), "at": str(at), "turns": int(turns)}:
            return EndLine(why, at, turns)
    raise NotALine("it is neither a turn nor a closing line")


def _object(line: bytes) -> dict[str, Any]:
    try:
        given = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise NotALine("it is not JSON") from error
    if not isinstance(given, dict):
        raise NotALine("it is not a JSON object")
    return given
