"""What an effect wants said: a wording's key and the things to put into it, not yet words."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TypeAlias

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move, Rewrite
from dialogue.algebra.solver import is_solved, next_step
from dialogue.algebra.tree import Expression, Unknown, has_unknown
from dialogue.meaning import Meaning
from dialogue.tutor.events import Event
from dialogue.tutor.operations import Done, operations_on
from dialogue.tutor.state import BoardLine, Level, Phase, State

Filling: TypeAlias = Equation | Expression | Move | Rewrite | Fraction | str | int | tuple[Done, ...] | Meaning

FADES_AFTER = 2  # unaided answers after which a question is no longer asked (rule 7 of the trade: our reading)


@dataclass(frozen=True, slots=True)
class Saying:
    """A wording to be said; ``values`` fill its places."""

    key: str
    values: Mapping[str, Filling] = field(default_factory=dict)


Outcome: TypeAlias = tuple[State, tuple[Saying, ...]]
Effect: TypeAlias = Callable[[State, Event], Outcome]


def begin_task(state: State, place: int) -> State:
    """The first line of a task on a clean board, or the end of the lesson."""
    if place >= len(state.plan.tasks):
        return replace(state, place=place, phase="done")
    equation = state.plan.tasks[place].equation
    fresh = replace(state, place=place, board=(BoardLine(equation),), aided="independent")
    return with_question(cleared(fresh))


def cleared(state: State) -> State:
    """The same line with nothing pending and no hints or failures counted."""
    return replace(
        state, pending=None, side=None, guess=None, guess_errors=(), held=None,
        rung=0, tries=0, level_moves=0, doubts=0,
    )  # fmt: skip


def with_line(state: State, line: Equation, note: Move | Rewrite | None, level: Level | None = None) -> State:
    """A new line of working on the board, and the question it needs next."""
    added = BoardLine(line, note, level or state.aided)
    return with_question(replace(cleared(state), board=(*state.board, added), aided="independent"))


def with_question(state: State) -> State:
    """The phase of the first question that this line still needs; an answer on the board is to be put in first."""
    answer = answer_on(state.equation)
    if answer is not None:
        return replace(state, phase="check left", guess=answer)
    return replace(state, phase=_question(state))


def _question(state: State) -> Phase:
    if is_solved(state.equation) or not any(has_unknown(side) for side in state.equation.sides()):
        return "count"
    known = operations_on(state.equation)
    if len(state.board) == 1 and known and state.count("operations") < FADES_AFTER:
        return "operations"
    if len(known) > 1 and state.count("first") < FADES_AFTER and len(state.board) == 1:
        return "first"
    return "move"


def after_operations(state: State) -> State:
    """The question after "what happens to x?": which to undo first, where there is a choice."""
    several = len(operations_on(state.equation)) > 1 and state.count("first") < FADES_AFTER
    return replace(state, phase="first" if several else "move", rung=0)


def with_pending(state: State, step: Move | Rewrite) -> State:
    """A step accepted: its result is asked for side by side, or as a whole line once that has been mastered."""
    faded = state.count("sides") >= FADES_AFTER or isinstance(step, Rewrite)
    return replace(state, pending=step, side=None, phase="line" if faded else "left", rung=0)


def answer_on(line: Equation) -> Fraction | None:
    """The number claimed for the unknown, where the line is solved for it."""
    if not is_solved(line):
        return None
    for one, other in (line.sides(), line.sides()[::-1]):
        if isinstance(one, Unknown):
            return linear(other).constant
    return None


def prompted(state: State) -> State:
    """The present step can no longer count as independent."""
    return state if state.aided == "shown" else replace(state, aided="prompted")


def with_errors(state: State, event: Event) -> State:
    """The first-listed error of a judged step, remembered with its equation."""
    errors = event.judgement.errors if event.judgement else ()
    return replace(state, seen=(*state.seen, (state.place, errors[0]))) if errors else state


def is_pattern(state: State) -> str | None:
    """The latest error, if it has now been seen on two equations (one instance is never a label)."""
    if not state.seen:
        return None
    latest = state.seen[-1][1]
    places = {place for place, error in state.seen if error == latest}
    return latest if len(places) >= 2 else None


def about_error(state: State, errors: tuple[str, ...]) -> Saying:
    """The question that the likeliest error asks for: its first one, and a further one each time it is met again."""
    if not errors:
        return Saying("line breaks")
    step = next_step(state.equation)
    term = step.operand if isinstance(step, Move) else state.equation.left
    met = sum(error == errors[0] for _, error in state.seen)
    left, right = state.equation.sides()
    values: dict[str, Filling] = {"error": errors[0], "met": met, "term": term, "left": left, "right": right}
    return Saying("error", values)
