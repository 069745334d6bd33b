"""The tutor's behaviour as one literal table: (phase, kind of event) -> (effect, the phases that can come next).

An effect is a function: it changes what is remembered, chooses the next phase among those of its row, and names the
wordings to be said. ``NEXT`` stands for the phases of the question that a line needs next, in a row that may put a new
line on the board or end an equation. The diagram in STATES.md is drawn from this table, and a test walks lessons to
see that each row leads where it says and nowhere else.
"""

from collections.abc import Callable
from typing import Any, NamedTuple, TypeAlias

from dialogue.tutor.activities import balance_scene as scene
from dialogue.tutor.activities import compare_routes, diagnosis, games, reasons
from dialogue.tutor.core.events import (
    AnswerKind,
    Claimed,
    Counted,
    CountKind,
    Described,
    DescribeKind,
    Event,
    EventKind,
    LineKind,
    Moved,
    MoveKind,
    NotClear,
    Outcome,
    PartGiven,
    PartKind,
    PlainKind,
    Pointed,
    PointKind,
    RewriteKind,
    Rewritten,
    Stated,
    UnclearKind,
    Unsure,
    UnsureKind,
    Valued,
    ValueKind,
)
from dialogue.tutor.core.state import (
    ASIDE,
    ASKED_BACK,
    CHECKING,
    EVERYWHERE,
    HOLDING,
    OPEN,
    SCENE,
    SOLVING,
    TALKING,
    WORKING,
    Phase,
    State,
)
from dialogue.tutor.moves import checking, describing, hints, repair, solving, talking

Phases: TypeAlias = tuple[Phase, ...]


class Row(NamedTuple):
    """What follows: the effect, and every phase that it may leave the lesson in (its own is not said)."""

    effect: Callable[[State, Any], Outcome]
    next: Phases


Rule: TypeAlias = tuple[Phases, tuple[EventKind, ...], Row]

# a rule for each family of events, so that an effect is only ever given events of the type that it takes


def move(phases: Phases, kinds: tuple[MoveKind, ...], effect: Callable[[State, Moved], Outcome], *to: Phase) -> Rule:
    """A rule for moves."""
    return phases, kinds, Row(effect, to)


def rewrite(
    phases: Phases, kinds: tuple[RewriteKind, ...], effect: Callable[[State, Rewritten], Outcome], *to: Phase
) -> Rule:
    """A rule for rewrites."""
    return phases, kinds, Row(effect, to)


def line(phases: Phases, kinds: tuple[LineKind, ...], effect: Callable[[State, Stated], Outcome], *to: Phase) -> Rule:
    """A rule for stated lines."""
    return phases, kinds, Row(effect, to)


def answer(
    phases: Phases, kinds: tuple[AnswerKind, ...], effect: Callable[[State, Claimed], Outcome], *to: Phase
) -> Rule:
    """A rule for answers."""
    return phases, kinds, Row(effect, to)


def count(
    phases: Phases, kinds: tuple[CountKind, ...], effect: Callable[[State, Counted], Outcome], *to: Phase
) -> Rule:
    """A rule for none and every number."""
    return phases, kinds, Row(effect, to)


def value(phases: Phases, kinds: tuple[ValueKind, ...], effect: Callable[[State, Valued], Outcome], *to: Phase) -> Rule:
    """A rule for values and terms."""
    return phases, kinds, Row(effect, to)


def described(
    phases: Phases, kinds: tuple[DescribeKind, ...], effect: Callable[[State, Described], Outcome], *to: Phase
) -> Rule:
    """A rule for what happens to the unknown."""
    return phases, kinds, Row(effect, to)


def part(
    phases: Phases, kinds: tuple[PartKind, ...], effect: Callable[[State, PartGiven], Outcome], *to: Phase
) -> Rule:
    """A rule for moves of which something is unsaid."""
    return phases, kinds, Row(effect, to)


