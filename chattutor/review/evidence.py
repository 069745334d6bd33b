"""Session logs folded into what each learner showed, a session at a time.

Help on an equation is the most that was needed on any of its turns (trade practice: independent, prompted, shown,
not yet, not attempted). An error is the likeliest that explains a judged step; speech that was not confirmed is never
judged, so it can show none.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from chattutor.session_logs.digest import Digest, SeenTask, digest
from chattutor.session_logs.reader import Session
from dialogue.learner.records import HELP

MOST_KEPT = 200  # the latest instances of errors, and unsure turns, kept of one learner


@dataclass(slots=True)
class Tried:
    """One equation that was given: how far it went and with what help."""

    stage: int
    equation: str
    when: str
    help: int = 0
    touched: bool = False
    solved: bool = False
    placing: bool = False

    @property
    def counts(self) -> bool:
        """Whether a teacher should hear how it went: not where the pre-check only found out that it is for later."""
        return self.solved or not self.placing

    @property
    def outcome(self) -> str:
        """independent, prompted, shown, not yet, or not attempted."""
        if self.solved:
            return HELP[self.help]
        return "not yet" if self.touched else "not attempted"


class Instance(NamedTuple):
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
    again: dict[str, list[Instance]] | None = None  # patterns, once they have been looked for


@dataclass(slots=True)
class Evidence:
    """Everything read so far. Files with something wrong are used as far as they are sound, and named."""

    learners: dict[str, Learner] = field(default_factory=dict)
    faulty: list[tuple[str, str]] = field(default_factory=list)
    sessions: int = 0
    turns: int = 0
    _lesson_of: dict[str, str] = field(default_factory=dict)
    _early: dict[str, list[tuple[str, Digest]]] = field(default_factory=dict)  # by the sitting that they go on with

    def read(self, sessions: Iterable[Session]) -> "Evidence":
        """Fold in sessions, each learner's oldest first; a copy of a session already read is left out."""
        for session in sessions:
            self.add(str(session.path), digest(session))
        self.settle()
        return self

    def add(self, file: str, found: Digest) -> None:
        """Fold in what one file holds; a sitting that comes before the one it goes on with (the clock was set back
        between them) waits for that one, so that their equations are one lesson's."""
        if found.before and found.before not in self._lesson_of:
            self._early.setdefault(found.before, []).append((file, found))
        else:
            self._fold(file, found)

    def settle(self) -> None:
        """Fold in what has waited in vain: there are no more files."""
        while self._early:
            for file, found in self._early.pop(next(iter(self._early))):
                self._fold(file, found)

    def _fold(self, file: str, found: Digest) -> None:
        """Fold in a file, and those that waited for it."""
        waiting = [(file, found)]
        while waiting:
            file, found = waiting.pop(0)
            self._fold_one(file, found)
            waiting += self._early.pop(found.id, ())

    def _fold_one(self, file: str, found: Digest) -> None:
        self.faulty += [(file, problem) for problem in found.problems]
        if not found.id or found.id in self._lesson_of:
            return
        lesson = self._lesson_of.get(found.before, found.id)
        self._lesson_of[found.id] = lesson
        learner = self.learners.get(found.learner)
        if learner is None:
            learner = self.learners[found.learner] = Learner(found.learner)
        learner.again = None
        self.sessions += 1
        self.turns += found.turns
        learner.sessions += not found.before
        learner.last = max(learner.last, found.created)
        learner.turns += found.turns
        learner.spoken += found.spoken
        learner.corrected += found.corrected
        tried = learner.tried
        for place, stage, equation, placing in found.given:
            if (lesson, place) not in tried:
                tried[lesson, place] = Tried(stage, equation, found.created, placing=placing)
        for place, touched, solved, most in found.marks:
            if (one := tried.get((lesson, place))) is not None:
                one.touched |= touched
                one.solved |= solved
                one.help = max(one.help, most)
        for each in found.seen:
            if (one := tried.get((lesson, each.place))) is not None:
                _look(learner, file, found.created, one, each)


def _look(learner: Learner, file: str, when: str, tried: Tried, each: SeenTask) -> None:
    """Put one turn where it belongs."""
    kinds, turn, _, line, said, errors = each
    for kind in kinds:
        pile = learner.errors if kind == "e" else learner.unsure if kind == "u" else learner.to_tell
        named = errors if kind == "e" else ()
        pile.append(Instance(learner.code, file, turn, tried.stage, tried.equation, line, said, named, when))
        if kind != "t" and len(pile) > MOST_KEPT:
            del pile[0]
