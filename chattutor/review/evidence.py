"""Session logs folded into what each learner showed, a session at a time.

Help on an equation is the most that was needed on any of its turns (trade practice: independent, right after wrong
steps, prompted, shown, not yet, not attempted): only what was right without help and without a wrong step on the way
is independent. Numbers tried out one after another are a way of working, no errors. An error is the likeliest that
explains a judged step; speech that was not confirmed is never judged, so it can show none.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from chattutor.session_logs.digest import Digest, SeenTask, digest
from chattutor.session_logs.equation_marks import Mark, is_answer
from chattutor.session_logs.folding_order import Sittings
from chattutor.session_logs.reader import Session
from dialogue.algebra.misconceptions.consistency import ARITHMETIC
from dialogue.learner.records import HELP

AFTER_WRONG = "right after wrong steps"
OUTCOMES = (HELP[0], AFTER_WRONG, *HELP[1:], "not yet", "not attempted")  # from the most a learner did alone
TRIED_OUT = 3  # different numbers put forward on one equation that are trial and improvement (a choice)
NO_MARK = Mark(0)
MOST_KEPT = 200  # the latest instances of errors, and unsure turns, kept of one learner


@dataclass(slots=True)
class Tried:
    """One equation that was given, the ``number``-th of its learner: how far it went and with what help."""

    stage: int
    equation: str
    when: str
    number: int = 0
    placing: bool = False
    mark: Mark = NO_MARK

    @property
    def counts(self) -> bool:
        """Whether a teacher should hear how it went: not where the pre-check only found out that it is for later."""
        return self.mark.solved or not self.placing

    @property
    def worked_on(self) -> bool:
        """Whether anything was done."""
        return self.mark.touched or self.mark.solved

    @property
    def outcome(self) -> str:
        """One of OUTCOMES."""
        if self.mark.solved:
            return HELP[self.mark.help] if self.mark.help else AFTER_WRONG if self.mark.wrong else HELP[0]
        return "not yet" if self.mark.touched else "not attempted"

    @property
    def tried_out(self) -> bool:
        """Whether numbers were tried out one after another."""
        return self.mark.numbers >= TRIED_OUT

    @property
    def by_numbers(self) -> bool:
        """Whether numbers were tried out, or nothing but several numbers was put forward."""
        return self.tried_out or (self.mark.numbers > 1 and not self.mark.undoing)

    @property
    def by_trial(self) -> bool:
        """Whether that was all: nothing was undone."""
        return self.tried_out and not self.mark.undoing

    def goes_on(self, mark: Mark) -> None:
        """A further sitting of the same lesson."""
        before = self.mark
        at = mark if mark.longest > before.longest else before
        self.mark = Mark(
            mark.place, before.touched or mark.touched, before.solved or mark.solved, max(before.help, mark.help),
            before.wrong + mark.wrong, before.numbers + mark.numbers, before.undoing + mark.undoing,
            before.calls + mark.calls, before.asks + mark.asks, *at[-4:],
        )  # fmt: skip


class Instance(NamedTuple):
    """One turn worth a teacher's look: an error seen, or words that stayed unsure. ``number``: of its equation among
    all of the learner's; ``stated``: the line that was given."""

    learner: str
    file: str
    turn: int
    stage: int
    equation: str
    line: str
    said: str
    errors: tuple[str, ...] = ()
    when: str = ""
    stated: str = ""
    number: int = 0

    @property
    def error(self) -> str:
        """The likeliest error, if any explains the turn."""
        return self.errors[0] if self.errors else ""


class Sitting(NamedTuple):
    """One session: when it began, how much was said in it, how many of those turns were steps or answers, the seconds
    worked, the last words; its id, when it ended, and the one it goes on with."""

    when: str
    turns: int
    work: int
    seconds: int
    words: str
    id: str = ""
    until: str = ""
    before: str = ""


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
    lessons: list["Sitting"] = field(default_factory=list)
    again: dict[str, list[Instance]] | None = None  # patterns, once they have been looked for


@dataclass(slots=True)
class Evidence:
    """Everything read so far. Files with something wrong are used as far as they are sound, and named."""

    learners: dict[str, Learner] = field(default_factory=dict)
    faulty: list[tuple[str, str]] = field(default_factory=list)
    sessions: int = 0
    turns: int = 0
    _sittings: Sittings[tuple[str, Digest]] = field(default_factory=Sittings)

    def read(self, sessions: Iterable[Session]) -> "Evidence":
        """Fold in sessions, each learner's oldest first; a copy of a session already read is left out."""
        for session in sessions:
            self.add(str(session.path), digest(session))
        self.settle()
        return self

    def add(self, file: str, found: Digest) -> None:
        """Fold in what one file holds, once its turn has come."""
        for (each, its), lesson in self._sittings.take((file, found), found.id, found.before):
            self.fold(each, its, lesson)

    def settle(self) -> None:
        """Fold in what still waits: there are no more files."""
        for (file, found), lesson in self._sittings.rest():
            self.fold(file, found, lesson)

    def fold(self, file: str, found: Digest, lesson: str) -> None:
        """Fold in what one file holds, of a lesson whose earlier sittings were folded in; of a copy (no lesson) only
        what is wrong with it."""
        self.faulty += [(file, problem) for problem in found.problems]
        if not lesson:
            return
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
                tried[lesson, place] = Tried(stage, equation, found.created, len(tried), placing)
        for mark in found.marks:
            if (one := tried.get((lesson, mark.place))) is not None:
                one.goes_on(mark)
        answered: set[int] = set()  # a number that comes after others, or that a slip explains, is no error of its own
        for each in found.seen:
            if (one := tried.get((lesson, each.place))) is not None:
                trial = one.by_numbers and is_answer(each.stated)
                slip = trial and (each.place in answered or not ARITHMETIC.isdisjoint(each.errors))
                if trial:
                    answered.add(each.place)
                _look(
                    learner, file, found.created, one, each._replace(kinds=each.kinds.replace("e", "" if slip else "e"))
                )
        learner.lessons.append(
            Sitting(
                found.created, found.turns, found.work, found.seconds, found.words, found.id, found.until, found.before
            )
        )


def _look(learner: Learner, file: str, when: str, tried: Tried, each: SeenTask) -> None:
    """Put one turn where it belongs."""
    kinds, turn, _, line, said, errors, stated = each
    for kind in kinds:
        pile = learner.errors if kind == "e" else learner.unsure if kind == "u" else learner.to_tell
        named = errors if kind == "e" else ()
        pile.append(
            Instance(
                learner.code, file, turn, tried.stage, tried.equation, line, said, named, when, stated, tried.number
            )
        )
        if kind != "t" and len(pile) > MOST_KEPT:
            del pile[0]
