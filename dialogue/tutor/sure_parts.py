"""What is sure of a turn that was not understood: an operation that it names, a number of the line, a wish to be rid of
something, that somebody is thinking. Each is met with the smallest next question, and nothing of it is judged wrong."""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import Literal, cast

from dialogue.acts import Act, Ask, Comment, Describe, Interpretation, PartMove, Term, Value
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Line, Move, Operation, Rewrite
from dialogue.algebra.operations import as_move, done_by, is_done_to_unknown, operations_on
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import next_step
from dialogue.algebra.tree import Expression, Number, Product, SignedTerm, Sum, Unknown, constant, has_unknown
from dialogue.algebra.writing import write
from dialogue.tutor.core.line_in_hand import stands_in
from dialogue.tutor.core.state import State
from dialogue.tutor.own_questions import own_table
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.understanding.normalise import in_lower_case

UNNAMED = re.compile(r"\b(?:something|what number|what|some number|how many)\b")
NUMBER = re.compile(r"(?<![\w.])(\d+)(?![\d.]|\w)")
ANY_NUMBER = re.compile(r"\d+(?:\.\d+)?")
TOLD = re.compile(
    r"\bi (?:just |only |must have |have )?"
    r"(?:added|took|subtracted|times(?:ed|d)|multiplied|divided|shared|plus(?:s?ed)|minus(?:s?ed))\b"
)
OR = re.compile(r"\bor\b")
FEW = 5  # words in which what is done to the unknown is told
BY = re.compile(r"\W*(?:its |it's |it is )?(?:by|into|with) \d+\W*$")
DENIED = re.compile(r"\b(?:not|never|can't|cant|don't|dont|won't|wont|isn't|isnt|was|were|instead|if|when|says?)\b")
SIDE = re.compile(r"\b(?:off|from|of|on|to|onto|at) (?:just |only )?(?:the )?(left|right)\b")
BOTH = re.compile(r"\b(?:both|each|other|every|too|as well|also|same)\b")
GUESSED = 0.5  # how certain a move is that is only put together of its parts: it is asked back


def sure_parts(state: State, text: str) -> Interpretation | None:
    """The parts of a turn that are sure, as what they are where the lesson stands; None where there are none."""
    said = in_lower_case(text)
    if _has(said, "thinking"):
        return Interpretation((Comment("aside"),), sure=True)
    lines = certain_acts(UNNAMED.sub(state.letter, said), "equation", state.letter) or ()
    if UNNAMED.search(said) and lines and all(isinstance(act, Line) for act in lines):  # "4 x what is 60"
        return Interpretation(lines, sure=True)
    named = cast("tuple[Operation, ...]", operations_named(ANY_NUMBER.sub(" ", said)))
    numbers = [constant(Fraction(one)) for one in dict.fromkeys(NUMBER.findall(said))]
    inside = [one for one in numbers if stands_in(one, state.equation)]
    if state.phase == "operations":
        return _told(state, named, inside)
    if state.phase not in {"first", "move"}:
        return None
    if (ordinal := _ordinal(state, said)) is not None:
        return Interpretation((ordinal,), sure=True)
    if len(set(named)) == 1 and len(inside) == 1 == len(numbers):
        move = Move(named[0], inside[0], side_named(state, said) or "unsaid")
        return Interpretation((move,), sure=False, certainty=GUESSED)
    if len(set(named)) == 1 and not numbers:
        return Interpretation((PartMove(named[0]),), sure=True, guessed=True)
    if not named and len(inside) == 1 == len(numbers) and is_done_to_unknown(inside[0], state.equation):
        term = Term(inside[0]) if state.phase == "first" else Value(inside[0])
        return Interpretation((term,), sure=True, guessed=True)
    return Interpretation((Comment("goal"),), sure=True) if _has(said, "rid") else None


def named_beside(state: State, text: str, acts: Sequence[Act]) -> Move | Describe | None:
    """A move that is named in what was only taken for talk ("minus 5 on the right, because it changes sides"): one
    operation and one number of the line; it is asked back. An operation alone that is done to the unknown is told."""
    talk = all(isinstance(act, Comment) and act.kind in {"reason", "notice", "goal", "rule"} for act in acts)
    if not talk or state.phase not in {"first", "move"} or DENIED.search(text.lower()) or "?" in text:
        return None
    named = set(operations_named(text))
    done = next((one for one in operations_on(state.equation) if {one.action} == named), None)
    if done is not None and state.phase == "move" and len(text.split()) <= FEW:
        return Describe((done,))
    parts = sure_parts(state, text)
    step = parts.acts[0] if parts is not None and len(parts.acts) == 1 else None
    return step if isinstance(step, Move) else None


def as_told(state: State, text: str, act: Act) -> Act:
    """Asked about an error, what somebody tells that they did ("oh, i added"): no move to be made now."""
    asked = bool(state.last) and state.last[-1].key == "error"
    return Comment("notice") if asked and isinstance(act, PartMove) and TOLD.search(text.lower()) else act


def neither(state: State, text: str, found: Interpretation) -> Interpretation:
    """ "Divide or minus?": of two operations asked about neither is chosen; it is a wish for help."""
    asked = "?" in text and state.phase in {"operations", "first", "move"} and OR.search(text.lower())
    moves = all(isinstance(act, PartMove | Comment) for act in found.acts)
    named = set(operations_named(ANY_NUMBER.sub(" ", text)))
    return replace(found, acts=(Ask("hint"),), sure=True) if asked and moves and len(named) > 1 else found


