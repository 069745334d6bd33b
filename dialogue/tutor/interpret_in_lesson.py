"""From words to dialogue acts where the lesson is: what was typed or said, before anything is judged.

The whole of a turn is understood first, a plain question in it apart; where that is not sure, by where the lesson is
(``uncertain.settled``) and sentence by sentence.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from dialogue.acts import (
    CONTENT,
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Disclosure,
    Expecting,
    Interpretation,
    Refused,
    Say,
    Try,
    Unclear,
    Value,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move
from dialogue.algebra.tree import Unknown, constant, numbers_in
from dialogue.tutor.activities.diagnosis import plain_account
from dialogue.tutor.activities.games import aside, line_named
from dialogue.tutor.asked_beside import asked_beside
from dialogue.tutor.by_sentence import YES_OR_NO, asked_plainly, by_sentence, sentences, with_sentences, written_lines
from dialogue.tutor.core.line_in_hand import answer_said, stands_in
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import ASKING, OPEN, SOLVING, Phase, State, Utterance
from dialogue.tutor.echoes import echoed
from dialogue.tutor.heard_here import asked_once, described_in_words
from dialogue.tutor.meant_here import meant_here
from dialogue.tutor.moves.hints import numbers_in_hand
from dialogue.tutor.numbers_said import (
    found_unequal,
    number_meant,
    operation_alone,
    sum_of_a_side,
    with_wrong_sums,
)
from dialogue.tutor.objections import objected
from dialogue.tutor.resolve_in_lesson import (
    acts_of,
    answer_corrected,
    chosen_move,
    question_alone,
    resolved,
    with_asked_beside,
    with_both_sides,
)
from dialogue.tutor.sure_parts import named_beside, sure_parts
from dialogue.tutor.uncertain import answers_read_back, leads_on, left, settled
from dialogue.understanding.certain import certain_acts, has_words, verdict_words
from dialogue.understanding.interpret import DONE_AT_ONCE, interpreted
from dialogue.understanding.phrase_spotting import denies, tells_of_distress
from dialogue.understanding.plain_questions import parted
from dialogue.understanding.question_topics import with_what_is_felt
from dialogue.understanding.running_sums import first_number, lone_number, sums_done
from dialogue.understanding.seen_turn import SeenTurn, see
from dialogue.understanding.spans import value_of
from dialogue.understanding.symbolic import why_refused

EXPECTING: dict[Phase, Expecting] = {
    "operations": "operations",
    "first": "term",
    "move": "move",
    "part": "any",
    "left": "value",
    "right": "value",
    "line": "equation",
    "check left": "value",
    "check right": "value",
    "count": "any",
    "mend": "move",
    "reconsider": "yesno",
    "reason": "operations",
    "account": "operations",
    "spot": "value",
    "compare": "any",
    "confirm": "yesno",
    "offer stop": "yesno",
    "paused": "any",
    "scene tips": "balance",
    "scene level": "balance",
    "between": "any",
    "done": "any",
}
WHY_NOT = re.compile(r"\W*(?:but )?(?:why|y) not\W*$")  # asked, and no "yes"
OH = re.compile(r"\W*o+h+\W*$")
SAID_TO_BE = re.compile(  # "so its 15 a piece": a number told as what something is
    r"\b(?:its|it's|it is|that's|thats|answer is)\s+(-?\d+(?:\.\d+)?)"
    r"(?![\d.]|[a-z]|\s*(?:[-+*/x×÷=]|of\b|off\b|lots|times|more|less))"
)
NOTHING_READ = frozenset({Ask("meaning"), Unclear(), Say("stuck"), Comment("object"), Comment("object", "not heard")})
NO = re.compile(r"(?:^|[.!?]\s+)(?:no|nope|nah|not yet)\b")
SENTENCE = re.compile(r"[.!?;]+(?=\s|$)")
PARTED: frozenset[Phase] = frozenset(
    {*OPEN, "confirm", "compare", "account"}
)  # where a question is parted from what is beside it
SENTENCES_APART: frozenset[Phase] = frozenset({*PARTED, "offer stop"})


class InLesson(NamedTuple):
    """``goes_on``: the acts to be heard after what is being read back, where they are a yes to it."""

    found: Interpretation | None
    goes_on: Sequence[Act] | None = None


def expecting(state: State) -> Expecting:
    """What the question in hand asks for: with the letter and the tutor's last words, all that the understanding is
    told."""
    phase = state.phase if state.phase != "paused" else state.back
    if phase == "account" and state.inquiry is not None and state.inquiry.question.kind == "line":
        return "equation"
    if phase == "part" and state.part is not None and state.part.operand is None:
        return "value"
    return EXPECTING[phase]


def interpret_in_lesson(state: State, said: Utterance) -> InLesson:
    """What was said, a question that is plain from its words apart from what stands beside it."""
    turn = see(said.text, _asked(state, said.text), state.letter, state.last[-1].text if state.last else "")
    said = replace(said, text=turn.text)
    if state.phase in SOLVING and state.phase != "reconsider" and WHY_NOT.match(said.text.lower()):
        return InLesson(Interpretation((Ask("why"),), sure=True))
    if said.channel == "typed" and OH.match(said.text.lower()):  # alone it is no zero
        return InLesson(Interpretation((Comment("aside"),), sure=True))
    if not said.meant and state.phase == "spot" and (line := line_named(said.text)) is not None:
        return InLesson(Interpretation((line,), sure=True))
    if not said.meant and state.phase in PARTED and (echo := echoed(state, said.text)) is not None:
        asked = Ask("check", echo.topic)
        beside = turn.part(*echo.rest)
        if not has_words(beside.text) and not re.search(r"\d", beside.text):
            return InLesson(Interpretation((asked,), sure=True))
        rest = _in_lesson(state, said, beside)
        return rest if rest.found is None else InLesson(_with_echo(rest.found, asked), rest.goes_on)
    return _in_lesson(state, said, turn)


def _asked(state: State, text: str) -> Expecting:
    """The question that the network is told: what was read back, where it is answered by yes or no, else the one before
    it, which whoever says something else goes on with."""
    return expecting(state if state.phase != "confirm" or YES_OR_NO.match(text.lower()) else left(state))


def _with_echo(found: Interpretation, asked: Ask) -> Interpretation:
    """What stands beside a question about the tutor's words, and that question, which is no other one."""
    if any(isinstance(act, Ask) and act.about for act in found.acts):  # what was asked is known by itself
        return found
    kept = tuple(act for act in found.acts if act not in {Unclear(), Comment("object"), Ask("meaning"), Say("stuck")})
    return replace(found, acts=(*kept, asked), sure=found.sure or not kept)


