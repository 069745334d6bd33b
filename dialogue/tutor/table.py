"""The tutor's behaviour as one literal table: (phase, kind of event) -> (next phase, effect).

As the next phase, ``ASK`` means the first question that this line still needs; ``DECIDED`` that the effect chooses,
because it depends on the line (a result asked for whole or side by side, a check that ends or goes on, a hint that
moves on); ``SAME`` stays; ``BACK`` returns to the phase that was left. An effect is a function of that name in the
``effects`` modules: it changes what is remembered and names the wordings to be said. The diagram in DEVELOPERS.md is
drawn from this table.
"""

from typing import NamedTuple, get_args

from dialogue.tutor.events import KINDS, Kind
from dialogue.tutor.state import Phase

PHASES: tuple[Phase, ...] = get_args(Phase)
ASK, DECIDED, SAME, BACK = "ASK", "DECIDED", "SAME", "BACK"


class Row(NamedTuple):
    """What follows: the next phase (or ASK, SAME, BACK) and the effect's name."""

    next: str
    effect: str


ASKING: tuple[Phase, ...] = ("operations", "first", "move", "mend", "reconsider")
WORKING: tuple[Phase, ...] = ("left", "right", "line")
CHECKING: tuple[Phase, ...] = ("check left", "check right")
OPEN: tuple[Phase, ...] = (*ASKING, *WORKING, *CHECKING, "count")
TALKING: tuple[Phase, ...] = (*OPEN, "confirm", "offer stop")
EVERYWHERE: tuple[Phase, ...] = (*TALKING, "paused")