def as_undoing_named(state: State, text: str, act: Act) -> Act:
    """Asked which to undo first, a number told with the operation that undoes it ("I would take the 23 away first")."""
    if not isinstance(act, Term) or state.phase != "first" or DENIED.search(text.lower()) or "?" in text:
        return act
    named = set(operations_named(ANY_NUMBER.sub(" ", text)))
    done = next((one for one in operations_on(state.equation) if one.operand == act.term), None)
    move = None if done is None else as_move(done)
    undoes = None if move is None or move.operation == "transfer" else INVERSE[move.operation]
    return Move(undoes, act.term) if undoes is not None and named == {undoes} else act


def as_belief(act: Act) -> Act:
    """That a number beside the unknown is the two together ("4n is 4 and n"): no line, but a guess to be tried."""
    if not isinstance(act, Line):
        return act
    for one, other in (act.equation.sides(), act.equation.sides()[::-1]):
        match one, other:
            case Product((Number() as by, Unknown())), Sum((SignedTerm(1, first), SignedTerm(1, second))):
                if {by, *one.factors} == {first, second}:
                    return Ask("check", f"same: {write(one)}, {write(other)}")
    return act


def as_completed(state: State, text: str, act: Act) -> Act:
    """ "By 5", just after it was told that the unknown is shared: the number of that account, and no move."""
    told = any(reply.key in {"operation right", "operations right"} for reply in state.last)
    if not told or state.phase != "move" or not isinstance(act, Move) or BY.match(text.lower()) is None:
        return act
    done = next((one for one in operations_on(state.equation) if one.operand == act.operand), None)
    return act if done is None else Describe((done,))


def with_number_said(state: State, text: str, act: Act) -> Act:
    """An operation without its number, with the one number of the line that is named ("4 times n, so divide?")."""
    if not isinstance(act, PartMove) or act.operation is None or act.operand is not None or state.phase != "move":
        return act
    numbers = [constant(Fraction(one)) for one in dict.fromkeys(NUMBER.findall(text.lower()))]
    known = len(numbers) == 1 and any(one.operand == numbers[0] for one in operations_on(state.equation))
    return Move(act.operation, numbers[0], act.sides) if known else act


def with_number_of_line(text: str, acts: Sequence[Act]) -> tuple[Act, ...]:
    """The acts, with an operation that names no number and comes after a line, where that line's next step is that
    operation with a number of the text ("43 = 4n - 5. do I take 5 away or add it? add"), as that move."""
    found: list[Act] = []
    step: Move | Rewrite | None = None
    for act in acts:
        if isinstance(act, Line):
            step = _step_of(act.equation)
        bare = act if isinstance(act, PartMove) and act.operand is None else None
        if bare is not None and isinstance(step, Move) and bare.operation == step.operation:
            named = not has_unknown(step.operand) and str(linear(step.operand).constant) in NUMBER.findall(text.lower())
            act = Move(step.operation, step.operand, bare.sides) if named else act
        found.append(act)
    return tuple(found)


def _step_of(line: Equation) -> Move | Rewrite | None:
    try:
        return next_step(line)
    except Refusal:  # the unknown is below a line
        return None


def side_named(state: State, said: str) -> Literal["left", "right"] | None:
    """The one side that is spoken of ("off the left", "from the 4n side"); None where both are, or neither is."""
    if BOTH.search(said):
        return None
    sides = set(SIDE.findall(said))
    names: tuple[Literal["left"], Literal["right"]] = ("left", "right")
    for name, side in zip(names, state.equation.sides(), strict=True):
        number = constant(linear(side).constant) if not has_unknown(side) else None
        shown = rf"\d*{state.letter}" if number is None else re.escape(write(number))
        one_of_two = number is not None or not all(map(has_unknown, state.equation.sides()))
        if one_of_two and re.search(rf"(?<![\w.]){shown} side\b", said):
            sides.add(name)
    return cast('Literal["left", "right"]', sides.pop()) if len(sides) == 1 else None


def on_side_named(state: State, text: str, found: Interpretation) -> Interpretation:
    """Asked for the number of a move: that number, with the one side that is spoken of beside it."""
    side = side_named(state, in_lower_case(text)) if state.phase == "part" else None
    number = next((act for act in found.acts if isinstance(act, Value)), None)
    if side is None or number is None or state.part is None or state.part.operand is not None:
        return found
    part = PartMove(None, number.value, side)
    return replace(found, acts=tuple(part if act is number else act for act in found.acts))


def _told(state: State, named: Sequence[Operation], numbers: Sequence[Expression]) -> Interpretation | None:
    """Asked what happens to the unknown: what is named of it, in order, and what is to undo it after that."""
    asked = operations_on(state.equation)
    right = next(
        (count for count in range(len(asked), 0, -1) if [one.action for one in asked[:count]] == list(named[:count])), 0
    )
    undone = [one for one in named[right:] if any(done.action == INVERSE[one] for done in asked)]
    acts: list[Act] = [Describe(asked[:right])] if right else []
    if right and undone:
        acts.append(PartMove(undone[0]))
    if not acts and len(numbers) == 1 and named:
        done = done_by(Move(named[0], numbers[0]))
        acts = [Describe((done,))] if done is not None else []
    elif not acts and len(numbers) == 1:
        acts = [Value(numbers[0])]
    return Interpretation(tuple(acts), sure=True, guessed=True) if acts else None


def _ordinal(state: State, said: str) -> Term | None:
    """ "The last one", asked which to undo first."""
    asked = operations_on(state.equation) if state.phase == "first" else ()
    at = 0 if _has(said, "first") else -1 if _has(said, "last") else None
    number = asked[at].operand if asked and at is not None else None
    return Term(number) if isinstance(number, Number) else None


def _has(said: str, row: str) -> bool:
    return _rows()[row].search(said) is not None


@cache
def _rows() -> dict[str, re.Pattern[str]]:
    return {row: re.compile("|".join(phrases)) for row, phrases in own_table()["parts"].items()}
