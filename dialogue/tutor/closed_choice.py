"""The answer to "would it be this, or that?": the one of two moves that a few words pick out."""

import re
from collections.abc import Sequence

from dialogue.acts import PartMove
from dialogue.algebra.moves import INVERSE, Move
from dialogue.algebra.solver import next_step
from dialogue.tutor.core.state import State
from dialogue.verbalising.replies import as_read_back

WORD = re.compile(r"[a-z]+")
ORDINALS = (("first", "1st"), ("second", "2nd", "last"))
LEAST = 3  # letters in which a word must begin like one of the move's ("add" of "added")


def chosen_move(state: State, text: str) -> Move | None:
    """The move of the two that the tutor just named, where what is said fits one of them alone; None where it fits
    both or neither, or no two were named."""
    two = _two(state)
    if not two:
        return None
    words = WORD.findall(text.lower())
    kinds = [set(WORD.findall(as_read_back(move).lower())) for move in two]
    apart = [kinds[0] - kinds[1], kinds[1] - kinds[0]]
    fits = [_names(words, apart[place]) or bool(set(ORDINALS[place]) & set(words)) for place in (0, 1)]
    return two[fits.index(True)] if fits.count(True) == 1 else None


def picked_out(state: State, part: PartMove) -> Move | None:
    """The one of the two by its operation alone ("off?")."""
    fits = [move for move in _two(state) if move.operation == part.operation and part.operand is None]
    return fits[0] if len(fits) == 1 else None


def _two(state: State) -> list[Move]:
    """The moves that were just named, in the order of the question; none where none were."""
    step = next_step(state.equation)
    if state.phase != "move" or not state.last or state.last[-1].key != "choices move" or not isinstance(step, Move):
        return []
    two = [Move(step.operation, step.operand, "both"), Move(INVERSE[step.operation], step.operand, "both")]
    return sorted(two, key=lambda move: state.last[-1].text.find(as_read_back(move)))


def _names(said: Sequence[str], words: set[str]) -> bool:
    return any(one == word or (len(one) >= LEAST and word.startswith(one)) for one in said for word in words)
