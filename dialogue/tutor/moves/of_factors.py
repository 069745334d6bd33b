"""What a number times the unknown, or a bracket, means, and what comes of taking it for a number that is added."""

from collections.abc import Callable

from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move
from dialogue.algebra.tree import Expression, Number, Product, Sum, has_unknown, walk
from dialogue.tutor.core.mistakes import amount_for, last_error, question_on
from dialogue.tutor.core.state import State
from dialogue.verbalising.sayings import Filling, Saying


def of_pending(state: State) -> Saying | None:
    """Of a move in hand that takes a factor for something added: what stands side by side means."""
    return _lots("answer lots", state, state.pending) if isinstance(state.pending, Move) else None


def off_a_factor(state: State, move: Move) -> Saying | None:
    """What a factor taken off as if it were added leaves; None of another move."""
    return _lots("answer off a factor", state, move) if move.operation == "subtract" else None


def _lots(key: str, state: State, move: Move) -> Saying | None:
    found = product_on(state, bracket=False)
    if found is None or found[1] != move.operand or move.operation not in {"add", "subtract"}:
        return None
    return _said_of(key, *found)


def _said_of(key: str, product: Expression, by: Expression) -> Saying:
    """What is said of a product, its number, and what it is a number of; of a bracket, that it is of all of it."""
    body = product.factors[-1] if isinstance(product, Product) else product
    key = "answer means lots" if key == "answer lots" and isinstance(body, Sum) else key
    return Saying(key, {"term": product, "by": by, "sum": body})


def product_on(state: State, bracket: bool) -> tuple[Expression, Expression] | None:
    """A number times the unknown or a bracket, as the line has it, and that number; the newest line that has one."""
    for line in reversed(state.board):
        for side in line.equation.sides():
            for piece in walk(side):
                match piece:
                    case Product((Number() as number, body)) if has_unknown(body) and (
                        isinstance(body, Sum) or not bracket
                    ):
                        return piece, number
    return None


def as_lots(state: State, action: str = "add") -> Saying | None:
    """What a number times the unknown comes to for some number, and not what it would be with the number added, or
    taken off."""
    found = product_on(state, bracket=False)
    if found is None or not isinstance(found[1], Number) or linear(found[0]).constant:
        return None
    by = found[1].value
    amount = amount_for(state.equation, by)
    other = by + amount if action == "add" else amount - by
    if other < 0:
        return None
    values: dict[str, Filling] = {"amount": amount, "value": by * amount, "other": other, "unknown": state.letter}
    return Saying("hint means", {**values, "term": found[0]})


def added_inside(product: Expression) -> Expression | None:
    """The number beside the unknown in a bracket: 10 of 2(n + 10)."""
    pieces = (piece for body in walk(product) if isinstance(body, Sum) for piece in body.terms)
    return next((piece.body for piece in pieces if isinstance(piece.body, Number)), None)


def of_product(key: str, bracket: bool = False) -> Callable[[State], Saying]:
    """The answer in the numbers of the line, where it has a number times something; else in general."""

    def respond(state: State) -> Saying:
        found = product_on(state, bracket)
        return Saying(f"{key}, any") if found is None else _said_of(key, *found)

    return respond


def why_it_failed(state: State) -> Saying | None:
    """Why what led to an answer that did not fit did not work: of a factor taken off, what that leaves; of another
    known error its question. None where nothing is known of it."""
    error = last_error(state)
    if error is None or not state.tried or state.pending is not None or state.failed is not None:
        return None
    found = product_on(state, bracket=False)
    if error == "subtract-coefficient" and found is not None:
        return off_a_factor(state, Move("subtract", found[1]))
    return question_on(state, error, met=1)