def _in_lesson(state: State, said: Utterance, turn: SeenTurn) -> InLesson:
    """What was said, where it takes up no words of the tutor's."""
    part = None
    if not said.meant and state.phase in PARTED:
        part = parted(turn.text, state.letter, asked_beside(state, turn, expecting(state)))
    rest = turn if part is None else turn.part(*part.rest)
    if part is None or rest.text == turn.text.strip(" ,"):
        return _interpreted(state, said, turn)
    whole = interpreted(turn, expecting(state))
    if any(isinstance(act, Disclosure) for act in whole.acts):
        return InLesson(_not_stopping(state, turn, whole))
    found, goes_on = _interpreted(state, said, rest)
    found = with_asked_beside(found, part)
    found = replace(found, acts=asked_once(with_what_is_felt(found.acts, turn.text)))
    found = described_in_words(state, turn.text, found)
    return InLesson(found, None if goes_on is None else (*goes_on, *acts_of(part)))


def _interpreted(state: State, said: Utterance, turn: SeenTurn) -> InLesson:
    """What was not understood may still be an account, a line of a game, or mathematics that is out of scope."""
    text = turn.text
    if not text.strip():
        return InLesson(None)
    verdict = verdict_words().get(text.strip(" .!?").lower()) if state.phase == "count" else None
    if verdict is not None:
        return InLesson(Interpretation((verdict,), sure=True))
    found, *others = said.meant or (interpreted(turn, expecting(state)),)
    found = _not_told_twice(state, text, found)
    if said.channel == "typed" and not said.meant and state.phase in SENTENCES_APART:
        found = replace(found, acts=(*found.acts, *asked_plainly(turn, found.acts)))
    if state.phase == "confirm" and not any(isinstance(act, Say | Control | Disclosure) for act in found.acts):
        found = interpreted(turn, expecting(left(state)))  # no answer to "you mean ...?"
    if not found.sure and (picked := chosen_move(state, text)) is not None:
        found = Interpretation((picked,), sure=True)
    apart = None
    if not (found.sure or said.meant) and said.channel == "typed" and state.phase in SENTENCES_APART:
        found = replace(found, acts=_with_sums(text, state.letter, found.acts))
        asked = expecting(state if state.phase == "offer stop" else left(state))
        apart = by_sentence(turn, asked)
    heard = (other.acts for other in others)
    rivals = tuple(acts for acts in heard if acts != found.acts and not isinstance(acts[0], Unclear))
    found = replace(found, rivals=(*rivals, *found.rivals))
    found = resolved(state, turn, _with_whole_sums(text, found))
    if not found.sure and not has_words(text) and apart is not None:
        found = apart  # in signs alone each sentence is read exactly, or not at all
    elif not has_words(text) and (step := sum_of_a_side(state, text)) is not None:
        found = Interpretation((step,), sure=True)
    elif not found.sure and not has_words(text):
        refused = why_refused(text, state.letter) if said.channel == "typed" else Unclear()
        found = _number_that_leads_on(state, text) or (
            Interpretation((refused,), sure=False) if refused.question else _as_written(state, text, found)
        )  # what cannot be taken is never taken for something near it
    elif not found.sure:
        found = _settled(state, turn, found, apart)
    else:
        found = _sum_asked(state, text, found)
    if said.channel == "typed":
        found = found_unequal(state, text, with_wrong_sums(state, text, found))
    found = objected(state, text, answer_corrected(text, found))
    found = meant_here(state, turn, found) if not said.meant else found
    found = _not_stopping(state, turn, with_both_sides(state, text, found))
    goes_on = answers_read_back(state, found.acts)
    if state.phase == "account" and all(isinstance(act, Comment | Unclear) for act in found.acts):
        account = plain_account(text, state.letter)
        if account is not None:
            return InLesson(Interpretation((account,), sure=True))
    nothing = state.phase == "move" and bool(state.last) and state.last[-1].key == "error"
    if nothing and plain_account(text, state.letter) == Describe(()) and not _has_step(found):
        return InLesson(Interpretation((Ask("check", "nothing done"),), sure=True))
    if (meant := number_meant(state, text)) is not None and not _has_step(found):
        return InLesson(Interpretation((meant,), sure=True))
    if set(found.acts) <= NOTHING_READ and (done := operation_alone(state, text)) is not None:
        return InLesson(Interpretation((done, *(act for act in found.acts if isinstance(act, Comment))), sure=True))
    if not found.sure and (named := named_beside(state, text, found.acts)) is not None:
        return InLesson(replace(found, acts=(named, *found.acts)))
    if len(found.acts) != 1 or not isinstance(found.acts[0], Unclear) or found.acts[0].question:
        return InLesson(found, goes_on)
    act = aside(text, state.phase) or operation_alone(state, text)
    if act is None and said.channel == "typed":
        act = why_refused(text, state.letter)
    if act in {None, Unclear()} and (parts := sure_parts(state, text)) is not None:
        return InLesson(replace(parts, rivals=found.rivals))
    return InLesson(found if act is None else Interpretation((act,), sure=not isinstance(act, Unclear)))


