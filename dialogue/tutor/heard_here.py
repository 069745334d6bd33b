"""Acts as they are where the lesson stands: what is said twice, or only said again, is heard once, and an account
without its numbers has those of the line. The understanding knows no equation; here it is known."""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from dialogue.acts import CONTENT, Act, Ask, Comment, Describe, Interpretation, PartMove, Say, Unclear, Value
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Line, Move
from dialogue.algebra.operations import Done, as_move, operations_on
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Product, Quotient, constant, has_unknown, walk
from dialogue.algebra.writing import BOARD, write
from dialogue.tutor.core.line_in_hand import stands_in
from dialogue.tutor.core.state import CHECKING, HOLDING, State
from dialogue.tutor.core.told import CAME_TO
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.understanding.question_topics import SENTENCES

NOTATION = re.compile(r"(?<![\w.])\d+[a-z](?![\w.])")  # 3n, which names no operation


def heard_here(state: State, acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """The acts as they are where the lesson stands: what is not clear beside what is, left out; an account of the
    unknown before the answer it leads to; and a number that was only said again as no answer."""
    clear = tuple(act for act in acts if act != Unclear()) or acts
    content = any(isinstance(act, CONTENT) for act in clear)
    if state.task.exit and content:  # what is done alone counts, whatever is asked beside it
        clear = tuple(act for act in clear if act not in {Ask("hint"), Ask("answer"), Say("stuck")})
    if Ask("hint") in clear:  # help is asked for once
        clear = tuple(act for act in clear if act != Say("stuck"))
    clear = _without_taken_back(clear)
    if clear[0] == Line(state.equation) and any(isinstance(act, Move) for act in clear):  # read off the board first
        clear = clear[1:]
    told = any(isinstance(act, Comment) and act.kind in {"reason", "notice"} for act in clear)
    if state.task.purpose == "place" and state.phase == "reconsider" and told:  # how it looks, and no wish for help
        clear = tuple(act for act in clear if act != Say("stuck"))
    if state.phase in {"first", "move"}:
        clear = tuple(as_undoing(state, act) for act in clear)
    if state.phase in {"operations", "first", "move"}:
        clear = tuple(Comment("notice") if _is_read_off(state, act) else act for act in clear)
    if state.phase == "operations":
        clear = tuple(_without_repeats(state, act) for act in clear)
        clear = _described_without_numbers(state, clear)
        clear = tuple(sorted(clear, key=lambda act: not isinstance(act, Describe)))
    numbers = [act for act in clear if isinstance(act, Value) and not has_unknown(act.value)]
    again = [act for act in numbers if _is_said_again(state, act, alone=len(clear) == 1)]
    if not again:
        return clear
    rest = tuple(act for act in clear if act not in again)
    asked = state.guess is not None and not any(isinstance(act, (*CONTENT, Ask)) for act in rest)
    return (*rest, Ask("check", "still")) if asked or not rest else rest


def _is_read_off(state: State, act: Act) -> bool:
    """Whether a number is only read off the board, with its side ("59 on the left")."""
    if not isinstance(act, Value) or act.side is None or has_unknown(act.value):
        return False
    return act.value == (state.equation.left if act.side == "left" else state.equation.right)


def as_undoing(state: State, act: Act) -> Act:
    """What undoes something done to the unknown, told as if it were done to it ("so minus 5" of 4n + 5): a move."""
    asked = operations_on(state.equation)
    if not isinstance(act, Describe) or len(act.operations) != 1 or act.operations[0] in asked:
        return act
    move = as_move(act.operations[0])
    undoes = move is not None and any(
        INVERSE.get(move.operation) == one.action and linear(one.operand) == linear(move.operand) for one in asked
    )
    return move if move is not None and undoes else act


def _with_number_of_line(state: State, text: str, act: Act) -> Act:
    """One operation told with a number that is not joined to the unknown, where the turn names the one that is."""
    if not isinstance(act, Describe) or len(act.operations) != 1:
        return act
    told = act.operations[0]
    named = [one for one in operations_on(state.equation) if one.action == told.action and one != told]
    numbers = {write(constant(Fraction(one))) for one in re.findall(r"(?<![\d.])\d+(?![\d.])", text)}
    return Describe((named[0],)) if len(named) == 1 and write(named[0].operand) in numbers else act


def without_other_numbers(state: State, text: str, found: Interpretation) -> Interpretation:
    """An account that is not sure, with the number that is joined to the unknown in place of another one."""
    if found.sure or state.phase != "operations":
        return found
    acts = tuple(_with_number_of_line(state, text, act) for act in found.acts)
    return found if acts == found.acts else replace(found, acts=acts, sure=True, guessed=True)


def _without_repeats(state: State, act: Act) -> Act:
    """All that happens to the unknown, in order, with some of it named before or after as well ("it doubles: add 10,
    then double")."""
    asked = operations_on(state.equation)
    if not isinstance(act, Describe) or len(act.operations) <= len(asked) or not asked:
        return act
    told, count = act.operations, len(asked)
    whole = any(told[at : at + count] == asked for at in range(len(told) - count + 1))
    return Describe(asked) if whole and all(one in asked for one in told) else act


def _without_taken_back(acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """A number objected to at once, before a move ("84? no, that can't be. divide by 6"), is no answer."""
    taken_back = [
        one for one, after in pairwise(acts) if isinstance(one, Value) and after in {Comment("object"), Say("no")}
    ]
    moves = any(isinstance(act, Move) for act in acts)
    return tuple(act for act in acts if act not in taken_back) if moves else acts


def _described_without_numbers(state: State, acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """Asked what happens to the unknown, "times something, then plus" tells it, with the numbers that are there; what
    would undo it is the beginning of a move."""
    asked = operations_on(state.equation)
    content = [act for act in acts if isinstance(act, CONTENT)]
    parts = [act for act in content if isinstance(act, PartMove) and act.operand is None and act.sides == "unsaid"]
    told = [_with_its_number(act, asked) for act in parts]
    if not asked or len(parts) < len(content) or not all(told):
        return acts
    done = Describe(tuple(one for one in told if one is not None))
    return (done, *(act for act in acts if act not in parts)) if told else acts


def described_in_words(state: State, text: str, found: Interpretation) -> Interpretation:
    """Asked what happens to the unknown: what was only taken for talk, where the operations that it names are those of
    the line, in order; never to be judged wrong."""
    if state.phase != "operations" or not all(map(_may_describe, found.acts)):
        return found
    asked = operations_on(state.equation)
    named = operations_named(NOTATION.sub(" ", text)) or _named_with_numbers(asked, text)
    if not named or named != tuple(one.action for one in asked[: len(named)]):
        return found
    beside = [act for act in found.acts if isinstance(act, Ask) or (isinstance(act, Comment) and act.kind == "feel")]
    return replace(found, acts=(Describe(asked[: len(named)]), *beside), sure=True, rivals=())


def _named_with_numbers(asked: Sequence[Done], text: str) -> tuple[str, ...]:
    """The operations that are named where each of the line's is named with its number ("4 times something plus 5")."""
    numbers = set(re.findall(r"(?<![\d.])\d+(?![\d.])", text))
    whole = bool(asked) and all(write(one.operand) in numbers for one in asked)
    return operations_named(re.sub(r"\d+", " ", text)) if whole else ()


def _may_describe(act: Act) -> bool:
    """Whether it may be an account not read: talk, or a guess about how a number and the unknown are joined."""
    joined = isinstance(act, Ask) and (act.about in {"lots", "times"} or act.about.startswith(("means: ", "same: ")))
    return joined or isinstance(act, Comment | Unclear)


def _with_its_number(part: PartMove, asked: Sequence[Done]) -> Done | None:
    operation = part.operation
    if operation is None or operation == "transfer":
        return None
    undoes = any(one.action == INVERSE[operation] for one in asked)
    found = next((one for one in asked if one.action == operation), None)
    return found or (None if undoes or not asked else Done(operation, asked[0].operand))


def _is_said_again(state: State, said: Value, alone: bool) -> bool:
    """Whether a number is the answer being put in, where it is not what a side comes to; beside more, what an answer
    that did not fit came to; or, asked how a number and the unknown are joined, that number."""
    number = linear(said.value).constant
    if (state.back if state.phase in HOLDING else state.phase) in CHECKING and state.guess is not None:
        return number == state.guess and number not in [
            value_at(one, state.guess) for one in state.task.equation.sides()
        ]
    if alone or not state.last:
        return False
    told = {word.strip(".,:") for reply in state.last if reply.key in CAME_TO for word in reply.text.split()}
    joined = state.phase == "reconsider" and state.last[-1].key == "error" and stands_in(said.value, state.equation)
    return str(number) in told or joined


def asked_once(acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """The acts, without a question about nothing in particular beside one that says what it is about."""
    told = any(isinstance(act, Ask) and act.about for act in acts)
    kept = (act for act in acts if not (told and act in {Ask("check"), Ask("meaning")}))
    return tuple(dict.fromkeys(kept)) if told else acts


def of_notation(state: State, text: str, act: Act) -> Act:
    """What is meant is asked, and one piece of the line is named as it is written: that piece is asked about."""
    if act != Ask("meaning"):
        return act
    asking = [one for one in SENTENCES.findall(text) if "?" in one]
    text = " ".join(asking) or text  # a line beside the question is not asked about
    pieces = {
        piece
        for side in state.equation.sides()
        for piece in walk(side)
        if isinstance(piece, Product | Quotient) and has_unknown(piece)
    }
    named = [
        piece for piece in pieces if re.search(rf"(?<![\w.]){re.escape(write(piece, BOARD))}(?![\w.])", text.lower())
    ]
    if not named:  # "what is that 2 doing there": of the number in front, what it is in front of
        numbers = {constant(Fraction(one)) for one in re.findall(r"(?<![\d.\w])\d+(?![\d.\w])", text)}
        named = [one for one in pieces if isinstance(one, Product) and numbers & set(one.factors)]
    return Ask("meaning", f"means: {write(named[0])}") if len(named) == 1 else act
