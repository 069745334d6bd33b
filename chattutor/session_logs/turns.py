"""The lines of a sound log as the digest wants them: of each turn what was said and some of the record, no replies.

Read with msgspec where it is installed (the ``scale`` extra, see ``fast_turns.py``): a whole file at once, skipping
what is not asked for. The standard library gives the same turns, in more time.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from json import JSONDecoder, loads
from typing import Any, NamedTuple, TypeAlias

from chattutor.session_logs.lines import SCHEMA, Header, NotALine, read_header

ABSENT: Any = ...  # of a key that is not there at all
TURN, REPLIES = b'{"turn":', b',"replies":['


class Words(NamedTuple):
    """What was said."""

    text: Any = ""


@dataclass(slots=True)
class Record:
    """What the class page needs of a turn's record, and nothing else of it."""

    task: Any = None
    event: Any = None
    level: Any = None
    errors: Any = None
    line: Any = ""
    channel: Any = None
    corrected: Any = None
    phase: Any = None
    given: Any = None
    solved: Any = ABSENT
    then: Any = ABSENT


class TurnRead(NamedTuple):
    """One turn. ``said``: None where the tutor spoke first."""

    turn: int
    said: Words | None
    record: Record


class LogRead(NamedTuple):
    """One log. ``before``: the session it goes on with."""

    id: str
    learner: str
    created: str
    before: str
    tasks: Any
    turns: Sequence[TurnRead]


Read: TypeAlias = Callable[[bytes], LogRead | None]
NAMES = tuple(Record.__dataclass_fields__)


def reader() -> Read:
    """The fastest there is here: from a file's bytes whose chain was found right, to what is in it; None for whatever
    is not plainly a sound log."""
    try:
        from chattutor.session_logs.fast_turns import read
    except ImportError:
        return plain_reader()
    return read


def has_fast_reader() -> bool:
    """Whether msgspec is installed."""
    return reader() is not plain_reader()


def plain_reader() -> Read:
    """With the standard library alone."""
    return _read


def turn_read(number: int, said: dict[str, Any] | None, record: dict[str, Any]) -> TurnRead:
    """A turn as the digest wants it."""
    words = None if said is None else Words(said.get("text", ""))
    return TurnRead(number, words, Record(**{name: record[name] for name in NAMES if name in record}))


def log_read(header: Header, turns: Sequence[TurnRead]) -> LogRead:
    """A log as the digest wants it."""
    before = header.continues["id"] if header.continues else ""
    return LogRead(header.id, header.learner, header.created, before, header.plan.get("tasks"), turns)


def _read(content: bytes) -> LogRead | None:
    first, *lines = content[:-1].split(b"\n")
    try:
        header = read_header(first)
    except NotALine:
        return None
    if header.schema > SCHEMA:
        return None
    turns: list[TurnRead] = []
    decode = JSONDecoder().decode
    for left, line in enumerate(lines, 1 - len(lines)):
        if not line.startswith(TURN):
            if left or not _ends(line, len(turns)):
                return None
            continue
        try:
            given = decode(line[: line.rfind(REPLIES)].decode() + "}")
        except (ValueError, RecursionError):
            return None
        match given:
            case {"turn": int(number), "at": str(), "said": dict() | None, "record": dict(record)}:
                turns.append(turn_read(number, given["said"], record))
            case _:
                return None
    return log_read(header, turns)


def _ends(line: bytes, turns: int) -> bool:
    """Whether it is a closing line after so many turns."""
    try:
        given = loads(line)
    except (ValueError, RecursionError):
        return False
    match given:
        case {"end": str(), "at": str(), "turns": int(counted)}:
            return counted == turns
    return False
