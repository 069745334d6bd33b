"""From words to dialogue acts where the lesson is: what was typed or said, before anything is judged.

An utterance is seen once (``seen_turn``) and read in parts: a question that is plain from its words apart from the
rest; the rest together; where that is not sure, by where the lesson is and sentence by sentence (``made_sure``). What
is exact in it puts that right, and where too little was read the ``last_resorts`` are tried.
"""

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Disclosure,
    Expecting,
    Interpretation,
    Say,
    Unclear,
)
from dialogue.algebra.moves import Line, Move
from dialogue.tutor.activities.games import line_named
from dialogue.tutor.answers_told import trial_told, with_answer_first, with_answer_told
from dialogue.tutor.asked_beside import asked_beside
from dialogue.tutor.by_sentence import asked_plainly, by_sentence, sentences, written_lines
from dialogue.tutor.core.state import OPEN, SOLVING, Phase, State, Utterance
from dialogue.tutor.echoes import echoed
from dialogue.tutor.heard_here import asked_once, described_in_words
from dialogue.tutor.last_resorts import last_resort
from dialogue.tutor.made_sure import in_signs, made_sure
from dialogue.tutor.meant_here import line_put_right, meant_here
from dialogue.tutor.numbers_said import (
    found_unequal,
    with_wrong_sums,
)
from dialogue.tutor.objections import objected
from dialogue.tutor.resolve_in_lesson import (
    acts_of,
    answer_corrected,
    chosen_move,
    resolved,
    with_asked_beside,
    with_both_sides,
)
from dialogue.tutor.said_of_sides import with_other_side
from dialogue.tutor.sure_parts import on_side_named
from dialogue.tutor.uncertain import answers_read_back, left
from dialogue.understanding.certain import certain_acts, has_words, verdict_words
from dialogue.understanding.interpret import interpreted
from dialogue.understanding.phrase_spotting import tells_of_distress
from dialogue.understanding.plain_questions import parted
from dialogue.understanding.question_topics import with_what_is_felt
from dialogue.understanding.seen_turn import SeenTurn, see

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
ANSWERS = re.compile(r"\W*(?:yes|yeah|yep|yea|no|nope|nah)\b")  # "okay so ..." is none
NO = re.compile(r"(?:^|[.!?]\s+)(?:no|nope|nah|not yet)\b")
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
    """The question that the network is told. After "You mean ...?" it is that one where it is plainly answered, else
    the one before it, which whoever says something else goes on with."""
    if state.phase != "confirm" or ANSWERS.match(text.lower()):
        return expecting(state)
    answer = certain_acts(text, expecting(state), state.letter) or ()
    return expecting(state if any(isinstance(act, Say) for act in answer) else left(state))


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
    """What was said, where no question is apart from it: what the words mean, put right by what is exact in them, and,
    where too little was read, the first that applies."""
    text, typed = turn.text, said.channel == "typed"
    if not text.strip():
        return InLesson(None)
    verdict = verdict_words().get(text.strip(" .!?").lower()) if state.phase == "count" else None
    if verdict is not None:
        return InLesson(Interpretation((verdict,), sure=True))
    found = _read(state, said, turn)
    if typed:
        found = found_unequal(state, text, with_wrong_sums(state, text, found))
    found = objected(state, text, answer_corrected(text, found))
    found = meant_here(state, turn, found) if not said.meant else found
    found = with_other_side(state, text, with_both_sides(state, text, found))
    found = _not_stopping(state, turn, found)
    found = with_answer_told(state, line_put_right(state, text, found))
    found = on_side_named(state, text, with_answer_first(state, text, trial_told(state, text, found)))
    instead = last_resort(state, text, found, typed)
    return InLesson(found, answers_read_back(state, found.acts)) if instead is None else InLesson(instead)


def _read(state: State, said: Utterance, turn: SeenTurn) -> Interpretation:
    """What the words mean where the lesson is: all of them together; where that is not sure, what leads on, and what
    the sentences say apart."""
    text, apart = turn.text, None
    in_parts = said.channel == "typed" and not said.meant and state.phase in SENTENCES_APART
    found, *others = said.meant or (interpreted(turn, turn.expecting),)
    answers = any(isinstance(act, Say | Control | Disclosure) for act in found.acts)
    if said.meant and not answers and turn.expecting != expecting(state):  # heard as an answer to "You mean ...?"
        found = interpreted(turn, turn.expecting)
    found = _not_told_twice(state, text, found)
    if in_parts:
        found = replace(found, acts=(*found.acts, *asked_plainly(turn, found.acts)))
    if not found.sure and (picked := chosen_move(state, text)) is not None:
        found = Interpretation((picked,), sure=True)
    if in_parts and not found.sure:
        apart = by_sentence(turn, expecting(state if state.phase == "offer stop" else left(state)))
    heard = tuple(one.acts for one in others if one.acts != found.acts and not isinstance(one.acts[0], Unclear))
    found = resolved(state, turn, replace(found, rivals=(*heard, *found.rivals)))
    if not has_words(text):
        return in_signs(state, text, found, apart, _as_written(state, text), said.channel == "typed")
    return found if found.sure else made_sure(state, turn, found, apart, expecting(state))


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


def _not_told_twice(state: State, text: str, found: Interpretation) -> Interpretation:
    """Whoever was just told of an adult and goes on with lines is not held up again, but for what is plainly grave."""
    lines = tuple(written_lines(text, state.letter)) if found.acts == (Disclosure(),) else ()
    told = any(reply.key == "tell someone" for reply in state.last)
    return Interpretation(lines, sure=True) if lines and told and not tells_of_distress(text) else found


def _as_written(state: State, text: str) -> tuple[Act, ...]:
    """What signs alone are to the letter, or nothing."""
    asked = expecting(left(state))
    also: tuple[Expecting, ...] = (asked, "value") if asked == "equation" else (asked,)
    return next((acts for one in also if (acts := certain_acts(text, one, state.letter))), (Unclear(),))
