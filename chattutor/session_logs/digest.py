"""What the class page needs of one session: small enough to keep of a school's year, and to keep in a file.

``digest`` makes it from a session as read line by line. ``quick`` makes the very same from the bytes of a sound log,
all lines at once; whatever is not plainly sound it leaves to the reader, which says what is wrong. ``digest_of`` makes
it from the facts of turns, wherever they were kept.
"""

import os
import stat
from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import msgspec

from chattutor.session_logs.equation_marks import NO_WORK, EquationFold, Mark
from chattutor.session_logs.hash_chain import NotALine, all_chained
from chattutor.session_logs.lines import read_header, read_lines
from chattutor.session_logs.reader import READ_FLAGS, Session
from chattutor.session_logs.schema import MAX_LINE, MAX_TURNS, EndLine, TurnLine
from chattutor.session_logs.turn_facts import GivenEquation, Head, TurnFacts, facts, head_of

IDLE = 120.0  # seconds between two turns beyond which nobody is counted as working (a choice)
WHOLE = 16_000_000  # bytes; a longer file is read line by line
ANY_WORDS = frozenset({"reason", "account"})  # questions whose answer is kept as it is and never judged
HELD = frozenset({"to explain", "doubtful", "unsure"})  # events whose words wait: for a reason, or for a yes
LOOKED_AT = frozenset(  # events that a teacher may want to see
    {"distress", "unclear", "unheard", "doubtful", "unsure", "narrow"}
)


class SeenTask(NamedTuple):
    """One turn worth a teacher's look. ``kinds`` has e for an error, u for unsure, t for something to tell an adult.
    ``said``: the words of the step, also where a later yes or a reason set it going; ``stated``: the line it gave."""

    kinds: str
    turn: int
    place: int
    line: str
    said: str
    errors: tuple[str, ...]
    stated: str = ""


class Digest(NamedTuple):
    """One session. ``given``: place, stage, equation, and whether it only found out where to begin; ``work``: turns
    that were steps or answers; ``seconds`` worked; ``words``: the last said; ``until``: the time of the last turn.
    Without an id it is no session log."""

    id: str = ""
    learner: str = ""
    created: str = ""
    before: str = ""
    turns: int = 0
    spoken: int = 0
    corrected: int = 0
    given: tuple[GivenEquation, ...] = ()
    marks: tuple[Mark, ...] = ()
    seen: tuple[SeenTask, ...] = ()
    problems: tuple[str, ...] = ()
    work: int = 0
    seconds: int = 0
    words: str = ""
    until: str = ""


def digest(session: Session) -> Digest:
    """Of a session as it was read."""
    problems = tuple(problem.sentence for problem in session.problems)
    if session.header is None:
        return Digest(problems=problems)
    return digest_of(head_of(session.header, session.turns), list(map(facts, session.turns)), problems)


def quick(path: Path | str) -> Digest | None:
    """Of a sound log, read at once; None for anything else."""
    content = _content(path)
    if content is None:
        return None
    lines = content.split(b"\n")
    if len(lines) < 2 or lines.pop() or len(lines) > MAX_TURNS or not all_chained(lines, MAX_LINE):
        return None
    try:
        header = read_header(lines[0])
        turns = read_lines(content[len(lines[0]) + 1 :], header.schema)
    except NotALine:
        return None
    end = turns.pop() if turns and isinstance(turns[-1], EndLine) else None
    if isinstance(end, EndLine) and end.turns != len(turns):
        return None
    said = [turn for turn in turns if isinstance(turn, TurnLine)]
    return digest_of(head_of(header, said), list(map(facts, said)), ()) if len(said) == len(turns) else None


def _content(path: Path | str) -> bytes | None:
    """What an ordinary file of no great length holds."""
    try:
        handle = os.open(path, READ_FLAGS)
    except OSError:
        return None
    try:
        state = os.fstat(handle)
        if not stat.S_ISREG(state.st_mode) or state.st_size >= WHOLE:
            return None
        content = os.read(handle, state.st_size + 1)  # a buffer of just this size: reading "all" asks for far more
    except OSError:
        return None
    finally:
        os.close(handle)
    return content if len(content) == state.st_size else None  # it is growing, or was read in part


