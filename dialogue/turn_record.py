"""What is kept of a lesson, typed: its plan, what was said and meant in a turn, what came of it, and the replies.

The tutor makes these, session logs keep them as JSON, and whoever reads a log gets them back: nobody else spells a
key. A record is one of ``Opened``, ``Given``, ``Resumed``, ``Answered`` and ``Marked``; its ``kind`` tells which.
Words that change from version to version (phases, events, ids of errors) are plain text here, so that a log of
another version reads.
"""

from collections.abc import Sequence
from typing import Any, TypeAlias

from msgspec import Struct

JsonAct: TypeAlias = dict[str, Any]  # of dialogue.acts.to_json(act, exact=True)


class TaskRecord(Struct, frozen=True, gc=False, omit_defaults=True):
    """An equation to solve, as typed; ``model`` is one worked first, ``story`` what it is about, ``ahead`` the stage
    that comes after it, ``wished`` what was wished for."""

    equation: str
    stage: int = 0
    exit: bool = False
    purpose: str = ""
    model: str | None = None
    scene: bool = False
    story: str = ""
    ahead: int = 0
    wished: str = ""


class PlanRecord(Struct, frozen=True, omit_defaults=True):
    """What a lesson starts from; an ``open`` plan grows, and another at a wish where it may go ``beyond``."""

    tasks: tuple[TaskRecord, ...] = ()
    seed: int = 0
    faded: tuple[tuple[str, int], ...] = ()
    open: bool = False
    classroom: str = "british"
    before: tuple[int, int] = (0, 0)
    now: int = 0
    beyond: str = ""


class Said(Struct, frozen=True, gc=False, omit_defaults=True):
    """What reached the tutor, and the acts it was taken for, in order; none is silence.

    ``acts`` is None in logs of schema 1, which kept the words alone; ``rivals`` are the next best readings, offered
    where the first was not ``sure`` and is refused; ``guessed``: sure only by where the lesson was. Of a disclosure
    the words are ``withheld``. ``marks``: what the words have beside the acts."""

    text: str = ""
    channel: str = "typed"
    doubt: str = "none"
    withheld: bool = False
    acts: tuple[JsonAct, ...] | None = None
    sure: bool = False
    rivals: tuple[tuple[JsonAct, ...], ...] = ()
    guessed: bool = False
    marks: tuple[str, ...] = ()


class ReplyRecord(Struct, frozen=True, gc=False):
    """One thing the tutor said: the key of its wording, as text for a screen, and as words for a voice."""

    key: str = ""
    text: str = ""
    spoken: str = ""


class JudgedStep(Struct, frozen=True, gc=False, omit_defaults=True):
    """A step and its judgement. ``line``: the line it was made on; ``balanced`` is None where that is not defined.

    ``overridden`` is a teacher's word in place of the judgement, and ``replaced`` what was judged before; neither is
    in a file.
    """

    act: JsonAct
    line: str
    balanced: bool | None = None
    closer: bool | None = None
    errors: tuple[str, ...] = ()
    reason: str | None = None
    first_try: bool = False
    overridden: str = ""
    replaced: "JudgedStep | None" = None
    signs: tuple[str, ...] = ()


def looked_at(steps: Sequence[JudgedStep]) -> JudgedStep | None:
    """Of several steps in one turn the first that does not keep the balance, else the last."""
    wrong = (each for each in steps if each.balanced is not True)
    return next(wrong, steps[-1] if steps else None)


class BoardRecord(Struct, frozen=True, gc=False, omit_defaults=True):
    """One line of working: what was done to the line above, and by whom."""

    line: str
    by: JsonAct | None = None
    level: str = ""


class SlipRecord(Struct, frozen=True, gc=False):
    """How the game of catching the tutor's slip went."""

    line: str
    error: str
    found: bool


class DiagnosisRecord(Struct, frozen=True, gc=False, omit_defaults=True):
    """How likely each error behind a wrong line is: what was ``asked`` to tell them apart, what it was ``taken_for``,
    and those left ``tied`` at the end."""

    asked: str = ""
    hypotheses: dict[str, float] = {}
    taken_for: str = ""
    tied: dict[str, float] = {}


class Opened(Struct, frozen=True, tag_field="kind", tag="opened", omit_defaults=True):
    """The tutor's first words."""

    next: str = ""
    board: tuple[BoardRecord, ...] = ()


class Given(Struct, frozen=True, tag_field="kind", tag="given", omit_defaults=True):
    """The next equation of a plan that grows (None: the lesson is over), why it was chosen, and when, in minutes."""

    task: int = 0
    given: TaskRecord | None = None
    purpose: str = ""
    reason: str = ""
    minutes: float = 0.0
    next: str = ""
    board: tuple[BoardRecord, ...] = ()


class Resumed(Struct, frozen=True, tag_field="kind", tag="resumed"):
    """The opening of a sitting that resumes the session ``after``."""

    after: str


class Answered(Struct, frozen=True, tag_field="kind", tag="answered", omit_defaults=True):
    """A turn in which the learner had the word.

    ``task``: the place of its equation (None: of no equation); ``phase``: the question it answers; ``line``: the line
    on the board before it; ``event``: what it came to, and ``then`` what that set going (a "yes" brings the step that
    was ``held``); ``level``: with what help; ``steps``: every step judged in it, in order; ``board``: the working
    after it, where that changed; ``solved``: the equation that it solved; ``taken_back``: what was said first and
    corrected in the same breath; ``pattern``: an error seen again.
    """

    event: str = ""
    task: int | None = None
    stage: int = 0
    phase: str = ""
    line: str = ""
    next: str = ""
    level: str = ""
    then: tuple[str, ...] = ()
    held: JsonAct | None = None
    reason_given: str = ""
    steps: tuple[JudgedStep, ...] = ()
    corrected: bool = False
    taken_back: JsonAct | None = None
    board: tuple[BoardRecord, ...] | None = None
    solved: str = ""
    diagnosis: DiagnosisRecord | None = None
    game: SlipRecord | None = None
    pattern: str = ""

    @property
    def judged(self) -> JudgedStep | None:
        """The step that the turn is looked at for."""
        return looked_at(self.steps)

    @property
    def errors(self) -> tuple[str, ...]:
        """What explains its steps, likeliest first, each error once."""
        return tuple(dict.fromkeys(error for each in self.steps for error in each.errors))


class Marked(Answered, frozen=True, tag_field="kind", tag="marked", omit_defaults=True):
    """A line of work on paper, typed in and marked: nothing was asked and nothing answered."""


Record: TypeAlias = Opened | Given | Resumed | Answered | Marked
