"""Whether a move that was read on one side may have been said of both: then the other side is asked for, and nobody is
told that the balance tips. A move said of one side alone keeps its tilt."""

from dialogue.acts import Interpretation
from dialogue.algebra.moves import Move
from dialogue.tutor.core.state import HOLDING, OtherSide, State


def other_side(state: State, found: Interpretation | None) -> OtherSide:
    """How it stands with the other side in this turn; that it was asked for is kept until it is answered."""
    if state.phase in HOLDING and state.may_be_both and state.held:  # the move waits
        return state.other_side
    both = _may_be_both(found)
    if state.phase != "mend":
        return "may be said" if both else ""
    if state.asked_of_other:
        return "asked, may be said" if both else "asked"
    return "tips, may be said" if both else ""


def _may_be_both(found: Interpretation | None) -> bool:
    moves = [act for act in found.acts if isinstance(act, Move)] if found is not None else []
    if found is None or not any(move.sides in {"left", "right"} for move in moves):
        return False
    sure = found.sure and not found.guessed
    return "one only" not in found.marks and (not sure or "both" in found.marks)
