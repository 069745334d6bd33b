"""What was taken wrongly and is put right by whoever said it ("no no, i said by 8"): the move in hand with the number
that was said, or the answer that was meant; the rest of the turn is heard with it."""

import re
from dataclasses import replace
from fractions import Fraction

from dialogue.acts import CONTENT, Act, Comment, Interpretation, Say, Unclear, Value, Work
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Unknown, constant, has_unknown
from dialogue.tutor.core.state import CHECKING, WORKING, State
from dialogue.understanding.phrase_spotting import denies

NUMBER = r"(?P<new>-?\d+(?:\.\d+)?)(?![\w/]|\.\d)"
SAID = re.compile(rf"\b(?:said|meant|ment|typed|wrote|put)\s+(?P<by>by )?(?:(?:its|it's|n|x|is|=)\s+)*{NUMBER}")
DENIED = r"(?:not|(?:did ?n'?t|never) (?:say|said|mean|put|type|write))"
NOT = re.compile(rf"\b{DENIED}\s+(?P<old>-?\d+(?:\.\d+)?)(?![\w/]|\.\d)")
BY = re.compile(rf"^\W*(?:(?:no|i said|i meant|and)\W+)*by {NUMBER}\W*$")
ALONE = re.compile(rf"[.!?,;]\s+(?:(?:its|it's|so)\s+)?{NUMBER}\W*$")


def objected(state: State, text: str, found: Interpretation) -> Interpretation:
    """The turn with what it puts right in place of what was taken; any other turn as it was."""
    said = text.lower()
    meant, denied = SAID.search(said), NOT.search(said)
    old = None if denied is None else Fraction(denied["old"])
    numbers = [act for act in found.acts if isinstance(act, Value) and not has_unknown(act.value)]
    if isinstance(state.pending, Move) and state.phase in {"reconsider", *WORKING}:
        return _of_move(state, state.pending, said, meant, old, found, numbers)
    if state.phase in CHECKING and state.guess is not None:
        alone = ALONE.search(said)
        if meant is None and alone is not None and denies(said[: alone.start()]):
            meant = alone
        return _of_answer(state, state.guess, meant, old, found, numbers)
    return found


def _of_move(
    state: State,
    move: Move,
    said: str,
    meant: re.Match[str] | None,
    old: Fraction | None,
    found: Interpretation,
    numbers: list[Value],
) -> Interpretation:
    if has_unknown(move.operand) or any(isinstance(act, Move) for act in found.acts):
        return found
    operand, again = linear(move.operand).constant, BY.search(said)
    if again is not None and numbers and Fraction(again["new"]) == operand:
        return replace(found, acts=tuple(move if act is numbers[0] else act for act in found.acts), sure=True)
    if meant is None or not (meant["by"] or state.phase == "reconsider" or old == operand):
        return found
    new = Fraction(meant["new"])
    if new == operand or (old is not None and old != operand):
        return found
    rest = _without(found, new)
    other = Move(move.operation, constant(new), "both")
    return replace(found, acts=(Say("no"), other, *rest, Comment("object")), sure=True, guessed=False)


def _of_answer(
    state: State,
    guess: Fraction,
    meant: re.Match[str] | None,
    old: Fraction | None,
    found: Interpretation,
    numbers: list[Value],
) -> Interpretation:
    if meant is None or any(isinstance(act, CONTENT) and not isinstance(act, Value | Work) for act in found.acts):
        return found
    new = Fraction(meant["new"])
    if new in {guess, *(value_at(side, guess) for side in state.task.equation.sides())} or old not in {None, guess}:
        return found
    if old is None and all(linear(one.value).constant != new for one in numbers):
        return found
    line = Line(Equation(Unknown(state.letter), constant(new), state.letter))
    return replace(found, acts=(line, *_without(found, new), Comment("object")), sure=True, rivals=())


def _without(found: Interpretation, number: Fraction) -> list[Act]:
    """What else was said."""
    again = {Value(constant(number)), Say("no"), Comment("object")}
    return [act for act in found.acts if act not in again and not isinstance(act, Unclear)]