def unsure(
    phases: Phases, kinds: tuple[UnsureKind, ...], effect: Callable[[State, Unsure], Outcome], *to: Phase
) -> Rule:
    """A rule for acts that wait for a yes."""
    return phases, kinds, Row(effect, to)


def pointed(
    phases: Phases, kinds: tuple[PointKind, ...], effect: Callable[[State, Pointed], Outcome], *to: Phase
) -> Rule:
    """A rule for lines pointed at."""
    return phases, kinds, Row(effect, to)


def unclear(
    phases: Phases, kinds: tuple[UnclearKind, ...], effect: Callable[[State, NotClear], Outcome], *to: Phase
) -> Rule:
    """A rule for what was not understood."""
    return phases, kinds, Row(effect, to)


def said(phases: Phases, kinds: tuple[PlainKind, ...], effect: Callable[[State, Event], Outcome], *to: Phase) -> Rule:
    """A rule for everything else that is said, and for silence."""
    return phases, kinds, Row(effect, to)


FIRST: Phases = ("operations", "first", "move", "count", "check left", "check right")  # what a line may need first
THINKING: Phases = tuple(phase for phase in OPEN if phase != "reconsider")
UNCHECKED: Phases = tuple(phase for phase in OPEN if phase not in CHECKING)
RESULT: Phases = ("left", "line")  # how a result is asked for
OVER: Phases = (*FIRST, "between", "done")  # what may come once an equation is over
BACK: Phases = (*OPEN, "account")  # what may be returned to
HEARD: Phases = (
    *BACK,
    "reason",
    "confirm",
    "offer stop",
    "between",
    "paused",
    "spot",
    "compare",
    "scene tips",
    "scene level",
)