def _has_step(found: Interpretation) -> bool:
    return any(isinstance(act, Move | Line | Describe) for act in found.acts)


def _not_stopping(state: State, turn: SeenTurn, found: Interpretation) -> Interpretation:
    """A no to stopping with a step beside it goes on with the step, whatever else was made of the words."""
    text = turn.text
    if state.phase != "offer stop" or not NO.search(text.lower()) or "stop" in text.lower():
        return found
    if any(isinstance(act, Disclosure) for act in found.acts):
        parts = [part for one in sentences(turn) for part in one.text.split(": ")]
        steps = [act for one in parts for act in certain_acts(one, "any", state.letter) or ()]
        steps = [act for act in steps if isinstance(act, Move | Line)]
        return replace(found, acts=(Say("no"), *steps), sure=True, rivals=()) if steps else found
    rest = tuple(act for act in found.acts if act not in {Say("no"), Control("stop"), Unclear()})
    return replace(found, acts=(Say("no"), *rest), sure=True, rivals=())


def _with_whole_sums(text: str, found: Interpretation) -> Interpretation:
    """An answer read where only a sum begins is what the sum comes to: 5, and not 30, in "n = 30/6 = 5"."""
    return replace(found, acts=tuple(_whole(act, text) for act in found.acts))


def _whole(act: Act, text: str) -> Act:
    answer = answer_said(act)
    if answer is None or not isinstance(act, Line):
        return act
    letter = act.equation.letter
    if re.search(rf"\b{letter}\s*=\s*{answer}\s*[-+*/x×÷]\s*\d", text.lower()) is None:
        return act
    begun = (one for one in sums_done(text, letter) if next(numbers_in(one.left), None) == answer)
    return next((Line(Equation(Unknown(letter), one.right, letter)) for one in begun), act)


