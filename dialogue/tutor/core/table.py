"""The tutor's behaviour as one literal table: (phase, kind of event) -> (next phase, effect).

As the next phase, ``ASK`` means the question that the line on the board needs next; ``DECIDED`` that the effect
chooses among a few, because it depends on the line (a result asked for whole or side by side, a check that ends or
goes on, a hint that moves on); ``SAME`` stays; ``BACK`` returns to the phase that was left, and what was held, or
said instead of an answer, is heard there. An effect is a function of that name in the modules of ``moves`` and
``activities``: it changes what is remembered and names the wordings to be said. The diagram in DEVELOPERS.md is drawn
from this table.
"""

from typing import NamedTuple, get_args

from dialogue.tutor.core.events import KINDS, EventKind
from dialogue.tutor.core.state import Phase

PHASES: tuple[Phase, ...] = get_args(Phase)
ASK, DECIDED, SAME, BACK = "ASK", "DECIDED", "SAME", "BACK"


class Row(NamedTuple):
    """What follows: the next phase (or ASK, DECIDED, SAME, BACK) and the effect's name."""

    next: str
    effect: str


ASKING: tuple[Phase, ...] = ("operations", "first", "move", "mend", "reconsider")
WORKING: tuple[Phase, ...] = ("left", "right", "line")
CHECKING: tuple[Phase, ...] = ("check left", "check right")
SOLVING: tuple[Phase, ...] = (*ASKING, *WORKING, *CHECKING)
OPEN: tuple[Phase, ...] = (*SOLVING, "count")
ASKED_BACK: tuple[Phase, ...] = (*OPEN, "account")
HOLDING: tuple[Phase, ...] = ("reason", "confirm", "offer stop")
TALKING: tuple[Phase, ...] = (*ASKED_BACK, *HOLDING)
SCENE: tuple[Phase, ...] = ("scene tips", "scene level")
ASIDE: tuple[Phase, ...] = ("spot", "compare")
EVERYWHERE: tuple[Phase, ...] = (*TALKING, *ASIDE, *SCENE, "paused")

