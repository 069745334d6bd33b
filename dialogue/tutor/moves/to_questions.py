"""What a learner asks gets its answer first, in one sentence; the tutor's own question follows.

What was asked comes from the understanding (``Ask.about``); which answer it gets is decided by where the lesson stands,
and the words are wordings ("answer ..."). An answer tells how things are, never the next step.
"""

from collections.abc import Callable
from fractions import Fraction

from dialogue.acts import Ask
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import Move
from dialogue.algebra.operations import operations_on
from dialogue.algebra.tree import Expression, Number, Product, Sum, constant, has_unknown, walk
from dialogue.tutor.core.events import Event, Outcome
from dialogue.tutor.core.state import CHECKING, WORKING, State
from dialogue.tutor.moves.checking import right_checked
from dialogue.tutor.moves.showing import shown_again
from dialogue.verbalising.sayings import Filling, Saying

Respond = Callable[[State], Saying]


def answer_to(state: State, event: Event) -> Saying | None:
    """The answer to a question of its own kind; None where the question is a plain one of its act."""
    about = event.act.about if isinstance(event.act, Ask) else ""
    return ANSWERS[about](state) if about in ANSWERS else None


def is_it_right(state: State) -> Outcome:
    """Whether what was done last is right: of an answer being put in both sides say so, and the check is over."""
    if state.phase in CHECKING and state.guess is not None:
        return right_checked(state, Event("check", Ask("check")))
    return state, (_right_so_far(state),)


def _right_so_far(state: State) -> Saying:
    if (shown := shown_again(state)) is not None:
        return shown
    if isinstance(state.pending, Move) and state.phase in WORKING:
        return Saying("answer right move", {"move": state.pending})
    if len(state.board) > 1:
        return Saying("right so far", {"lines": len(state.board)})
    if state.place - 1 in state.solved and not state.tries and not state.tried:
        return Saying("answer right last", {"first": state.plan.tasks[state.place - 1].equation})
    return Saying("how to check", {"unknown": state.letter})


def _sides(state: State) -> dict[str, Filling]:
    left, right = state.equation.sides()
    return {"left": left, "right": right, "unknown": state.letter}


def _both_sides(state: State) -> Saying:
    return Saying("answer both sides", _sides(state))


def _rest(state: State) -> Saying:
    done = state.pending or state.board[-1].note
    if not isinstance(done, Move):
        return Saying("answer rest")
    shared = done.operation in {"multiply", "divide"}
    return Saying("answer rest shared" if shared else "answer rest once", {"move": done})


def _swapped(state: State) -> Saying:
    return Saying("answer swapped", {"line": state.equation, "other": state.equation.swapped()})


def _sum(state: State) -> Saying:
    if (shown := shown_again(state)) is not None:
        return shown
    return Saying("answer sum wrong" if state.tries else "answer sum right")


def _allowed(state: State) -> Saying:
    if isinstance(state.pending, Move) and state.phase in WORKING:
        return Saying("answer right move", {"move": state.pending})
    return Saying("answer allowed line" if len(state.board) > 1 else "answer allowed")


def _fraction(state: State) -> Saying:
    return Saying("answer fraction", {"unknown": state.letter})


def _negative(state: State) -> Saying:
    return Saying("answer negative", {"unknown": state.letter})


def _times(state: State) -> Saying:
    return Saying("answer times", {"unknown": state.letter})


def _checking(state: State) -> Saying:
    return Saying("why check" if state.phase in CHECKING else "how to check", {"unknown": state.letter})


def _winning(state: State) -> Saying:
    count = len(state.solved)
    return Saying("answer winning", {"lines": count}) if count else Saying("answer winning first")


def _product(state: State, bracket: bool) -> tuple[Expression, Expression] | None:
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


def _of_product(key: str, bracket: bool = False) -> Respond:
    """The answer in the numbers of the line, where it has a number times something; else in general."""

    def respond(state: State) -> Saying:
        found = _product(state, bracket)
        return Saying(f"{key}, any") if found is None else Saying(key, {"term": found[0], "by": found[1]})

    return respond


def _undoes(operations: frozenset[str], key: str) -> Respond:
    """Why one operation undoes another, with the numbers of the last such move made; before there is one, with others,
    for the move is the learner's to find."""

    def respond(state: State) -> Saying:
        made = [state.pending, *state.further, *(line.note for line in reversed(state.board))]
        moves = (one for one in made if isinstance(one, Move) and one.operation in operations)
        number = next((one.operand for one in moves if not has_unknown(one.operand)), None)
        return Saying(f"{key}, any") if number is None else Saying(key, {"by": number})

    return respond


def _same_cancels(state: State) -> Saying:
    """What doing the same again comes to: twice as much, and nothing undone."""
    for done in reversed(operations_on(state.equation)):
        if done.action in {"add", "subtract"} and not has_unknown(done.operand):
            twice = constant(2 * Fraction(linear(done.operand).constant))
            added = "added" if done.action == "add" else "taken"
            return Saying(f"answer same {added}", {"by": done.operand, "all": twice})
    return Saying("answer same, any")


def _order(state: State) -> Saying:
    return Saying("answer order" if len(state.board) > 1 or state.solved else "answer order, first")


def _guessing(state: State) -> Saying:
    side = state.equation.left if has_unknown(state.equation.left) else state.equation.right
    return Saying("answer guessing", {"sum": side})


ANSWERS: dict[str, Respond] = {
    "unwanted": lambda state: Saying("no check"),
    "both sides": _both_sides,
    "rest": _rest,
    "fraction": _fraction,
    "negative": _negative,
    "swapped": _swapped,
    "sum": _sum,
    "allowed": _allowed,
    "checking": _checking,
    "times": _times,
    "winning": _winning,
    "guessing": _guessing,
    "undoes": _undoes(frozenset({"add", "subtract"}), "answer undoes"),
    "undoes times": _undoes(frozenset({"multiply", "divide"}), "answer undoes times"),
    "same cancels": _same_cancels,
    "off a factor": _of_product("answer off a factor"),
    "lots": _of_product("answer lots"),
    "bracket all": _of_product("answer bracket all", bracket=True),
    "bracket all, yes": _of_product("answer bracket all, yes", bracket=True),
    "same letter": lambda state: Saying("answer same letter", {"unknown": state.letter}),
    "order": _order,
    "order free": lambda state: Saying("answer order free"),
    "first is first": lambda state: Saying("answer first is first"),
    "other way": lambda state: Saying("answer other way"),
    "walked back": lambda state: Saying("answer walked back"),
    "other side too": _both_sides,
    "fraction line": lambda state: Saying("answer fraction line"),
    "all at once": lambda state: Saying("answer all at once"),
    "skipped": lambda state: Saying("answer skipped"),
    "game": lambda state: Saying("answer game"),
}  # fmt: skip
