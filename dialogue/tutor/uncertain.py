"""What was understood without being sure of it: what need not be asked back, because it goes with where the lesson is.

A reading that follows from the line, all of it, is hardly a misreading of something else, and is taken; the reply names
it. One that would be judged wrong is asked back, so that nobody is judged on what they may not have said. While it
is asked back, whoever says it again, or goes on with what makes sense only after it, has answered.
"""

from collections.abc import Sequence
from dataclasses import replace

from dialogue.acts import Act, Comment, Control, Refused, Say
from dialogue.algebra.moves import Move, Rewrite
from dialogue.tutor.advance import fold
from dialogue.tutor.assess import decide
from dialogue.tutor.core.events import Advanced, Event, EventKind
from dialogue.tutor.core.state import HOLDING, SOLVING, State
from dialogue.tutor.ordering import CONTENT, ordered

FOLLOWS: frozenset[EventKind] = frozenset(
    {
        "move closer", "move further", "move other side", "rewrite closer", "line kept", "line closer", "line ends",
        "value right", "value of other side", "answer", "verdict right", "described", "described part", "term named",
        "values right", "move part",
    }
)  # fmt: skip
BESIDE: frozenset[EventKind] = frozenset({"sum right", "comment", "hint", "stuck", "why", "meaning", "check", "yes"})
REASONED = frozenset({"reason", "rule", "notice"})  # talk that makes sense only after a yes
YES = Event("yes", Say("yes"))


def leads_on(state: State, acts: Sequence[Act]) -> bool:
    """Whether all of the acts, heard in this state, lead on: at least one step, and none that would be judged wrong."""
    if state.phase not in SOLVING or any(isinstance(act, Control | Refused) for act in acts):
        return False
    plan = ordered(state, acts)
    if not plan.acts or plan.corrected:
        return False
    return _all_follow(fold(state, decide(state, plan.acts[0]), plan.acts[1:]), len(plan.acts))


def answers_read_back(state: State, acts: Sequence[Act]) -> Sequence[Act] | None:
    """Where something is being asked back: the acts to be heard after it, where they say it again or make sense only
    after it; None where they answer nothing."""
    if state.phase != "confirm" or state.by_ear or not all(isinstance(act, (*CONTENT, Comment)) for act in acts):
        return None
    said = [act for act in acts if isinstance(act, CONTENT)]
    if not said and not all(isinstance(act, Comment) and act.kind in REASONED for act in acts):
        return None
    if said and all(any(_same(act, held) for held in state.held) for act in said):
        return ()
    rest = ordered(left(state), acts).acts
    if any(isinstance(act, Rewrite) for act in rest):  # a rewrite would take the place of a move held
        return None
    return rest if _all_follow(fold(state, YES, rest), len(state.held) + len(rest)) else None


def left(state: State) -> State:
    """The lesson in the question that was open before something was held, or before it paused."""
    waits = state.phase in {*HOLDING, "paused"}
    return replace(state, phase=state.back, held=(), rivals=()) if waits else state


def answered_by(state: State, acts: Sequence[Act]) -> bool | None:
    """The yes or no that something asked back is answered with, whatever else is said beside it; None where there is
    none, or both."""
    said = {act.what for act in acts if isinstance(act, Say)}
    talk = all(isinstance(act, Say | Comment) for act in acts)
    return said == {"yes"} if state.phase == "confirm" and talk and said in ({"yes"}, {"no"}) else None


def _all_follow(turns: Sequence[Advanced], acts: int) -> bool:
    kinds = [event.kind for turn in turns for event in turn.events]
    return len(kinds) >= acts and any(kind in FOLLOWS for kind in kinds) and set(kinds) <= FOLLOWS | BESIDE


def _same(act: Act, held: Act) -> bool:
    if isinstance(act, Move) and isinstance(held, Move) and "unsaid" in {act.sides, held.sides}:
        return replace(act, sides="both") == replace(held, sides="both")
    return act == held
