"""What the class page needs of one session: small enough to keep of a school's year, and to keep in a file.

``digest`` makes it from a session as read line by line. ``quick`` makes the very same from the bytes of a sound log,
all lines at once; whatever is not plainly sound it leaves to the reader, which says what is wrong.
"""

import os
import stat
from collections.abc import Sequence
from datetime import datetime
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple, assert_never

from chattutor.session_logs.chain import NotALine, all_chained
from chattutor.session_logs.equation_marks import NO_WORK, EquationFold, Mark
from chattutor.session_logs.lines import read_header, read_lines
from chattutor.session_logs.reader import OPEN, Session
from chattutor.session_logs.schema import MAX_LINE, MAX_TURNS, EndLine, Header, TurnLine
from dialogue.turn_record import Answered, Given, JsonAct, Opened, Resumed, Said, TaskRecord

IDLE = 120.0  # seconds between two turns beyond which nobody is counted as working (a choice)
WHOLE = 16_000_000  # bytes; a longer file is read line by line
ANY_WORDS = frozenset({"reason", "account"})  # questions whose answer is kept as it is and never judged
HELD = frozenset({"to explain", "doubtful", "unsure"})  # events whose words wait: for a reason, or for a yes
LOOKED_AT = frozenset({"distress", "unclear", "unheard", "doubtful", "unsure"})  # events that a teacher may want to see


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
    given: tuple[tuple[int, int, str, bool], ...] = ()
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
    return Digest(problems=problems) if session.header is None else _fold(session.header, session.turns, problems)


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
    return _fold(header, said, ()) if len(said) == len(turns) else None


def _content(path: Path | str) -> bytes | None:
    """What an ordinary file of no great length holds."""
    try:
        handle = os.open(path, OPEN)
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


def _fold(header: Header, turns: Sequence[TurnLine], problems: tuple[str, ...]) -> Digest:
    given: dict[int, tuple[int, int, str, bool]] = {}
    for number, task in enumerate(header.plan.tasks):
        _give(given, number, task)
    marks: dict[int, EquationFold] = {}
    seen: list[SeenTask] = []
    spoken = corrected = said_turns = work = 0
    held = last = ""
    for at, turn in enumerate(turns):
        record = turn.record
        match record:
            case Given():
                if record.given is not None:
                    _give(given, record.task, record.given)
            case Opened() | Resumed():
                pass
            case Answered():
                said_turns += 1
                said = turn.said or Said()
                spoken += said.channel == "spoken"
                corrected += record.corrected
                last = said.text or last
                if record.event in HELD:
                    held = said.text
                if record.task is None:
                    continue
                work += record.event not in NO_WORK
                _mark(marks.setdefault(record.task, EquationFold(record.task)), record, said.text)
                _told_apart(seen, record)
                if kinds := _kinds(record, said, turns[at + 1 : at + 2]):
                    step = held if record.then else said.text
                    seen.append(_seen(kinds, turn.number, record.task, record, step))
            case _:
                assert_never(record)
    before = header.continues.id if header.continues else ""
    return Digest(
        header.id, header.learner, header.created, before, said_turns, spoken, corrected, tuple(given.values()),
        tuple(each.mark() for each in marks.values()), tuple(seen), problems, work,
        _seconds([turn.at for turn in turns]), last, turns[-1].at if turns else header.created,
    )  # fmt: skip


def _mark(mark: EquationFold, record: Answered, words: str) -> None:
    """How far an equation went, and the most help on it."""
    broke = any(each.balanced is False for each in record.steps)
    judged = record.judged
    stated = "" if judged is None else stated_in(judged.act)
    mark.hear(record.event, record.phase, record.line, words, stated, broke)
    mark.helped(record.level)
    mark.solved |= bool(record.solved)


def _seen(kinds: str, turn: int, place: int, record: Answered, words: str) -> SeenTask:
    """The first wrong step of the turn, on its own line; not what followed from it."""
    judged = record.judged
    if judged is None or not judged.errors:
        return SeenTask(kinds, turn, place, record.line, words, record.errors)
    return SeenTask(kinds, turn, place, judged.line or record.line, words, judged.errors, stated_in(judged.act))


def _told_apart(seen: list[SeenTask], record: Answered) -> None:
    """What an answer told of the wrong step before it: one error, or those that are still as likely."""
    told = record.diagnosis
    if told is None or not told.taken_for or not seen or seen[-1].place != record.task:
        return
    found = tuple(sorted(told.tied, key=lambda error: -told.tied[error])) or (told.taken_for,)
    seen[-1] = seen[-1]._replace(errors=found)


def stated_in(act: JsonAct) -> str:
    """The line that a step states, as text; empty for another step."""
    match act:
        case {"act": "state", "equation": str(text)}:
            return text
    return ""


def _seconds(stamps: Sequence[str]) -> int:
    """From the first turn to the last, pauses longer than IDLE counted as so long."""
    try:
        times = [datetime.fromisoformat(stamp) for stamp in stamps]
        gaps = [(after - before).total_seconds() for before, after in pairwise(times)]
    except (ValueError, TypeError):
        return 0
    return round(sum(min(max(gap, 0.0), IDLE) for gap in gaps))


def _kinds(record: Answered, said: Said, following: Sequence[TurnLine]) -> str:
    """Why the turn is worth a look; empty where it is not."""
    if not record.errors and record.event not in LOOKED_AT:
        return ""
    kinds = "e" if record.errors else ""
    kinds += "t" if record.event == "distress" else ""
    return kinds + ("u" if _unsure(record, following) and not _calls_for_help(said) else "")


def _calls_for_help(said: Said) -> bool:
    """Whether it was taken for a call for help, however unsure the hearing."""
    return any(act in ({"act": "say", "what": "stuck"}, {"act": "ask", "for": "hint"}) for act in said.acts or ())


def _give(given: dict[int, tuple[int, int, str, bool]], place: int, task: TaskRecord) -> None:
    """An equation of the plan, or one given in the course of a lesson."""
    if place not in given:
        given[place] = (place, task.stage, task.equation, task.purpose == "place")


def _unsure(record: Answered, following: Sequence[TurnLine]) -> bool:
    """Whether what was said stayed unsure."""
    if record.event == "unclear":
        return record.phase not in ANY_WORDS
    confirmed = any(isinstance(turn.record, Answered) and turn.record.event == "yes" for turn in following)
    return record.event == "unheard" or (record.event in {"doubtful", "unsure"} and not confirmed)