ROWS: tuple[tuple[tuple[Phase, ...], tuple[EventKind, ...], Row], ...] = (
    # a whole move is taken whenever it is offered
    (SOLVING, ("move closer",), Row(DECIDED, "take_move")),
    (SOLVING, ("move level",), Row(DECIDED, "still_true")),
    (SOLVING, ("move one side",), Row("mend", "tilt")),
    (("mend",), ("move other side",), Row(DECIDED, "levelled")),
    (SOLVING, ("move by zero",), Row(ASK, "by_zero")),
    (SOLVING, ("move by unknown",), Row(ASK, "by_unknown")),
    (SOLVING, ("move divides by zero",), Row(ASK, "divides_by_zero")),
    (SOLVING, ("move names nothing",), Row(ASK, "which_operation")),
    (SOLVING, ("rewrite closer",), Row("line", "take_rewrite")),
    (SOLVING, ("rewrite idle",), Row(SAME, "nothing_to_rewrite")),
    # the next line, or the answer, is taken whenever it is offered
    (ASKED_BACK, ("line closer",), Row(ASK, "take_line")),
    (ASKED_BACK, ("line level",), Row(ASK, "line_still_true")),
    (ASKED_BACK, ("line same",), Row(SAME, "same_line")),
    (ASKED_BACK, ("line ends",), Row("count", "take_line")),
    (ASKED_BACK, ("line broken",), Row(DECIDED, "line_breaks")),
    (ASKED_BACK, ("answer",), Row(DECIDED, "put_it_in")),
    (WORKING, ("line kept",), Row(ASK, "take_result")),
    (WORKING, ("line elsewhere",), Row(SAME, "true_but_not_that")),
    (WORKING, ("left wrong", "right wrong", "both wrong"), Row(DECIDED, "check_arithmetic")),
    # now and then a step is only judged once the learner has said how they know
    (("operations", "first", "move"), ("to explain",), Row("reason", "ask_how")),
    (("reason",), ("undo",), Row(BACK, "go_on")),
    # a wrong line that several errors explain: what was done, taken as it comes
    (("account",), ("account",), Row(DECIDED, "told_account")),
    # a game: the slip that the tutor planted in another equation
    (OPEN, ("game",), Row(DECIDED, "start_game")),
    (("spot",), ("slip found",), Row(DECIDED, "slip_found")),
    (("spot",), ("slip missed", "hint", "stuck", "example", "why", "check"), Row(DECIDED, "slip_missed")),
    (("spot",), ("no", "undo", "skip"), Row(DECIDED, "leave_game")),
    # answers to the questions about the unknown
    (("operations",), ("described",), Row(ASK, "operations_right")),
    (("operations",), ("described part",), Row(SAME, "operations_begun")),
    (("operations",), ("described wrong",), Row(DECIDED, "operations_wrong")),
    (("operations",), ("value unasked",), Row(SAME, "name_the_operation")),
    (("first",), ("term named",), Row("move", "term_named")),
    (("first",), ("term unknown",), Row(DECIDED, "term_unknown")),
    (("move", "mend", "reconsider"), ("term named", "term unknown", "value unasked"), Row(SAME, "name_the_move")),
    (("move",), ("comment",), Row(SAME, "comment")),
    # each side in turn
    (("left", "line"), ("value right",), Row("right", "left_right")),
    (("left",), ("value of other side",), Row(SAME, "other_side")),
    (("right",), ("value right",), Row(ASK, "take_result")),
    (("left", "right"), ("value wrong",), Row(DECIDED, "check_arithmetic")),
    ((*WORKING, *CHECKING), ("value unworked",), Row(SAME, "work_out")),
    (("line",), ("value unasked",), Row(SAME, "whole_line")),
    # the answer put in: the same words whether it fits or not, until both sides are worked out
    (("check left",), ("value right",), Row(DECIDED, "left_checked")),
    (("check right",), ("value right",), Row(DECIDED, "right_checked")),
    (CHECKING, ("value wrong", "both wrong"), Row(DECIDED, "work_it_out_again")),
    (CHECKING, ("line kept",), Row(DECIDED, "right_checked")),
    # none, or every number
    (OPEN, ("verdict right",), Row(ASK, "counted_right")),
    (OPEN, ("verdict wrong",), Row(SAME, "counted_wrong")),
    (SOLVING, ("verdict early",), Row(ASK, "show_me_the_line")),
    # yes and no, where they answer something
    (("confirm",), ("yes",), Row(BACK, "heard_right")),
    (("confirm",), ("no",), Row(BACK, "heard_wrong")),
    (("offer stop",), ("yes",), Row("done", "stop")),
    (("offer stop",), ("no",), Row(BACK, "go_on")),
    (("reconsider",), ("yes",), Row(DECIDED, "take_pending")),
    (("reconsider",), ("no",), Row(ASK, "another_plan")),
    (("mend",), ("yes",), Row(SAME, "level_yes")),
    (("mend",), ("no",), Row(SAME, "level_no")),
    (("count",), ("yes", "no"), Row(SAME, "which_count")),
    (("operations", "first", "move", *WORKING, *CHECKING), ("yes", "no"), Row(SAME, "more_than_yes")),
    # help
    (OPEN, ("hint", "stuck"), Row(DECIDED, "hint")),
    (("account",), ("hint",), Row(DECIDED, "hint")),
    (ASKED_BACK, ("why",), Row(SAME, "why")),
    (ASKED_BACK, ("check",), Row(SAME, "how_to_check")),
    (SOLVING, ("example",), Row(SAME, "example")),
    ((*TALKING, *ASIDE), ("progress",), Row(SAME, "progress")),
    ((*TALKING, *ASIDE), ("repeat",), Row(SAME, "repeat")),
    ((*TALKING, *ASIDE), ("slower",), Row(SAME, "slower")),
    ((*TALKING, *ASIDE), ("wording",), Row(SAME, "what_to_say")),
    # commands
    (ASKED_BACK, ("undo",), Row(ASK, "undo")),
    (("confirm", "offer stop"), ("undo",), Row(BACK, "go_on")),
    (TALKING, ("skip",), Row(ASK, "skip")),
    ((*TALKING, *ASIDE), ("stop",), Row("done", "stop")),
    ((*ASKED_BACK, *ASIDE), ("pause",), Row("paused", "pause")),
    (HOLDING, ("pause",), Row(SAME, "wait")),
    (("paused",), ("pause", "silence"), Row(SAME, "nothing")),
    (("paused",), ("stop",), Row("done", "stop")),
    (("paused",), ("yes", "no"), Row(BACK, "nothing")),
    # the opening scene: nothing in it is marked, and "skip" leaves it for the equation
    (("scene tips",), ("scene right",), Row("scene level", "scene_tips")),
    (("scene level",), ("scene right",), Row(ASK, "scene_level")),
    (("scene level",), ("scene back",), Row(SAME, "scene_back")),
    (SCENE, ("scene wrong", "hint", "stuck"), Row(DECIDED, "scene_hint")),
    (SCENE, ("repeat",), Row(SAME, "repeat")),
    (SCENE, ("slower",), Row(SAME, "slower")),
    (SCENE, ("wording",), Row(SAME, "scene_words")),
    (SCENE, ("skip",), Row(ASK, "leave_scene")),
    ((*SCENE, "between"), ("stop",), Row("done", "stop")),
    (SCENE, ("pause",), Row("paused", "pause")),
    (SCENE, ("unclear",), Row(DECIDED, "scene_again")),
    (SCENE, ("doubtful",), Row("confirm", "read_back")),
    (SCENE, ("unheard",), Row(SAME, "say_digits")),
    (SCENE, ("silence",), Row(SAME, "are_you_there")),
    # not understood, not sure, not said
    ((*OPEN, "confirm", "offer stop"), ("unclear",), Row(SAME, "say_again")),
    ((*ASKED_BACK, *ASIDE), ("doubtful",), Row("confirm", "read_back")),
    (("confirm",), ("doubtful",), Row(SAME, "read_back")),
    (("offer stop",), ("doubtful",), Row(SAME, "say_again")),
    ((*ASKED_BACK, *ASIDE, "confirm", "offer stop"), ("unheard",), Row(SAME, "say_digits")),
    (EVERYWHERE, ("distress",), Row("offer stop", "tell_someone")),
    (ASKED_BACK, ("silence",), Row(DECIDED, "silent")),
    ((*HOLDING, *ASIDE), ("silence",), Row(SAME, "are_you_there")),
)


def _table() -> dict[tuple[Phase, EventKind], Row]:
    table: dict[tuple[Phase, EventKind], Row] = {}
    for phases, kinds, row in ROWS:
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
    "confirm": Row(BACK, "listen_again"),
    "offer stop": Row(BACK, "listen_again"),
    "paused": Row(BACK, "listen_again"),
    "reason": Row(BACK, "heard_reason"),
    "scene tips": Row(DECIDED, "scene_again"),
    "scene level": Row(DECIDED, "scene_again"),
    "between": Row(SAME, "nothing"),
    "account": Row(DECIDED, "no_account"),
    "spot": Row(DECIDED, "slip_missed"),
    "compare": Row(DECIDED, "compared"),
    "done": Row(SAME, "nothing"),
}
UNASKED: frozenset[tuple[Phase, EventKind]] = frozenset(
    (phase, kind) for phase in OPEN for kind in KINDS if (phase, kind) not in TABLE
)


def row_for(phase: Phase, kind: EventKind) -> Row:
    """The row for an event; total over every pair."""
    return TABLE.get((phase, kind)) or DEFAULTS.get(phase) or Row(SAME, "ask_again")
