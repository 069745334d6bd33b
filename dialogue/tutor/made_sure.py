"""A reading that is not sure, made sure: where it leads on from the line, by what the sentences say apart, or by the
number that it ends with; and what is written in signs alone, which is read exactly or not at all."""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import cast

from dialogue.acts import (
    CONTENT,
    Act,
    Ask,
    Comment,
    Describe,
    Expecting,
    Interpretation,
    Refused,
    Say,
    Try,
    Unclear,
    Value,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Line, Move, Operation, carry_out
from dialogue.algebra.operations import operations_on
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import constant, has_unknown
from dialogue.tutor.by_sentence import sentences, with_sentences
from dialogue.tutor.core.line_in_hand import stands_in
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import ASKING, CHECKING, OPEN, SOLVING, State
from dialogue.tutor.moves.hints import numbers_in_hand
from dialogue.tutor.numbers_said import sum_of_a_side
from dialogue.tutor.resolve_in_lesson import question_alone, resolved
from dialogue.tutor.said_of_sides import said_in_check
from dialogue.tutor.sure_parts import ANY_NUMBER, DENIED, NUMBER
from dialogue.tutor.uncertain import leads_on, left, settled
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.understanding.interpret import DONE_AT_ONCE
from dialogue.understanding.phrase_spotting import denies
from dialogue.understanding.running_sums import first_number, lone_number
from dialogue.understanding.seen_turn import SeenTurn
from dialogue.understanding.spans import value_of
from dialogue.understanding.symbolic import why_refused

SAID_TO_BE = re.compile(  # "so its 15 a piece": a number told as what something is
    r"\b(?:its|it's|it is|that's|thats|answer is)\s+(-?\d+(?:\.\d+)?)"
    r"(?![\d.]|[a-z]|\s*(?:[-+*/x×÷=]|of\b|off\b|lots|times|more|less))"
)
SENTENCE = re.compile(r"[.!?;]+(?=\s|$)")


def made_sure(
    state: State, turn: SeenTurn, found: Interpretation, apart: Interpretation | None, asked: Expecting
) -> Interpretation:
    """A reading that is not sure, made sure where it leads on; where it does not, what its sentences say apart."""
    text, found = turn.text, _without_named(state, found)
    if against := told_against(state, text, found.acts):
        return replace(found, acts=against, sure=True)
    apart = None if apart is None else _without_named(state, apart)
    whole = settled(state, found, _barred(state, text, found.acts, asked))
    if apart is None:
        return _worked_out(state, turn, sum_asked(state, text, question_alone(whole)))
    content = [act for act in whole.acts if isinstance(act, CONTENT)]
    if any(isinstance(act, Move) for act in content):  # the line on the board, read aloud before a move, is no result
        apart = replace(apart, acts=tuple(act for act in apart.acts if act != Line(state.equation)))
    if whole.sure and content:
        agreed = all(act in apart.acts for act in content)  # the sentences say by themselves what the whole leads on to
        return replace(with_sentences(whole, apart), guessed=whole.guessed and not agreed)
    return _worked_out(state, turn, resolved(state, turn, replace(apart, rivals=found.rivals)))


def told_against(state: State, text: str, acts: Sequence[Act]) -> tuple[Act, ...]:
    """The acts, where a move that is plainly named stands before a line that it does not give ("i added 2 and got
    3x = 12"): then the line is not taken for itself, however right it is. Else nothing."""
    move: Move | None
    match [act for act in acts if isinstance(act, CONTENT)]:
        case [Move() as step, Line(stated)]:
            move = step
        case [Describe((done,)) as step, Line(stated)] if done not in operations_on(state.equation):
            move = Move(cast(Operation, done.action), done.operand) if done.action in INVERSE else None
        case _:
            return ()
    if move is None or state.phase not in OPEN or "?" in text or DENIED.search(text.lower()):
        return ()
    named = set(operations_named(ANY_NUMBER.sub(" ", text))) == {move.operation}
    number = "" if has_unknown(move.operand) else str(linear(move.operand).constant)
    if (
        not named
        or number not in NUMBER.findall(text.lower())
        or stated == state.equation
        or any(_gives(line.equation, move, stated) for line in state.board)
    ):
        return ()
    sides = move.sides if move.sides != "unsaid" else "both"
    return tuple(replace(move, sides=sides) if act is step else act for act in acts)


def _gives(line: Equation, move: Move, stated: Equation) -> bool:
    """Whether a move on both sides has a line's sides."""
    try:
        made = carry_out(replace(move, sides="both"), line)
    except Refusal:
        return True
    sides, said = (list(map(linear, line.sides())) for line in (made, stated))
    return said in (sides, sides[::-1])


def _without_named(state: State, found: Interpretation) -> Interpretation:
    """A reading that is not sure, without what is only named in it: a number of the line ("but what about the 72?"),
    hardly an answer, and, while an answer is put in, that answer again."""
    answer = state.equation.solution().value
    number = state.guess if state.phase in CHECKING else None

    def is_named(act: Act) -> bool:
        if not isinstance(act, Value | Try) or has_unknown(act.value):
            return False
        worth = linear(act.value).constant
        return worth == number or (state.phase in ASKING and worth != answer and stands_in(act.value, state.equation))

    kept = tuple(act for act in found.acts if not is_named(act))
    return replace(found, acts=kept) if kept else found


def _worked_out(state: State, turn: SeenTurn, found: Interpretation) -> Interpretation:
    """Where a value was asked for and none was read: the number that a sentence ends with, if that is it."""
    text = turn.text
    if state.phase == "spot" and (number := lone_number(text, 2)) is not None:
        return replace(found, acts=(Value(constant(number)),), sure=True)  # "line 3": of the lines shown
    off_the_check = state.phase in CHECKING and not any(leads_on(state, (act,)) for act in found.acts)
    if any(isinstance(act, (*CONTENT, Refused)) for act in found.acts) and (found.sure or not off_the_check):
        return found
    number = first_number(text) if state.phase in SOLVING and not denies(text) else None
    if number is not None and not (state.phase in ASKING and stands_in(constant(number), state.equation)):
        acts = tuple(act for act in found.acts if not isinstance(act, Unclear))
        said = Try(constant(number)) if state.phase == "line" else Value(constant(number))
        return replace(found, acts=(said, *acts), sure=True, guessed=True)
    if due_value(state) is None:
        named = SAID_TO_BE.findall(text.lower()) if state.phase in ASKING and not denies(text) else []
        told = [number for number in map(constant, map(Fraction, named)) if not stands_in(number, state.equation)]
        acts = tuple(act for act in found.acts if isinstance(act, Comment | Ask))
        return replace(found, acts=(Value(told[-1]), *acts), sure=True, guessed=True) if told else found  # only put in
    if off_the_check and (told_of := said_in_check(state, text)):
        talk = (act for act in found.acts if isinstance(act, Comment))
        return replace(found, acts=(*told_of, *talk), sure=True, guessed=True)
    for one in (sentence.text for sentence in sentences(turn)):
        ends = re.search(r"(-?\d+(?:\.\d+)?)\W*$", one)
        value = None if ends is None or "?" in one or denies(one) else Value(constant(Fraction(ends[1])))
        if value is not None and leads_on(state, (value,)):
            acts = tuple(act for act in found.acts if isinstance(act, Comment | Ask))
            return replace(found, acts=(value, *acts), sure=True, guessed=True)
    return found


def in_signs(
    state: State,
    text: str,
    found: Interpretation,
    apart: Interpretation | None,
    written: tuple[Act, ...],
    typed: bool,
) -> Interpretation:
    """What signs alone mean: each sentence read exactly, a sum of a side, a number that leads on, or what they are to
    the letter (``written``). Nothing is guessed: what cannot be taken is never taken for something near it."""
    if not found.sure and apart is not None:
        return apart
    if (step := sum_of_a_side(state, text)) is not None:
        return Interpretation((step,), sure=True)
    if found.sure:
        return sum_asked(state, text, found)
    if (number := _number_that_leads_on(state, text)) is not None:
        return number
    refused = why_refused(text, state.letter) if typed else Unclear()
    if refused.question:
        return Interpretation((refused,), sure=False)
    return found if found.acts == written else replace(found, acts=written)


def sum_asked(state: State, text: str, found: Interpretation) -> Interpretation:
    """Who names the two numbers that are to be worked out, and not what they make, asks how to do that sum."""
    wanted = numbers_in_hand(state)
    said = {Fraction(one) for one in re.findall(r"\d+", text)}
    talks = all(isinstance(act, Comment | Unclear | Ask) for act in found.acts)
    return Interpretation((Ask("hint"),), sure=True) if talks and wanted and said == wanted else found


def _number_that_leads_on(state: State, text: str) -> Interpretation | None:
    """ "15/2", asked for a move: the answer, and not half of a move; None for another."""
    number = certain_acts(text, "any", state.letter) or (Unclear(),)
    read = isinstance(number[0], Value) and value_of(number[0].value) is not None
    return Interpretation(number, sure=True) if read and leads_on(left(state), number) else None


def _barred(state: State, text: str, acts: Sequence[Act], asked: Expecting) -> list[Act]:
    """What would be done of a turn with a denial in it, but for what a sentence without one says plainly, and for what
    is said instead of what was asked back."""
    if acts[0] == Say("no"):  # the denial is this one
        text = text.strip().partition(" ")[2]
    done = [act for act in acts if isinstance(act, DONE_AT_ONCE)]
    if not done or not denies(text):
        return []
    if state.phase == "confirm" and Say("no") in acts:
        return [act for act in done if act in state.held]
    plain = [said for said in SENTENCE.split(text) if said.strip() and not denies(said)]
    said = [act for one in plain for act in certain_acts(one, asked, state.letter) or ()]
    return [act for act in done if act not in said]
