"""A guess put as a question is answered by the algebra: yes where it holds, and where it does not, a number with which
it can be seen not to hold. What 3n, n/4 or 2(x + 1) means is told whoever asks, for it is a convention, and no step.
"""

from fractions import Fraction

from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Move, Operation, carry_out
from dialogue.algebra.operations import Done, operations_on
from dialogue.algebra.reading import read_expression
from dialogue.algebra.solver import next_step, value_at
from dialogue.algebra.tree import Expression, Number, Product, Quotient, Sum, Unknown, has_unknown
from dialogue.algebra.writing import write
from dialogue.tutor.core.state import WORKING, State
from dialogue.verbalising.replies import phrases
from dialogue.verbalising.sayings import Filling, Saying

TRIED = tuple(map(Fraction, (5, 10, 4, 2, 3)))  # to try two expressions with: the first that tells, and is no answer
UNSAID = Fraction(2)  # the number of an operation that was named without one
START = Fraction(10)


def is_conjecture(about: str) -> bool:
    """Whether a question is about a guess."""
    return about == "balanced" or about.startswith(("same: ", "alike: ", "means: ", "undoes: ", "rule: "))


def conjecture(state: State, about: str) -> Saying:
    """The answer to a guess."""
    kind, _, guess = about.partition(": ")
    match kind:
        case "means":
            return _means(state, read_expression(guess), "answer")
        case "same" | "alike":
            one, two = (read_expression(side) for side in guess.split(", "))
            return _alike(state, one, two, kind == "alike")
        case "undoes":
            return _undoes(*guess.split(", "))
        case "rule":
            return _rule(state, guess)
    return Saying("answer balanced")


def _means(state: State, term: Expression, answer: str) -> Saying:
    values: dict[str, Filling] = {"term": term, "unknown": state.letter}
    match term:
        case Product((Number() as by, Unknown())) | Product((Unknown(), Number() as by)):
            return Saying(f"{answer} means times", {**values, "by": by, "term": Product((by, Unknown(state.letter)))})
        case Product((Number() as by, Sum() as body)):
            return Saying(f"{answer} means lots", {**values, "by": by, "sum": body})
        case Quotient(top, Number() as by) if has_unknown(top):
            return Saying(f"{answer} means shared", {**values, "by": by, "sum": top})
    return Saying(f"{answer} means joined", values)


def _alike(state: State, one: Expression, two: Expression, of_both: bool) -> Saying:
    if linear(one) == linear(two):
        if of_both:
            return Saying("yes, alike", {"one": one, "two": two, "unknown": state.letter})
        return _means(state, one, "yes,")
    return told_apart(state, one, two)


def told_apart(state: State, one: Expression, two: Expression) -> Saying:
    """A number with which two expressions that are not the same come to different values."""
    answer = state.task.equation.solution().value
    tells = (trial for trial in TRIED if trial != answer and value_at(one, trial) != value_at(two, trial))
    trial = next(tells)
    values = {"trial": trial, "value": value_at(one, trial), "after": value_at(two, trial)}
    return Saying("answer not the same", {"one": one, "two": two, "unknown": state.letter, **values})


def _undoes(one: str, two: str) -> Saying:
    undoing, done = _read(one), _read(two)
    said = [number for _, number in (undoing, done) if number is not None]
    first, then = (operation for operation, _ in (undoing, done))
    by, other = (said[0], said[-1]) if said else (UNSAID, UNSAID)
    if (then == "divide" and not other) or (first == "divide" and not by):
        return Saying("divides by zero")
    if "multiply" in {first, then} and not (by and other):
        return Saying("answer times zero")
    named: dict[str, Filling] = {"one": _named(*undoing), "two": _named(*done)}
    start = START * other if then == "divide" else START
    between = _carried(start, then, other)
    back = _carried(between, first, by)
    if back == start and INVERSE[first] == then:
        return Saying("yes, undoes", named)
    shown: dict[str, Filling] = {"one": _named(first, by), "two": _named(then, other)}
    return Saying("answer not undone", {**shown, "trial": start, "value": between, "after": back})


