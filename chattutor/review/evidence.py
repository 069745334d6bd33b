"""Session logs folded into what each learner showed, a session at a time.

Help on an equation is the most that was needed on any of its turns (trade practice: independent, prompted, shown,
not yet, not attempted). An error is the likeliest that explains a judged step; speech that was not confirmed is never
judged, so it can show none.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from chattutor.logs.lines import TurnLine
from chattutor.logs.reader import Session

HELP = ("independent", "prompted", "shown")
HELD = {"to explain", "doubtful"}  # events whose words wait: for a reason, or for a yes
MOST_KEPT = 200  # instances of errors, and unsure turns, kept of one learner; more are counted, not shown


@dataclass(slots=True)
class Tried:
    """One equation that was given: how far it went and with what help."""

    stage: int
    equation: str
    when: str
    help: int = 0
    touched: bool = False
    solved: bool = False

    @property
    def outcome(self) -> str:
        """independent, prompted, shown, not yet, or not attempted."""
        if self.solved:
            return HELP[self.help]
        return "not yet" if self.touched else "not attempted"


@dataclass(frozen=True, slots=True)
class Instance:
    """One turn worth a teacher's look: an error seen, or words that stayed unsure."""

    learner: str
    file: str
    turn: int
    stage: int
    equation: str
    line: str
    said: str
    errors: tuple[str, ...] = ()
    when: str = ""

    @property
    def error(self) -> str:
        """The likeliest error, if any explains the turn."""
        return self.errors[0] if self.errors else ""


@dataclass(slots=True)
class Learner:
    """What one learner showed in all the sessions read."""

    code: str
    sessions: int = 0
    turns: int = 0
    last: str = ""
    spoken: int = 0
    corrected: int = 0
    note: str = ""
    tried: dict[tuple[str, int], Tried] = field(default_factory=dict)
    errors: list[Instance] = field(default_factory=list)
    unsure: list[Instance] = field(default_factory=list)
    to_tell: list[Instance] = field(default_factory=list)


@dataclass(slots=True)
class Evidence:
    """Everything read so far. Files with something wrong are used as far as they are sound, and named."""

    learners: dict[str, Learner] = field(default_factory=dict)
    faulty: list[tuple[str, str]] = field(default_factory=list)
    sessions: int = 0
    turns: int = 0
    _lesson_of: dict[str, str] = field(default_factory=dict)

    def read(self, sessions: Iterable[Session]) -> "Evidence":
        """Fold in sessions, each learner's oldest first; a copy of a session already read is left out."""
        for session in sessions:
            self.faulty += [(str(session.path), problem.sentence) for problem in session.problems]
            header = session.header
            if header is None or header.id in self._lesson_of:
                continue
            before = header.continues["id"] if header.continues else ""
            lesson = self._lesson_of.get(before, header.id)
            self._lesson_of[header.id] = lesson
            learner = self.learners.setdefault(header.learner, Learner(header.learner))
            self.sessions += 1
            learner.sessions += not before
            learner.last = max(learner.last, header.created)
            self._plan(learner, lesson, header.plan, header.created)
            held = ""
            for turn, following in zip(session.turns, (*session.turns[1:], None), strict=True):
                given, place = turn.record.get("given"), turn.record.get("task")
                if turn.said is None and isinstance(given, dict) and isinstance(place, int):
                    _task(learner, (lesson, place), given, header.created)
                if turn.said is not None:
                    self.turns += 1
                    words = str(turn.said.get("text", ""))
                    held = words if str(turn.record.get("event")) in HELD else held
                    _turn(learner, lesson, session, turn, following, held if "then" in turn.record else words)
        return self

    @staticmethod
    def _plan(learner: Learner, lesson: str, plan: dict[str, Any], created: str) -> None:
        tasks = plan.get("tasks")
        for place, task in enumerate(tasks if isinstance(tasks, list) else ()):
            if isinstance(task, dict):
                _task(learner, (lesson, place), task, created)


def _task(learner: Learner, place: tuple[str, int], task: dict[str, Any], created: str) -> None:
    """An equation of the plan, or one given in the course of a lesson."""
    stage, equation = task.get("stage"), task.get("equation")
    tried = Tried(stage if isinstance(stage, int) else 0, str(equation), created)
    learner.tried.setdefault(place, tried)


def _turn(
    learner: Learner, lesson: str, session: Session, turn: TurnLine, following: TurnLine | None, words: str
) -> None:
    """``words``: those of the step, also where a later yes or a reason set it going."""
    record = turn.record
    learner.turns += 1
    learner.spoken += record.get("channel") == "spoken"
    learner.corrected += record.get("corrected") is True
    place, event = record.get("task"), str(record.get("event"))
    tried = learner.tried.get((lesson, place)) if isinstance(place, int) else None
    if tried is None:
        return
    tried.touched |= event not in {"skip", "stop", "pause", "silence"}
    tried.solved |= "solved" in record
    level = record.get("level")
    tried.help = max(tried.help, HELP.index(level) if level in HELP else 0)
    seen = Instance(
        learner.code, str(session.path), turn.number, tried.stage, tried.equation,
        str(record.get("line", "")), words, when=session.header.created if session.header else "",
    )  # fmt: skip
    errors = record.get("errors")
    if isinstance(errors, list) and errors and len(learner.errors) < MOST_KEPT:
        learner.errors.append(replace(seen, errors=tuple(map(str, errors))))
    if event == "distress":
        learner.to_tell.append(seen)
    confirmed = following is not None and following.record.get("event") == "yes"
    unclear = event == "unclear" and record.get("phase") != "reason"  # a reason is kept in any words
    stayed_unsure = event == "unheard" or unclear or (event == "doubtful" and not confirmed)
    if stayed_unsure and len(learner.unsure) < MOST_KEPT:
        learner.unsure.append(seen)