RULES: tuple[Rule, ...] = (
    # a whole move is taken whenever it is offered
    move(SOLVING, ("move closer",), solving.take_move, *RESULT),
    move(WORKING, ("move further",), solving.take_further, "line"),
    move(WORKING, ("move again",), solving.move_again),
    move(SOLVING, ("move level",), solving.still_true, "reconsider", *FIRST),
    move(SOLVING, ("move one side",), solving.tilt, "mend"),
    move(("mend",), ("move other side",), solving.levelled, *RESULT),
    move(SOLVING, ("move by zero",), solving.by_zero, *FIRST, *RESULT),
    move(SOLVING, ("move by unknown",), solving.by_unknown, *FIRST, *RESULT),
    move(SOLVING, ("move divides by zero",), solving.divides_by_zero, *FIRST, *RESULT),
    move(SOLVING, ("move names nothing",), solving.which_operation, *FIRST),
    part(SOLVING, ("move part",), talking.ask_part, "part", *FIRST),
    rewrite(SOLVING, ("rewrite closer",), solving.take_rewrite, "line"),
    rewrite(SOLVING, ("rewrite idle",), solving.nothing_to_rewrite),
    # the next line, or the answer, is taken whenever it is offered
    line(ASKED_BACK, ("line closer",), solving.take_line, *FIRST),
    line(ASKED_BACK, ("line level",), solving.line_still_true, *FIRST),
    line(ASKED_BACK, ("line same",), solving.same_line, *FIRST),
    line(ASKED_BACK, ("line ends",), solving.take_line, "count"),
    line(ASKED_BACK, ("line broken",), solving.line_breaks, "account", *FIRST, *RESULT),
    line(ASKED_BACK, ("claim false",), solving.claim_fails, *FIRST, *RESULT),
    answer(ASKED_BACK, ("answer",), checking.put_it_in, "compare", *OVER),
    line((*WORKING, "reconsider"), ("line kept",), solving.take_result, "compare", *OVER, *RESULT),
    line(WORKING, ("line elsewhere",), solving.true_but_not_that),
    line(WORKING, ("left wrong", "right wrong", "both wrong"), solving.result_wrong, *WORKING, *FIRST),
    # now and then a step is only judged once the learner has said how they know
    unsure(("operations", "first", "move"), ("to explain",), reasons.ask_how, "reason"),
    said(("reason",), ("undo",), talking.go_on, *BACK),
    said(("reason",), ("check",), talking.asked_for_reason, *BACK),
    # a wrong line that several errors explain: what was done, taken as it comes
    said(("account",), ("account",), diagnosis.told_account, "account", *FIRST),
    # a game: one line of several is to be found
    said(OPEN, ("game",), games.start_game, "spot"),
    pointed(("spot",), ("slip found",), games.slip_found, *OPEN),
    pointed(("spot",), ("slip missed",), games.slip_missed, *OPEN),
    said(("spot",), ("hint", "stuck", "example", "why", "check", "tell me"), games.slip_missed, *OPEN),
    said(("spot",), ("no", "undo", "skip"), games.leave_game, *OPEN),
    # answers to the questions about the unknown
    described(("operations",), ("described",), describing.operations_right, "first", "move"),
    described(("move", "reconsider"), ("described",), describing.what_undoes, *FIRST, *RESULT),
    described(("operations",), ("described part",), describing.operations_begun),
    described(("operations",), ("described unordered",), describing.operations_unordered),
    described(("operations",), ("described wrong",), describing.operations_wrong, "first", "move"),
    value(("operations",), ("value unasked",), describing.name_the_operation),
    value(("first",), ("term named",), describing.term_named, "move"),
    value(("operations",), ("term named",), describing.what_of_the_term, "move"),
    value(("first",), ("term unknown",), describing.term_unknown, "move"),
    value(
        ("move", "part", "mend", "reconsider"),
        ("term named", "term unknown", "value unasked"),
        talking.name_the_move,
    ),
    value(("move",), ("value wrong",), solving.left_wrongly),
    # each side in turn
    value(("left", "line"), ("value right",), solving.left_right, "right", "compare", *OVER, *RESULT),
    value(("left", "line", *CHECKING), ("value of other side",), solving.other_side),
    value(("right",), ("value right",), solving.take_result, "compare", *OVER, *RESULT),
    value(("left", "right"), ("value wrong",), solving.result_wrong, *WORKING, *FIRST),
    value((*WORKING, *CHECKING), ("value unworked",), solving.work_out),
    value(("line",), ("value unasked",), talking.whole_line),
    # the answer put in: the same words whether it fits or not, until both sides are worked out
    value(("check left",), ("value right",), checking.left_checked, "check right", "account", "compare", *OVER),
    value(("check right",), ("value right",), checking.right_checked, "account", "compare", *OVER),
    value(CHECKING, ("value wrong",), solving.work_it_out_again, "check right", "account", "compare", *OVER),
    said(CHECKING, ("values wrong",), solving.work_it_out_again, "check right", "account", "compare", *OVER),
    said(CHECKING, ("values right",), checking.right_checked, "account", "compare", *OVER),
    # none, or every number
    count(OPEN, ("verdict right",), checking.counted_right, *OVER),
    count(OPEN, ("verdict wrong",), checking.counted_wrong),
    count(SOLVING, ("verdict early",), solving.show_me_the_line, *FIRST),
    # yes and no, where they answer something
    said(("confirm",), ("yes",), repair.heard_right, *HEARD),
    said(("confirm",), ("no",), repair.heard_wrong, *HEARD),
    said(("confirm", "offer stop"), ("refused",), talking.leave_question, *HEARD),
    said(("offer stop",), ("yes",), talking.stop, "done"),
    said(("offer stop",), ("no",), talking.go_on, *HEARD),
    said(("reconsider",), ("yes",), solving.take_pending, *RESULT),
    said(("reconsider",), ("no",), solving.another_plan, *FIRST),
    said(("reconsider",), ("hint", "stuck"), solving.stuck_with_it, *FIRST),
    said(("reconsider",), ("comment",), talking.beside_a_move, "offer stop"),
    said(("mend",), ("yes",), talking.level_yes),
    said(("mend",), ("no",), talking.level_no),
    said(("count",), ("yes", "no"), talking.which_count),
    said(("operations", "first", "move", "part", *WORKING), ("yes", "no"), talking.more_than_yes),
    said(CHECKING, ("yes", "no"), talking.more_than_yes, "account", "compare", *OVER),
    # talk that is heard and never judged
    said(tuple(phase for phase in THINKING if phase not in CHECKING), ("comment",), talking.comment, "offer stop"),
    said(CHECKING, ("comment",), talking.comment, "offer stop", "account", "compare", *OVER),
    said(OPEN, ("sum right",), talking.sum_right),
    said(OPEN, ("sum wrong",), talking.sum_wrong),
    said((*ASKED_BACK, "reason", *ASIDE, *SCENE), ("refused",), talking.refused, "move", "count"),
    # help
    said(THINKING, ("hint", "stuck"), hints.hint, *FIRST, *WORKING, "between", "done", "account", "compare"),
    said(OPEN, ("tell me",), hints.tell, *FIRST, *WORKING, "between", "done", "account", "compare"),
    said(("account",), ("hint", "tell me"), hints.hint, *FIRST),
    said(ASKED_BACK, ("why",), talking.why),
    said(ASKED_BACK, ("check",), talking.how_to_check, "account", "compare", *OVER),
    said(("compare",), ("check",), talking.asked_of_routes, *OVER),
    said(SOLVING, ("example",), hints.example),
    said((*ASKED_BACK, "reason"), ("meaning",), talking.meaning),
    said((*TALKING, *ASIDE), ("progress",), talking.progress),
    said((*TALKING, *ASIDE), ("repeat",), talking.repeat),
    said((*TALKING, *ASIDE), ("slower",), talking.slower),
    said((*TALKING, *ASIDE), ("wording",), talking.what_to_say),
    # commands
    said(ASKED_BACK, ("undo",), solving.undo, *FIRST),
    said(ASKED_BACK, ("restart",), solving.restart, *FIRST),
    said(("confirm", "offer stop"), ("undo",), talking.go_on, *HEARD),
    said(TALKING, ("skip",), talking.skip, "compare", *OVER),
    said(TALKING, ("easier", "harder"), talking.another_kind, *OVER),
    said(("between",), ("easier", "harder"), talking.wished),
    said(("between",), ("game",), talking.game_wished),
    said(ASKED_BACK, ("lead",), talking.lead, "move", "check left", "check right", "count"),
    said((*TALKING, *ASIDE), ("stop",), talking.stop, "done"),
    said((*ASKED_BACK, *ASIDE), ("pause",), talking.pause, "paused"),
    said(HOLDING, ("pause",), talking.wait),
    said(("paused",), ("pause", "silence"), talking.nothing),
    said(("paused",), ("stop",), talking.stop, "done"),
    said(("paused",), ("yes", "no"), talking.resume, *HEARD),
    # the opening scene: nothing in it is marked, and "skip" leaves it for the equation
    said(("scene tips",), ("scene right",), scene.scene_tips, "scene level"),
    said(("scene level",), ("scene right",), scene.scene_level, *FIRST),
    said(("scene level",), ("scene back",), scene.scene_back),
    said(SCENE, ("scene wrong", "hint", "stuck"), scene.scene_hint, "scene level", *FIRST),
    said(SCENE, ("repeat",), talking.repeat),
    said(SCENE, ("slower",), talking.slower),
    said(SCENE, ("wording",), scene.scene_words),
    said(SCENE, ("skip",), scene.leave_scene, *FIRST),
    said((*SCENE, "between"), ("stop",), talking.stop, "done"),
    said(SCENE, ("pause",), talking.pause, "paused"),
    unclear(SCENE, ("unclear",), scene.scene_again, "scene level", *FIRST),
    unsure(SCENE, ("doubtful", "unsure"), repair.read_back, "confirm"),
    unsure((*SCENE, "between"), ("leave",), repair.ask_leave, "confirm", "offer stop"),
    unsure(SCENE, ("narrow",), scene.scene_again, "scene level", *FIRST),
    said(SCENE, ("unheard",), repair.unheard),
    said(SCENE, ("silence",), talking.are_you_there),
    # not understood, not sure, not said
    unclear(UNCHECKED, ("unclear",), repair.say_again),
    unclear(CHECKING, ("unclear",), repair.say_again, "account", "compare", *OVER),
    unclear(("confirm", "offer stop"), ("unclear",), repair.say_again, *HEARD),
    unsure((*ASKED_BACK, *ASIDE), ("doubtful", "unsure"), repair.read_back, "confirm"),
    unsure((*ASKED_BACK, *ASIDE), ("leave",), repair.ask_leave, "confirm", "offer stop"),
    unsure((*ASKED_BACK, *ASIDE), ("narrow",), repair.narrower, "part"),
    unsure(("confirm",), ("doubtful", "unsure"), repair.read_back, *HEARD),
    unsure(("confirm", "paused"), ("leave",), repair.ask_leave, "offer stop", "confirm"),
    unsure(("offer stop", "confirm"), ("narrow",), repair.say_again, *HEARD),
    unsure(("offer stop",), ("doubtful", "unsure", "leave"), repair.say_again, *HEARD),
    said((*ASKED_BACK, *ASIDE), ("unheard",), repair.unheard),
    said(("confirm", "offer stop"), ("unheard",), repair.unheard, *HEARD),
    said(EVERYWHERE, ("distress",), talking.tell_someone, "offer stop"),
    said(ASKED_BACK, ("silence",), talking.silent, "paused", *FIRST, *WORKING),
    said((*HOLDING, *ASIDE), ("silence",), talking.are_you_there),
)


