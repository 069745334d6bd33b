"""A move that is only asked about ("why can't I divide by 8?"): what it would give is there to be looked at."""

from dialogue.algebra.moves import INVERSE, Move
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.judgement import judge
from dialogue.tutor.core.line_in_hand import is_too_long
from dialogue.tutor.core.state import State
from dialogue.tutor.moves.of_factors import off_a_factor
from dialogue.verbalising.sayings import Saying


def what_if(state: State, text: str) -> Saying:
    """What the move named as "divide 8" would give; of one that helps only that it may be made, for it is the learner's
    to make."""
    name, _, number = text.partition(" ")
    operation = next(one for one in INVERSE if one == name)
    move = Move(operation, read_expression(number, state.letter), "both")
    try:
        verdict = judge(state.equation, move)
    except Refusal:
        return Saying("answer allowed")
    if verdict.result is None or verdict.reason or verdict.closer or is_too_long(verdict):
        return Saying("answer allowed")
    return off_a_factor(state, move) or Saying("answer what if", {"move": move, "line": verdict.result})
