"""A wrong line that several errors explain: the question whose answers differ most between them, and what it told.

The questions and what they are expected to tell are of ``misconceptions.discriminate``. A line takes at most MOST_ASKED
of them; errors that are still tied then are kept (``State.tied``), and the next equation can be one whose answers
differ. A learner need not know what they did: any other answer is taken as it comes, and the lesson goes on.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import cache

from dialogue.acts import Act, Describe
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions.catalogue import error_table
from dialogue.algebra.misconceptions.consistency import AS_LIKELY
from dialogue.algebra.misconceptions.discriminate import (
    TOLD,
    NextEquation,
    Question,
    beliefs_of,
    information,
    leading,
    next_equation,
    questions,
    updated,
)
from dialogue.algebra.misconceptions.explained_moves import what_was_done
from dialogue.algebra.misconceptions.search import Explanation
from dialogue.algebra.moves import Line, Move, Rewrite
from dialogue.algebra.operations import as_move
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import has_unknown
from dialogue.tutor.core.events import Event, Outcome
from dialogue.tutor.core.mistakes import PICTURE, model, question_about
from dialogue.tutor.core.questions import back_to_work
from dialogue.tutor.core.state import Inquiry, State
from dialogue.understanding.grammar import read_data
from dialogue.verbalising.sayings import Saying

MOST_ASKED = 2  # questions about one line, for more would be an examination (a choice)
LEAST_BITS = 0.1  # what a question must be expected to tell to be worth a turn (a choice)


def inquiry_about(state: State, found: Sequence[Explanation], stated: Equation | None) -> Inquiry | None:
    """What to ask about a line (``stated``; None for an answer) that these errors explain; None where one is likely
    enough to act on, or where nothing that could be asked would tell."""
    beliefs = beliefs_of(found)
    if not beliefs or leading(beliefs) is not None:
        return None
    worth = tuple(question for question in questions(found) if question.bits >= LEAST_BITS)
    if not worth:
        return None
    return Inquiry(worth[0], beliefs, worth[1:], 1, stated is None, _own_side(state.equation, stated))


def _own_side(before: Equation, stated: Equation | None) -> int:
    for line in (before, stated):
        if line is not None:
            held = [has_unknown(side) for side in line.sides()]
            if held.count(True) == 1:
                return held.index(True)
    return 0


def answered(state: State, meaning: Act) -> str | None:
    """What an answer comes to, in the words that the questions expect; None where it is no account of the line."""
    asked = state.inquiry
    if asked is None:
        return None
    match meaning:
        case Line(equation):
            return _line_meant(asked.question, equation)
        case Move() | Rewrite() if asked.question.kind != "line":
            return what_was_done(state.equation, meaning)
        case Describe(()) if asked.question.kind != "line":
            return what_was_done(state.equation, None)
        case Describe((done,)) if asked.question.kind != "line" and (move := as_move(done)) is not None:
            return what_was_done(state.equation, move)
    return None


def _line_meant(question: Question, line: Equation) -> str | None:
    """The expected line that this is, its sides in either order."""
    if question.kind != "line":
        return None
    for text in dict.fromkeys(question.expected.values()):
        try:
            expected = read_equation(text, line.letter)
            if line.linear() in (expected.linear(), expected.swapped().linear()):
                return text
        except Refusal:
            continue
    return None


@cache
def _accounts() -> dict[str, tuple[str, ...]]:
    return {kind: tuple(phrases) for kind, phrases in read_data("accounts").items()}


def plain_account(text: str, letter: str) -> Act | None:
    """An account in words that are no move: that nothing was done, or that something was moved over."""
    said = f" {' '.join(text.lower().replace('.', ' ').replace(',', ' ').split())} "
    if any(f" {phrase} " in said for phrase in _accounts()["moved"]):
        return Move("transfer", read_equation(f"{letter} = 1", letter).right, "unsaid")
    return Describe(()) if any(f" {phrase} " in said for phrase in _accounts()["nothing"]) else None


# -- effects of the table ---------------------------------------------------------------------------------------------


def told_account(state: State, event: Event) -> Outcome:
    """The learner's own account: taken as it comes, and weighed."""
    asked = state.inquiry
    if asked is None or event.act is None:
        return back_to_work(state), ()
    answer = answered(state, event.act)
    return _onward(state, asked, updated(dict(asked.beliefs), asked.question.expected, answer, TOLD))


def no_account(state: State, event: Event) -> Outcome:
    """The learner does not know, or says nothing about it: never held against them."""
    if state.inquiry is None:
        return back_to_work(state), ()
    knows = event.kind not in {"stuck", "no"}
    return _onward(state, state.inquiry, dict(state.inquiry.beliefs), knows)


def _onward(state: State, asked: Inquiry, beliefs: dict[str, float], knows: bool = True) -> Outcome:
    """A further question while it would tell enough, else the question that the likeliest error calls for."""
    left = sorted(asked.left, key=lambda one: -information(beliefs, one.expected, TOLD))
    open_still = leading(beliefs) is None and asked.asked < MOST_ASKED and knows
    kindly = () if knows else (Saying("no reason"),)
    if open_still and left and information(beliefs, left[0].expected, TOLD) >= LEAST_BITS:
        further = replace(asked, question=left[0], beliefs=beliefs, left=tuple(left[1:]), asked=asked.asked + 1)
        return replace(state, inquiry=further, rung=0), kindly
    best = max(beliefs, key=lambda error: beliefs[error])
    near = tuple(error for error in beliefs if beliefs[error] >= AS_LIKELY * beliefs[best])
    tied = () if leading(beliefs) is not None or len(near) < 2 else tuple((error, beliefs[error]) for error in near)
    earlier = state.seen[:-1] if state.seen else ()
    before = replace(state, seen=earlier, guess=state.task.equation.solution().value if asked.guess else None)
    after = replace(before, seen=(*earlier, (state.place, best)), guess=None, tied=tied)
    said = model(before, after) or question_about(before, after)
    if said.key == "error" and error_table()[best].idea == "both-sides":  # its first two ask what was just told
        said = Saying("error", {**said.values, "met": PICTURE})
    return back_to_work(after), (*kindly, said)


def most_telling(state: State, candidates: Iterable[Equation]) -> NextEquation | None:
    """Of equations that could come next, the one that tells apart what is still tied; None where nothing is, or where
    none of them would tell."""
    whole = sum(chance for _, chance in state.tied)
    return next_equation({error: chance / whole for error, chance in state.tied}, candidates) if whole else None