def digest_of(head: Head, turns: Sequence[TurnFacts], problems: tuple[str, ...]) -> Digest:
    """Of a session's first facts and those of its turns, in order."""
    given: dict[int, GivenEquation] = {}
    for row in head.given:
        given.setdefault(row[0], row)
    marks: dict[int, EquationFold] = {}
    seen: list[SeenTask] = []
    spoken = corrected = said_turns = work = 0
    held = last = ""
    for at, turn in enumerate(turns):
        if not turn.answered:
            continue
        said_turns += 1
        spoken += turn.channel == "spoken"
        corrected += turn.corrected
        last = turn.said or last
        if turn.event in HELD and not turn.then:
            held = turn.said
        if turn.place is None:
            continue
        work += turn.event not in NO_WORK
        _mark(marks.setdefault(turn.place, EquationFold(turn.place)), turn)
        _told_apart(seen, turn)
        if kinds := _kinds(turn, turns[at + 1 : at + 2]):
            seen.append(_seen(kinds, turn, held if turn.then else turn.said))
    return Digest(
        head.id, head.learner, head.created, head.before, said_turns, spoken, corrected,
        tuple(given.values()), tuple(each.mark() for each in marks.values()), tuple(seen), problems, work,
        _seconds([turn.at for turn in turns]), last, turns[-1].at if turns else head.created,
    )  # fmt: skip


def _mark(mark: EquationFold, turn: TurnFacts) -> None:
    """How far an equation went, and the most help on it."""
    mark.hear(turn.event, turn.phase, turn.line, turn.said, turn.stated, turn.broke)
    mark.help = max(mark.help, turn.help)
    mark.solved |= turn.solved


def _seen(kinds: str, turn: TurnFacts, words: str) -> SeenTask:
    """The first wrong step of the turn, on its own line; not what followed from it."""
    assert turn.place is not None
    if not turn.step_errors:
        return SeenTask(kinds, turn.number, turn.place, turn.line, words, turn.errors)
    line = turn.step_line or turn.line
    return SeenTask(kinds, turn.number, turn.place, line, words, turn.step_errors, turn.stated)


def _told_apart(seen: list[SeenTask], turn: TurnFacts) -> None:
    """What an answer told of the wrong step before it: one error, or those that are still as likely."""
    if turn.told and seen and seen[-1].place == turn.place:
        seen[-1] = seen[-1]._replace(errors=turn.told)


def _seconds(stamps: Sequence[str]) -> int:
    """From the first turn to the last, pauses longer than IDLE counted as so long."""
    try:
        times = [datetime.fromisoformat(stamp) for stamp in stamps]
        gaps = [(after - before).total_seconds() for before, after in pairwise(times)]
    except (ValueError, TypeError):
        return 0
    return round(sum(min(max(gap, 0.0), IDLE) for gap in gaps))


def _kinds(turn: TurnFacts, following: Sequence[TurnFacts]) -> str:
    """Why the turn is worth a look; empty where it is not."""
    if not turn.errors and turn.event not in LOOKED_AT:
        return ""
    kinds = "e" if turn.errors else ""
    kinds += "t" if turn.event == "distress" else ""
    return kinds + ("u" if _unsure(turn, following) and not turn.calls else "")


def _unsure(turn: TurnFacts, following: Sequence[TurnFacts]) -> bool:
    """Whether what was said stayed unsure."""
    if turn.event == "unclear":
        return turn.phase not in ANY_WORDS
    confirmed = any(each.event == "yes" for each in following)
    return turn.event in {"unheard", "narrow"} or (turn.event in {"doubtful", "unsure"} and not confirmed)


def packed(found: Digest) -> bytes:
    """The digest as JSON on one line, to hand from process to process and to keep."""
    return msgspec.json.encode(found)


_unpacked = msgspec.json.Decoder(Digest).decode


def unpacked(kept: bytes) -> Digest:
    """The digest that was packed. Raises ValueError or RecursionError for anything else."""
    return _unpacked(kept)