def _rule(state: State, guess: str) -> Saying:
    """An own rule, by the equation that was done last; where none is begun, by what it would undo."""
    line, done = _done_last(state)
    asked = operations_on(line)
    if guess == "opposite":
        return _opposite(done) if done is not None else Saying("yes, opposite")
    if guess == "that":
        in_hand = done.operation if done is not None else None if state.part is None else state.part.operation
        if in_hand is None or in_hand == "transfer":
            return Saying("yes, opposite")
        guess = in_hand
    if guess == "last first":
        shown = len(asked) > 1 and _undone_first(state, asked[-1])
        return (
            Saying("yes, last first", {"line": line, "done": asked[-1:]}) if shown else Saying("yes, shoes and socks")
        )
    named = [operation for text in guess.split(", ") for operation, _ in [_read(text)]]
    if len(named) > 1:
        said = _undoes(named[0], named[1])
        return Saying("no, rule", said.values) if said.key == "answer not undone" else said
    one, other = named[0], INVERSE[named[0]]
    if len(asked) != 1 or done is None or asked[0].action not in INVERSE:
        return Saying("yes, where", {"one": phrases()[f"undoing {one}"], "two": phrases()[f"undoing {other}"]})
    if asked[0].action == other:
        return Saying("yes, rule", {"line": line, "done": asked, "one": phrases()[f"undoing {one}"]})
    by = write(asked[0].operand)
    return Saying("no, rule", _undoes(f"{one} {by}", f"{asked[0].action} {by}").values)


def rule_here(before: State, after: State) -> Saying | None:
    """Of an own rule that was not read, what was undone last here, and by what; None where nothing was."""
    solved = before.place in after.solved and before.place not in before.solved
    line, done = (before.task.equation, None) if solved else _done_last(after)
    asked = operations_on(line)
    if not asked or asked[-1].action not in INVERSE or not (solved or done):
        return None
    one = phrases()[f"undoing {INVERSE[asked[-1].action]}"]
    return Saying("rule here", {"line": line, "done": asked[-1:], "one": one})


def _undone_first(state: State, last: Done) -> bool:
    """Whether the first step on the board undid what was done last."""
    if last.action not in INVERSE or len(state.board) < 2:
        return False
    undone = carry_out(Move(INVERSE[last.action], last.operand), state.board[0].equation)
    return state.board[1].equation.linear() == undone.linear()


def _opposite(done: Move) -> Saying:
    if done.operation == "transfer":
        return Saying("yes, opposite")
    number = Fraction(linear(done.operand).constant) if not has_unknown(done.operand) else None
    one, two = _named(done.operation, number), _named(INVERSE[done.operation], number)
    return Saying("yes, opposite, done", {"one": one, "two": two})


def _done_last(state: State) -> tuple[Equation, Move | None]:
    """The equation in hand and the last move made on it; where none is, the one before."""
    moves = [one for one in (state.pending, *(line.note for line in reversed(state.board))) if isinstance(one, Move)]
    if moves or state.place - 1 not in state.solved:
        return state.task.equation, moves[0] if moves else None
    before = state.plan.tasks[state.place - 1].equation
    step = next_step(before)
    return before, step if isinstance(step, Move) else None


def _read(text: str) -> tuple[Operation, Fraction | None]:
    name, _, number = text.partition(" ")
    operation = next(one for one in INVERSE if one == name)
    return operation, Fraction(linear(read_expression(number, "x")).constant) if number else None


def _carried(value: Fraction, operation: Operation, by: Fraction) -> Fraction:
    match operation:
        case "add":
            return value + by
        case "subtract":
            return value - by
        case "multiply":
            return value * by
    return value / by


def _named(operation: Operation, by: Fraction | None) -> str:
    if by is None:
        return phrases()[f"undoing {operation}"]
    return phrases()[f"undoing {operation} by"].format(operand=by)


def sign_changes(state: State) -> Saying:
    """Why a sign "changes": the same is done to both sides. In the numbers of the last such step, if there is one."""
    done = state.pending if state.phase in WORKING else None
    if isinstance(done, Move) and done.operation in {"add", "subtract"} and not has_unknown(done.operand):
        return _shown_sign(Fraction(linear(done.operand).constant) * (1 if done.operation == "add" else -1))
    lines = [line.equation for line in state.board]
    for before, after in zip(lines[-2::-1], lines[:0:-1], strict=True):
        left, right = (linear(new) - linear(old) for old, new in zip(before.sides(), after.sides(), strict=True))
        if left == right and not left.coefficient and left.constant:
            return _shown_sign(Fraction(left.constant))
    return Saying("answer sign")


def _shown_sign(added: Fraction) -> Saying:
    return Saying(f"answer sign, {'add' if added > 0 else 'subtract'}", {"by": abs(added)})