def _with_sums(text: str, letter: str, acts: tuple[Act, ...]) -> tuple[Act, ...]:
    """The acts with the right sums of the text that none of them has: they are read exactly, whatever the rest is."""
    read = [value_of(act.value) for act in acts if isinstance(act, Value)]
    left_out = [one for one in sums_done(text, letter) if one not in acts and value_of(one.right) not in read]
    return tuple(act for act in (*acts, *left_out) if not (left_out and isinstance(act, Unclear)))


def _not_told_twice(state: State, text: str, found: Interpretation) -> Interpretation:
    """Whoever was just told of an adult and goes on with lines is not held up again, but for what is plainly grave."""
    lines = tuple(written_lines(text, state.letter)) if found.acts == (Disclosure(),) else ()
    told = any(reply.key == "tell someone" for reply in state.last)
    return Interpretation(lines, sure=True) if lines and told and not tells_of_distress(text) else found


def _settled(state: State, turn: SeenTurn, found: Interpretation, apart: Interpretation | None) -> Interpretation:
    """A reading that is not sure, made sure where it leads on; where it does not, what its sentences say apart."""
    text = turn.text
    whole = settled(state, found, _barred(state, text, found.acts))
    if apart is None:
        return _worked_out(state, turn, _sum_asked(state, text, question_alone(whole)))
    content = [act for act in whole.acts if isinstance(act, CONTENT)]
    if any(isinstance(act, Move) for act in content):  # the line on the board, read aloud before a move, is no result
        apart = replace(apart, acts=tuple(act for act in apart.acts if act != Line(state.equation)))
    if whole.sure and content:
        agreed = all(act in apart.acts for act in content)  # the sentences say by themselves what the whole leads on to
        return replace(with_sentences(whole, apart), guessed=whole.guessed and not agreed)
    return _worked_out(state, turn, resolved(state, turn, replace(apart, rivals=found.rivals)))


def _worked_out(state: State, turn: SeenTurn, found: Interpretation) -> Interpretation:
    """Where a value was asked for and none was read: the number that a sentence ends with, if that is it."""
    text = turn.text
    if state.phase == "spot" and (number := lone_number(text, 2)) is not None:
        return replace(found, acts=(Value(constant(number)),), sure=True)  # "line 3": of the lines shown
    if any(isinstance(act, (*CONTENT, Refused)) for act in found.acts):
        return found
    if state.phase in SOLVING and (number := first_number(text)) is not None and not denies(text):
        acts = tuple(act for act in found.acts if not isinstance(act, Unclear))
        said = Try(constant(number)) if state.phase == "line" else Value(constant(number))
        return replace(found, acts=(said, *acts), sure=True, guessed=True)
    if due_value(state) is None:
        named = SAID_TO_BE.findall(text.lower()) if state.phase in ASKING and not denies(text) else []
        told = [number for number in map(constant, map(Fraction, named)) if not stands_in(number, state.equation)]
        acts = tuple(act for act in found.acts if isinstance(act, Comment | Ask))
        return replace(found, acts=(Value(told[-1]), *acts), sure=True, guessed=True) if told else found  # only put in
    for one in (sentence.text for sentence in sentences(turn)):
        ends = re.search(r"(-?\d+(?:\.\d+)?)\W*$", one)
        value = None if ends is None or "?" in one or denies(one) else Value(constant(Fraction(ends[1])))
        if value is not None and leads_on(state, (value,)):
            acts = tuple(act for act in found.acts if not isinstance(act, Unclear))
            return replace(found, acts=(value, *acts), sure=True, guessed=True)
    return found


def _sum_asked(state: State, text: str, found: Interpretation) -> Interpretation:
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


def _as_written(state: State, text: str, found: Interpretation) -> Interpretation:
    """Of signs alone nothing is guessed: what they are to the letter, or nothing."""
    asked = expecting(left(state))
    also: tuple[Expecting, ...] = (asked, "value") if asked == "equation" else (asked,)
    written = next((acts for one in also if (acts := certain_acts(text, one, state.letter))), (Unclear(),))
    return replace(found, acts=found.acts if found.acts == written else written)


def _barred(state: State, text: str, acts: Sequence[Act]) -> list[Act]:
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
    said = [act for one in plain for act in certain_acts(one, expecting(state), state.letter) or ()]
    return [act for act in done if act not in said]
