"""The tutor's memory of a lesson: everything a reply can depend on, frozen.

A session is a fold of ``step`` over what the learner said, so this state holds no clock and no chance: a saved
session replayed gives the same state.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, TypeAlias

from dialogue.acts import Act, Interpretation, Mood, PartMove
from dialogue.algebra.equation import Equation
from dialogue.algebra.misconceptions.discriminate import Question
from dialogue.algebra.moves import Move, Rewrite
from dialogue.algebra.operations import Done
from dialogue.algebra.tree import Expression
from dialogue.learner.history import ChosenFor, WishedFor
from dialogue.turn_record import Record
from dialogue.verbalising.sayings import Dialect, Filling, Reply, Saying

Phase: TypeAlias = Literal[
    "operations",  # what happens to the unknown, in order?
    "first",  # which will you undo first?
    "move",  # what will you do to both sides?
    "left",  # what is the left side now?
    "right",  # and the right side?
    "line",  # what is the whole line now?
    "check left",  # the answer put in: what is the left side?
    "check right",
    "count",  # the unknown has gone: no number, or every number?
    "part",  # a move of which something is unsaid: by what? on which sides? which operation?
    "mend",  # one side alone was changed: how do you make it level?
    "reconsider",  # a legal move that brings the unknown no nearer: keep it?
    "reason",  # how do you know? asked before a step is judged aloud, right and wrong alike
    "confirm",  # was that what you said?
    "account",  # a wrong line that several errors explain: what did you do to that side?
    "spot",  # a game: which line of the tutor's is the slip?
    "compare",  # an equation is solved: which of two routes is shorter?
    "offer stop",  # after a message of distress: shall we stop?
    "paused",
    "scene tips",  # the opening scene: something is taken from one side of a balance, what will happen?
    "scene level",  # and what would make it level again?
    "between",  # an equation is over, and the next is still to be given
    "done",
]
# the phases in their groups, as the rows of the state table name them
ASKING: tuple[Phase, ...] = ("operations", "first", "move", "part", "mend", "reconsider")
WORKING: tuple[Phase, ...] = ("left", "right", "line")
CHECKING: tuple[Phase, ...] = ("check left", "check right")
SOLVING: tuple[Phase, ...] = (*ASKING, *WORKING, *CHECKING)
OPEN: tuple[Phase, ...] = (*SOLVING, "count")
ASKED_BACK: tuple[Phase, ...] = (*OPEN, "account")
OtherSide: TypeAlias = Literal["", "may be said", "asked", "asked, may be said", "tips, may be said"]
HOLDING: tuple[Phase, ...] = ("reason", "confirm", "offer stop")
TALKING: tuple[Phase, ...] = (*ASKED_BACK, *HOLDING)
SCENE: tuple[Phase, ...] = ("scene tips", "scene level")
ASIDE: tuple[Phase, ...] = ("spot", "compare")
EVERYWHERE: tuple[Phase, ...] = (*TALKING, *ASIDE, *SCENE, "paused")

Level: TypeAlias = Literal["independent", "prompted", "shown"]
TaskPurpose: TypeAlias = Literal["", ChosenFor]
Beyond: TypeAlias = Literal["", "extra", "on"]
Doubt: TypeAlias = Literal["none", "read back", "ask again"]


@dataclass(frozen=True, slots=True)
class Task:
    """An equation to solve; ``stage`` is its place in the sequence, 0 where it has none; an exit task has no hints.

    ``purpose`` says why it was chosen (empty where somebody asked for it); ``model`` is an equation to be worked in
    front of the learner first; ``scene`` that the opening scene with the balance comes first; ``story`` what the
    equation is about, told before it; ``ahead`` the stage in hand once this last equation of a lesson is solved alone;
    ``wished`` what was wished for where it is beside the equations that a lesson began with.
    """

    equation: Equation
    stage: int = 0
    exit: bool = False
    purpose: TaskPurpose = ""
    model: Equation | None = None
    scene: bool = False
    story: str = ""
    ahead: int = 0
    wished: WishedFor | Literal[""] = ""

    @property
    def alone(self) -> bool:
        """Whether it shows what the learner does by themselves, so that nothing leads up to the first move."""
        return self.purpose in {"place", "exit"}


@dataclass(frozen=True, slots=True)
class Plan:
    """What a lesson starts from. ``seed`` chooses between wordings; ``faded`` counts unaided answers of before. An
    ``open`` plan grows: after each equation but an exit one the next is given from outside (``session.give``).
    ``classroom`` says whose words a bracket and a line read aloud have. ``before``: the stage of what was done alone
    last time and how often (0 where there was no such lesson); ``now``: the stage in hand. ``beyond``: what a wish for
    another kind brings: "extra", one equation beside those that a teacher chose; "on", the lesson goes on with that
    kind, for its equations were only a place to start; nothing where nobody can give one."""

    tasks: tuple[Task, ...]
    seed: int = 0
    faded: tuple[tuple[str, int], ...] = ()
    open: bool = False
    classroom: Dialect = "british"
    before: tuple[int, int] = (0, 0)
    now: int = 0
    beyond: Beyond = ""


@dataclass(frozen=True, slots=True)
class BoardLine:
    """One line of working; ``note`` is what was done to the line above (None for the first line), and ``level``
    by whom: independent, prompted by a hint, or shown."""

    equation: Equation
    note: Move | Rewrite | None = None
    level: Level = "independent"


@dataclass(frozen=True, slots=True)
class Utterance:
    """What reached the tutor: text, typed or recognised, and how much the hearing is doubted. Empty text is silence.
    ``meant``: what it was taken for while it was heard, then what else it may have meant, likeliest first, offered once
    the first is refused; empty where it is still to be understood."""

    text: str
    channel: Literal["typed", "spoken"] = "typed"
    doubt: Doubt = "none"
    meant: tuple[Interpretation, ...] = ()


@dataclass(frozen=True, slots=True)
class Game:
    """The lines of a game, which one is to be found (counted from 0) and of what error it is, if of any; where to go
    back; ``name``: what its wordings begin with."""

    lines: tuple[Equation, ...]
    slip: int
    error: str
    back: Phase
    tries: int = 0
    name: str = "game"


@dataclass(frozen=True, slots=True)
class Inquiry:
    """What is asked about a wrong line, and how likely each error behind it is by now.

    ``left``: questions not asked yet; ``asked``: how many were; ``guess``: whether the line was an answer put in;
    ``own``: the side of the unknown, 0 or 1.
    """

    question: Question
    beliefs: Mapping[str, float]
    left: tuple[Question, ...] = ()
    asked: int = 1
    guess: bool = False
    own: int = 0

    def saying(self, values: Mapping[str, Filling]) -> Saying:
        """The question in words: the side by its name, for the unknown may stand on both."""
        if self.question.kind == "line":
            return Saying("ask account line", values)
        side = self.own if self.question.kind == "own" else 1 - self.own
        key = "ask account guess" if self.guess and self.asked == 1 else "ask account"
        return Saying(key, {**values, "side": ("left", "right")[side]})


@dataclass(frozen=True, slots=True)
class FailedLine:
    """A line that does not follow, what it was to follow from, and by which move, if one was said."""

    before: Equation
    stated: Equation
    move: Move | Rewrite | None = None


@dataclass(frozen=True, slots=True)
class State:
    """Where a lesson stands.

    ``pending`` is the move or rewrite whose result is being asked for, ``further`` the moves that were said with it and
    come after it; ``kept`` the right side's value, said while the left was asked for; ``part`` a move of which
    something is still unsaid, ``topic`` the number or term last spoken of; ``guess`` the answer being put in,
    ``guessed_in`` the turn it was said in;
    ``described`` what has been told so far of what happens to the unknown; ``held`` acts not yet judged aloud (heard
    in doubt, not understood for sure, or awaiting a reason), ``rivals`` what else they could be, ``by_ear`` whether
    it was the hearing that was in doubt, ``struck`` what was read back in this turn and refused, ``back`` the phase to
    return to; ``told_back`` all that was read back of an unsure reading, ``denied`` what of it was refused, and
    ``asked_back`` the turn of the last. ``rung`` counts hints on the present
    question, ``tries`` failures on the present line, ``level_moves`` legal but unhelpful moves in a row, ``doubts``
    hearings refused in a row, ``silences`` silences in a row, ``idle`` turns that brought nothing since the board was
    last longer than ever (``deepest``). ``shown`` is the line that was last in the replies, with its task,
    ``since_line`` turns ago. ``tried`` are the answers put in that did not fit, ``missed`` the last such of each task
    that is over, with its place, ``failed`` the last step that broke the balance on this line. ``seen``
    holds the likeliest error of each wrong step, with its task.
    ``signs`` are errors that legal moves hinted at once. ``inquiry`` is the question that tells apart the errors
    behind the line just stated; ``tied`` the errors, with how likely each is, that such questions left tied: the next
    equation can tell them apart (``diagnosis.most_telling``); ``game`` the tutor's working in a game; ``wish`` what
    the next equation should be; ``back_to`` the place of the set to go on from after an extra one; ``began`` the turn
    in which the equation was first to be answered, ``swift`` how many of one kind in a row were solved in that turn;
    ``last`` the last replies, ``said`` the texts of the last two
    turns, ``asked`` their questions; ``solved`` are the places of the equations solved, ``solo`` of those that were all
    the learner's own, ``undone`` of those of them that came by steps and not by trying numbers; ``alone`` counts
    the lines that the learner came to without help; ``leads`` whether the learner asked to be left to it. ``then``
    and ``if_right`` are acts still to be heard in this turn, the latter only where they are right; ``moved``
    whether a move was said in it. ``felt`` is what was last told of a person, and in which turn.
    ``told`` are the answers given so far in the lesson (keys of their wordings).
    ``aside_at`` is the turn in which something was last said, or asked, that is no part of the lesson,
    ``aside_asked`` whether that was a question.
    ``slips`` counts what was wrong on an equation of the pre-check. ``numbers`` are those of the learner's turn before.
    ``other_side``: whether a turn that names one side may speak of both, and whether the other was then asked for."""

    plan: Plan
    place: int = 0
    phase: Phase = "move"
    board: tuple[BoardLine, ...] = ()
    pending: Move | Rewrite | None = None
    further: tuple[Move | Rewrite, ...] = ()
    kept: Expression | None = None
    part: PartMove | None = None
    topic: Expression | None = None
    guess: Fraction | None = None
    guessed_in: int = 0
    guess_errors: tuple[str, ...] = ()
    described: tuple[Done, ...] = ()
    held: tuple[Act, ...] = ()
    rivals: tuple[tuple[Act, ...], ...] = ()
    by_ear: bool = True
    struck: tuple[tuple[Act, ...], ...] = ()
    told_back: tuple[tuple[Act, ...], ...] = ()
    denied: tuple[tuple[Act, ...], ...] = ()
    asked_back: int | None = None
    shown: tuple[int, Equation] | None = None
    since_line: int = 0
    back: Phase = "move"
    rung: int = 0
    tries: int = 0
    level_moves: int = 0
    doubts: int = 0
    silences: int = 0
    idle: int = 0
    deepest: int = 1
    tried: tuple[Fraction, ...] = ()
    missed: tuple[tuple[int, Fraction], ...] = ()
    failed: FailedLine | None = None
    aided: Level = "independent"
    faded: tuple[tuple[str, int], ...] = ()
    seen: tuple[tuple[int, str], ...] = ()
    signs: tuple[str, ...] = ()
    last: tuple[Reply, ...] = ()
    said: tuple[tuple[str, ...], ...] = ()
    asked: tuple[str, ...] = ()
    repeats: int = 0
    turn: int = 0
    solved: tuple[int, ...] = ()
    solo: tuple[int, ...] = ()
    undone: tuple[int, ...] = ()
    alone: int = 0
    inquiry: Inquiry | None = None
    tied: tuple[tuple[str, float], ...] = ()
    game: Game | None = None
    wish: WishedFor | None = None
    back_to: int | None = None
    began: int = 0
    swift: int = 0
    leads: bool = False
    then: tuple[Act, ...] = ()
    if_right: tuple[Act, ...] = ()
    moved: bool = False
    decimals: bool = False
    mixed: bool = False
    game_next: bool = False
    felt: tuple[Mood | None, int] = (None, 0)
    told: tuple[str, ...] = ()
    aside_at: int | None = None
    aside_asked: bool = False
    slips: int = 0
    numbers: tuple[Fraction, ...] = ()
    other_side: OtherSide = ""

    @property
    def task(self) -> Task:
        """The task in hand (the last one, once the lesson is over)."""
        return self.plan.tasks[min(self.place, len(self.plan.tasks) - 1)]

    @property
    def equation(self) -> Equation:
        """The line in hand: the last on the board."""
        return self.board[-1].equation

    @property
    def letter(self) -> str:
        """The unknown's letter."""
        return self.task.equation.letter

    @property
    def numbered(self) -> tuple[int, int]:
        """Which equation of the lesson is in hand, and of how many; 0 of them where nobody knows."""
        told = [task for task in self.plan.tasks if not task.wished]
        if self.plan.open:
            return self.place + 1, 0
        if len(told) < len(self.plan.tasks) and (self.plan.beyond == "on" or self.task.wished):
            return len(self.solved) + 1, 0
        return min(self.place + 1, len(told)), len(told)

    @property
    def may_be_both(self) -> bool:
        """Whether the turn, though it names one side, may speak of both."""
        return self.other_side.endswith("may be said")

    @property
    def asked_of_other(self) -> bool:
        """Whether the other side was asked for, and nothing was said to tip."""
        return self.other_side.startswith("asked")

    def count(self, question: str) -> int:
        """How often a question has been answered unaided, which is what fades it."""
        return dict(self.faded).get(question, 0)

    def counted(self, question: str) -> "State":
        """The state with one more unaided answer to the question."""
        return replace(self, faded=tuple({**dict(self.faded), question: self.count(question) + 1}.items()))


@dataclass(frozen=True, slots=True)
class Turn:
    """What one step gives: the new state, what to say, and the record for the session log. ``meant`` is what was said
    was taken for; None for silence, and where the tutor spoke first."""

    state: State
    replies: tuple[Reply, ...]
    record: Record
    meant: Interpretation | None = None