def _table() -> dict[tuple[Phase, EventKind], Row]:
    table: dict[tuple[Phase, EventKind], Row] = {}
    for phases, kinds, row in RULES:
        for phase in phases:
            for kind in kinds:
                if (phase, kind) in table:
                    raise ValueError(f"two rows for {phase!r} and {kind!r}")
                table[phase, kind] = row
    return table


TABLE = _table()

# Pairs with no row, and what they come to:
#   "confirm" and "offer stop" ask yes or no: anything else means "listen to this instead", in the phase left;
#   "paused" takes any word as "go on": it is heard in the phase left;
#   "reason" takes anything as the reason, which is never marked, and the held step is judged then;
#   the scene asks again, whatever else is said; between two equations nothing is asked;
#   "account" takes anything as an account that says nothing, and goes on;
#   "spot" asks for a line: anything else is helped on, and the second time shown; "compare" takes anything;
#   "done" hears nothing more;
#   the rest are answers to questions that were not asked, or cannot come up there: the question is put again.
DEFAULTS: dict[Phase, Row] = {
    "confirm": Row(repair.listen_again, HEARD),
    "offer stop": Row(repair.listen_again, HEARD),
    "paused": Row(repair.listen_again, HEARD),
    "reason": Row(reasons.heard_reason, BACK),
    "scene tips": Row(scene.scene_again, ("scene level",)),
    "scene level": Row(scene.scene_again, FIRST),
    "between": Row(talking.nothing, ()),
    "account": Row(diagnosis.no_account, FIRST),
    "spot": Row(games.slip_missed, OPEN),
    "compare": Row(compare_routes.compared, OVER),
    "done": Row(talking.nothing, ()),
}
ELSEWHERE = Row(talking.ask_again, ())


def row_for(phase: Phase, kind: EventKind) -> Row:
    """The row for an event; total over every pair."""
    return TABLE.get((phase, kind)) or DEFAULTS.get(phase) or ELSEWHERE
