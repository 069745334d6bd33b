"""Questions about the working itself: whether another way gives the same, whose a sign is, why the other side stays,
whether an answer, or a choice, was right. What is said to be right was put in or judged here, and is no next step."""

from collections.abc import Callable
from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Move
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, Negative, Number, Product, SignedTerm, Sum, constant, walk
from dialogue.judgement import judge
from dialogue.tutor.core.state import State
from dialogue.tutor.moves.conjectures import conjecture
from dialogue.verbalising.sayings import Filling, Saying

COULD_HAVE, WAS_RIGHT, CHOICE = "could have: ", "was right: ", "choice: "  # before a move, an answer, an operation


def is_of_the_working(about: str) -> bool:
    """Whether a question names the move, the answer or the operation that it is about."""
    return about.startswith((COULD_HAVE, WAS_RIGHT, CHOICE))


def of_the_working(state: State, about: str) -> Saying:
    """The answer to one that does."""
    kind, _, what = about.partition(": ")
    if f"{kind}: " == COULD_HAVE:
        return _could_have(state, what)
    return _was_right(state, Fraction(what)) if f"{kind}: " == WAS_RIGHT else _choice(state, what)


def solved_with(state: State, number: Fraction) -> Equation | None:
    """The newest equation that this learner solved with this number; none where it is the answer in hand too."""
    if state.place < len(state.plan.tasks) and state.task.equation.solution().value == number:
        return None
    done = (state.plan.tasks[place].equation for place in sorted(state.solved, reverse=True))
    return next((one for one in done if one.solution().value == number), None)


def just_solved(state: State) -> bool:
    """Whether nothing is begun yet after an equation that was solved."""
    begun = len(state.board) > 1 or state.pending is not None or state.tries or state.tried or state.guess is not None
    return not begun and state.place - 1 in state.solved


def _was_right(state: State, number: Fraction) -> Saying:
    solved = solved_with(state, number)
    if solved is None:
        left, right = (constant(value_at(side, number)) for side in _begun(state).sides())
        return Saying("answer was not right", {"guess": number, "left": left, "right": right})
    return Saying("answer was right", {"guess": number, "value": constant(value_at(solved.left, number))})


def _could_have(state: State, text: str) -> Saying:
    """Of a move that could have been made at the start: whether it is a right start too."""
    name, _, number = text.partition(" ")
    first = _begun(state)
    move = Move(next(one for one in INVERSE if one == name), read_expression(number, first.letter), "both")
    try:
        verdict = judge(first, move)
    except Refusal:
        return same_result(state)
    if verdict.result is None or not verdict.balanced:
        return same_result(state)
    return Saying("answer could have" if verdict.closer else "answer could have, longer", {"move": move})


def _begun(state: State) -> Equation:
    """The first line of what was worked on last."""
    return state.plan.tasks[state.place - 1].equation if just_solved(state) else state.board[0].equation


def _choice(state: State, operation: str) -> Saying:
    """Whether an operation was the right choice: of the move that was made with it; else what it undoes."""
    made = [state.pending, *(line.note for line in reversed(state.board[-1:]))]
    for move in made:
        if isinstance(move, Move) and move.operation == operation:
            before = state.equation if move is state.pending else state.board[-2:][0].equation
            return _judged(before, move)
    return conjecture(state, f"rule: {operation}")


def _judged(line: Equation, move: Move) -> Saying:
    try:
        right = judge(line, move).closer
    except Refusal:
        right = False
    return Saying("answer right choice" if right else "answer no nearer", {"move": move})


def same_result(state: State) -> Saying:
    """Why every way ends at the same number."""
    return Saying("answer same result", {"unknown": state.letter})


def finished(state: State) -> Saying:
    """When an equation is finished; that it is, where the last one was just done."""
    return Saying("answer finished, yes" if just_solved(state) else "answer finished", {"unknown": state.letter})


def whose_sign(state: State) -> Saying:
    """What a minus of the line belongs to; where a bracket was just multiplied out, how it came of each lot."""
    made = _multiplied_out(state)
    if made is not None:
        return made
    for line in reversed(state.board):
        for piece in (one for side in line.equation.sides() for one in walk(side)):
            if (taken := _taken(piece)) is not None:
                return Saying("answer whose sign", {"line": line.equation, "term": taken})
    return Saying("answer whose sign, any")


def _taken(piece: Expression) -> Expression | None:
    match piece:
        case Sum(terms):
            return next((term.body for term in terms if term.sign < 0), None)
        case Negative(body):
            return body
    return None


def _multiplied_out(state: State) -> Saying | None:
    """3(n - 7) written as 3n - 21: 7 is taken off in each lot, 21 in all."""
    lots = next(iter(_written_anew(state)), None)
    match lots:
        case Product((Number() as by, Sum((_, SignedTerm(-1, Number() as one))))):
            values: dict[str, Filling] = {"term": lots, "one": one, "all": constant(by.value * one.value)}
            return Saying("answer whose sign, lots", values)
    return None


def rest(state: State) -> Saying:
    """What becomes of the rest of a side, or of the other side, by what was done last."""
    if written := _written_anew(state):
        return Saying("answer only written", dict(zip(("one", "two", "other"), written, strict=True)))
    done = state.pending or state.board[-1].note
    if not isinstance(done, Move):
        return Saying("answer rest")
    shared = done.operation in {"multiply", "divide"}
    return Saying("answer rest shared" if shared else "answer rest once", {"move": done})


def _written_anew(state: State) -> tuple[Expression, ...]:
    """A side as it was and as it was written anew, and the other side, where nothing else was done last."""
    if state.pending is not None or len(state.board) < 2 or isinstance(state.board[-1].note, Move):
        return ()
    before, after = (line.equation for line in state.board[-2:])
    if before.right == after.right and before.left != after.left and linear(before.left) == linear(after.left):
        return before.left, after.left, after.right
    if before.left == after.left and before.right != after.right and linear(before.right) == linear(after.right):
        return before.right, after.right, after.left
    return ()


OF_WORKING: dict[str, Callable[[State], Saying]] = {
    "rest": rest,
    "same result": same_result,
    "same again": lambda state: Saying("answer same again"),
    "cheating": lambda state: Saying("answer cheating"),
    "whose sign": whose_sign,
    "finished": finished,
    "which letter": lambda state: Saying("answer which letter", {"unknown": state.letter}),
}