ROWS: tuple[tuple[tuple[Phase, ...], tuple[Kind, ...], Row], ...] = (
    # a whole move is taken whenever it is offered
    (OPEN, ("move closer",), Row(DECIDED, "take_move")),
    (OPEN, ("move level",), Row(DECIDED, "still_true")),
    (OPEN, ("move one side",), Row("mend", "tilt")),
    (("mend",), ("move other side",), Row(DECIDED, "levelled")),
    (OPEN, ("move by zero",), Row(DECIDED, "by_zero")),
    (OPEN, ("move by unknown",), Row(DECIDED, "by_unknown")),
    (OPEN, ("move divides by zero",), Row(DECIDED, "divides_by_zero")),
    (OPEN, ("move names nothing",), Row("move", "which_operation")),
    (OPEN, ("rewrite closer",), Row("line", "take_rewrite")),
    (OPEN, ("rewrite idle",), Row(SAME, "nothing_to_rewrite")),
    # the next line, or the answer, is taken whenever it is offered
    (OPEN, ("line closer",), Row(ASK, "take_line")),
    (OPEN, ("line level",), Row("move", "line_still_true")),
    (OPEN, ("line ends",), Row("count", "take_line")),
    (OPEN, ("line broken",), Row(DECIDED, "line_breaks")),
    (OPEN, ("answer",), Row("check left", "put_it_in")),
    (WORKING, ("line kept",), Row(ASK, "take_result")),
    (WORKING, ("line elsewhere",), Row(SAME, "true_but_not_that")),
    (WORKING, ("left wrong", "right wrong", "both wrong"), Row(DECIDED, "check_arithmetic")),
    # answers to the questions about the unknown
    (("operations",), ("described",), Row(ASK, "operations_right")),
    (("operations",), ("described wrong",), Row(DECIDED, "operations_wrong")),
    (("operations",), ("term named", "term unknown"), Row(DECIDED, "operations_wrong")),
    (("first",), ("term named",), Row("move", "term_named")),
    (("first",), ("term unknown", "described", "described wrong"), Row(SAME, "term_unknown")),
    (("move", "mend", "reconsider", "count"), ("term named", "term unknown"), Row(SAME, "name_the_move")),
    # each side in turn
    (("left",), ("value right",), Row("right", "left_right")),
    (("right",), ("value right",), Row(ASK, "right_right")),
    (("left", "right"), ("value wrong",), Row(DECIDED, "check_arithmetic")),
    (("line",), ("value unasked",), Row(SAME, "whole_line")),
    # the answer put in: the same words whether it fits or not, until both sides are worked out
    (("check left",), ("value right",), Row(DECIDED, "left_checked")),
    (("check right",), ("value right",), Row(DECIDED, "right_checked")),
    (CHECKING, ("value wrong", "both wrong"), Row(SAME, "work_it_out_again")),
    (CHECKING, ("line kept",), Row(DECIDED, "right_checked")),
    # none, or every number
    (("count",), ("verdict right",), Row(DECIDED, "counted_right")),
    (("count",), ("verdict wrong",), Row(SAME, "counted_wrong")),
    ((*ASKING, *WORKING, *CHECKING), ("verdict right", "verdict wrong"), Row("move", "show_me_the_line")),
    # yes and no, where they answer something
    (("confirm",), ("yes",), Row(BACK, "heard_right")),
    (("confirm",), ("no",), Row(BACK, "heard_wrong")),
    (("offer stop",), ("yes",), Row("done", "stop")),
    (("offer stop",), ("no",), Row(BACK, "go_on")),
    (("reconsider",), ("yes",), Row(DECIDED, "take_pending")),
    (("reconsider",), ("no",), Row("move", "another_plan")),
    (("mend",), ("yes", "no"), Row(SAME, "make_it_level")),
    (("operations", "first", "move", "count", *WORKING, *CHECKING), ("yes", "no"), Row(SAME, "more_than_yes")),
    # a number alone where an operation was asked for
    (("operations", "move", "mend", "reconsider", "count"), ("value unasked",), Row(SAME, "name_the_move")),
    # help
    (ASKING, ("hint", "stuck"), Row(DECIDED, "hint")),
    ((*WORKING, *CHECKING, "count"), ("hint", "stuck"), Row(DECIDED, "hint")),
    (OPEN, ("why",), Row(SAME, "why")),
    (OPEN, ("check",), Row(SAME, "how_to_check")),
    (OPEN, ("example",), Row(SAME, "example")),
    (TALKING, ("progress",), Row(SAME, "progress")),
    (TALKING, ("repeat",), Row(SAME, "repeat")),
    (TALKING, ("slower",), Row(SAME, "slower")),
    (TALKING, ("wording",), Row(SAME, "what_to_say")),
    # commands
    (OPEN, ("undo",), Row(ASK, "undo")),
    (("confirm", "offer stop"), ("undo",), Row(BACK, "go_on")),
    (TALKING, ("skip",), Row(DECIDED, "skip")),
    (TALKING, ("stop",), Row("done", "stop")),
    (TALKING, ("pause",), Row("paused", "pause")),
    (("paused",), ("pause", "silence"), Row(SAME, "nothing")),
    (("paused",), ("stop",), Row("done", "stop")),
    # not understood, not sure, not said
    (TALKING, ("unclear",), Row(SAME, "say_again")),
    (OPEN, ("doubtful",), Row("confirm", "read_back")),
    (("confirm",), ("doubtful",), Row(SAME, "read_back")),
    (("offer stop",), ("doubtful",), Row(SAME, "say_again")),
    (TALKING, ("unheard",), Row(SAME, "say_digits")),
    (EVERYWHERE, ("distress",), Row("offer stop", "tell_someone")),
    (TALKING, ("silence",), Row(SAME, "are_you_there")),
)


def _table() -> dict[tuple[Phase, Kind], Row]:
    table: dict[tuple[Phase, Kind], Row] = {}
    for phases, kinds, row in ROWS:
        for phase in phases:
            for kind in kinds:
                if (phase, kind) in table:
                    raise ValueError(f"two rows for {phase!r} and {kind!r}")
                table[phase, kind] = row
    return table


TABLE = _table()

# Pairs with no row, and why each cannot come up or must change nothing:
#   "confirm" and "offer stop" ask yes or no: any other content means "listen to this instead" (BACK, then again);
#   "paused" takes any word as "go on": the phase left is restored and the word is heard there;
#   "done" hears nothing more;
#   the rest are answers to questions that were not asked: the question is put again.
LISTEN_AGAIN: tuple[Phase, ...] = ("confirm", "offer stop", "paused")
UNASKED: frozenset[tuple[Phase, Kind]] = frozenset(
    (phase, kind) for phase in OPEN for kind in KINDS if (phase, kind) not in TABLE
)


def row_for(phase: Phase, kind: Kind) -> Row:
    """The row for an event; total over every pair."""
    if phase == "done":
        return Row(SAME, "nothing")
    found = TABLE.get((phase, kind))
    if found is not None:
        return found
    return Row(BACK, "listen_again") if phase in LISTEN_AGAIN else Row(SAME, "ask_again")
