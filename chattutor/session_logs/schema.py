"""The lines of a session log: the one place that says what is in a file. What a turn holds is ``turn_record``'s.

A file is one header line, one line a turn, and one closing line unless the sitting was interrupted::

    {"chattutor":"session","schema":2,"id","learner","created","version","plan","settings","continues","chain"}
    {"chattutor":"turn","turn":0,"at","record":{"kind":"opened",...},"replies","chain"}      the tutor speaks first
    {"chattutor":"turn","turn":1,"at","said":{...},"record":{"kind":"answered",...},"replies","chain"}
    {"chattutor":"end","why":"finished|stopped|input ended","at","turns","chain"}

Defaults are left out. ``chain`` is of ``hash_chain.py``; ``lines.py`` reads this schema and, by ``schema_1.py``, that
of before, which kept no acts.
"""

from typing import TypeAlias

from msgspec import Struct

from dialogue.turn_record import PlanRecord, Record, ReplyRecord, Said

SCHEMA = 2
MAX_LINE = 262_144  # bytes; a turn has some thousands
MAX_TURNS = 10_000


class Settings(Struct, frozen=True, gc=False, omit_defaults=True):
    """How a lesson was held: read by a screen reader, on a large board, by voice; or that it is ``invented``, or
    work marked from ``paper``."""

    plain: bool = False
    large: bool = False
    voice: bool = False
    paper: bool = False
    invented: bool = False


class Continues(Struct, frozen=True, gc=False):
    """The sitting that this one resumes: its id, and how many turns and which chain it had by then."""

    id: str
    turns: int = 0
    chain: str = ""


class Header(Struct, frozen=True, gc=False, tag_field="chattutor", tag="session"):
    """What a sitting started from: enough, with the turns, to replay it."""

    schema: int
    id: str
    learner: str
    created: str
    version: str
    plan: PlanRecord
    settings: Settings = Settings()
    continues: Continues | None = None


class TurnLine(Struct, frozen=True, tag_field="chattutor", tag="turn", rename={"number": "turn"}, omit_defaults=True):
    """One turn: what was said (None where the tutor spoke first), the record of it, and the replies shown."""

    number: int
    at: str
    record: Record
    said: Said | None = None
    replies: tuple[ReplyRecord, ...] = ()


class EndLine(Struct, frozen=True, gc=False, tag_field="chattutor", tag="end"):
    """How the sitting ended, and how many turns there were."""

    why: str
    at: str
    turns: int


LogLine: TypeAlias = TurnLine | EndLine
