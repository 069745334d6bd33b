"""Questions about an equation that is over ("why was the 4n one wrong"): answered from that equation, with the answer
that was given there put in, or by what its term means; never with the reason of the equation in hand."""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Number, Product, Unknown, constant, has_unknown, walk
from dialogue.algebra.writing import BOARD, write
from dialogue.tutor.core.line_in_hand import put_in
from dialogue.tutor.core.state import State
from dialogue.tutor.core.told import told_least
from dialogue.verbalising.sayings import Filling, Saying

OF_EARLIER, OF_TAKING_OFF, OF_NUMBER_TOLD = (
    "earlier: ",
    "earlier, off: ",
    "came to: ",
)  # what such a question is about begins so


class Missed(NamedTuple):
    """An answer that did not fit, and its equation."""

    place: int
    equation: Equation
    guess: Fraction


def is_of_earlier(about: str) -> bool:
    """Whether a question is about what is over."""
    return about.startswith((OF_EARLIER, OF_TAKING_OFF, OF_NUMBER_TOLD))


def of_earlier(state: State, about: str) -> Saying:
    """The answer; that there is none where nothing is known of it."""
    kind, _, what = about.partition(": ")
    if f"{kind}: " == OF_NUMBER_TOLD:
        found = came_from(state, Fraction(what))
        return Saying("answer missed") if found is None else _put_in(found)
    place, term = next(((place, one) for place, one in earlier_terms(state) if write(one, BOARD) == what), (0, None))
    if term is None:
        return Saying("answer missed")
    named: dict[str, Filling] = {"term": term, "by": term.factors[0]}
    given = [one for one in _missed(state) if one.place == place][:1]
    shown, off = [_put_in(one) for one in given], Saying("answer off a factor", named)
    if f"{kind}: " == OF_TAKING_OFF:
        return told_least(state, off, *shown)
    taken = any(one.guess + linear(term.factors[0]).constant in _numbers(one.equation) for one in given)
    return told_least(state, *shown, off if taken else Saying("answer lots", named))


def is_of_the_one_before(state: State, answer: Fraction) -> bool:
    """Whether an answer is that of the equation just solved, said once more when the next is on the board already."""
    before = state.place - 1
    if before not in state.solved or state.turn != state.began or answer == state.task.equation.solution().value:
        return False
    return state.plan.tasks[before].equation.solution().value == answer


def fitted_the_one_before(state: State) -> Saying:
    """That it was right, and of which equation."""
    over = state.plan.tasks[state.place - 1].equation
    return Saying("fitted before", {"guess": over.solution().value or Fraction(0), "line": over})


def earlier_terms(state: State) -> Iterator[tuple[int, Product]]:
    """The numbers times the unknown in equations that are over and not in the one in hand, the latest first."""
    here = {write(one, BOARD) for line in state.board for one in _products(line.equation)}
    for place in range(min(state.place, len(state.plan.tasks)) - 1, -1, -1):
        for one in _products(state.plan.tasks[place].equation):
            if write(one, BOARD) not in here:
                yield place, one


def came_from(state: State, number: Fraction) -> Missed | None:
    """The answer that did not fit and made this number on a side."""
    for one in _missed(state):
        if any(has_unknown(side) and value_at(side, one.guess) == number for side in one.equation.sides()):
            return one
    return None


def _missed(state: State) -> Iterator[Missed]:
    here = ((state.place, guess) for guess in reversed(state.tried))
    for place, guess in (*here, *reversed(state.missed)):
        if place < len(state.plan.tasks):
            yield Missed(place, state.plan.tasks[place].equation, guess)


def _numbers(equation: Equation) -> list[Fraction]:
    return [Fraction(linear(side).constant) for side in equation.sides() if not has_unknown(side)]


def _products(equation: Equation) -> Iterator[Product]:
    for side in equation.sides():
        for piece in walk(side):
            match piece:
                case Product((Number(), Unknown())):
                    yield piece


def _put_in(missed: Missed) -> Saying:
    line, guess = missed.equation, missed.guess
    left, right = (constant(value_at(side, guess)) for side in line.sides())
    values: dict[str, Filling] = {"first": line, "guess": guess, "left": left, "right": right}
    if all(map(has_unknown, line.sides())):
        return Saying("answer earlier, both", values)
    side, other = line.sides() if has_unknown(line.left) else line.sides()[::-1]
    value = constant(value_at(side, guess))
    return Saying("answer earlier", {**values, "sum": put_in(side, guess), "value": value, "other": other})
