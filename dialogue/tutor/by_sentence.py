"""A turn of several sentences read sentence by sentence, where the whole of it was not understood for sure.

Whoever thinks aloud says one plain thing in the middle of much talk ("that looks odd. so n = 90? not sure"). A sentence
that is sure by itself counts; of the others nothing is taken but a number that stands alone in a few words. What was
put right by a later sentence ("20? no, 18") is left out.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import cast

from dialogue.acts import (
    CONTENT,
    Act,
    Ask,
    Comment,
    Control,
    Disclosure,
    Expecting,
    Interpretation,
    PartMove,
    Refused,
    Say,
    Term,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Operation
from dialogue.algebra.tree import Unknown, constant, has_unknown
from dialogue.tutor.core.line_in_hand import answer_said
from dialogue.understanding.certain import certain_acts, markers
from dialogue.understanding.interpret import interpreted
from dialogue.understanding.phrase_spotting import denies
from dialogue.understanding.question_topics import WHY
from dialogue.understanding.running_sums import lone_number, lone_operation, with_running_sums
from dialogue.understanding.seen_turn import SeenTurn

ENDS = re.compile(r"(?<=[.!?;…])\s+|\n+|\.{2,}|\s+(?=(?:but|so then|then)\s)|,\s+(?=(?:so|but|because|cos|coz)\s)")
IN_SIGNS = re.compile(r"(?:(?<![a-z])[a-z](?![a-z])|[\d\s+*/=().-]|(?<=\d)[a-z](?![a-z]))+")
CUT = re.compile(r",\d")  # "n = 2,333" is not n = 2
MOST_SENTENCES = 8  # of a turn: what a turn costs is bounded
YES_OR_NO = re.compile(r"\W*(?:yes|yeah|yep|yea|ok|okay|no|nope|nah)\b")  # a sentence that answers so begins so
FEW_WORDS = 3  # beside a number that stands alone
NAMED = re.compile(r"\b(?:is|its|it's|equals|makes|get|got)\s+-?\d")  # a number told as what something is
MORE_WORDS = 6  # beside such a number
OF_A_STEP = re.compile(  # a number that belongs to a step or to something shown: "3 off", "3 of them", "that 1"
    r"\d\s+and\s+[b-hj-z]\b|\b[b-hj-z]\s+and\s+\d|\d\s*(?:of|off|lots?|times|into|from)\b|\b(?:that|add|take|minus|plus|times|by|off|lose)\s+-?\d"
)
TALK = (Comment, Ask, Say)
PLAIN = (Ask("game"), Ask("why"), Control("stop"), Control("restart"), Control("harder"), Control("easier"))
YES_NO = (Say("yes"), Say("no"))


def by_sentence(turn: SeenTurn, expecting: Expecting) -> Interpretation | None:
    """What the sentences say that are sure by themselves, in their order; None where none says anything that counts,
    or the turn is one sentence."""
    said, text, letter = sentences(turn), turn.text, turn.letter
    if len(said) < 2 and not any(written_lines(text, letter)):
        return None
    found: list[Act] = []
    for one in said[:MOST_SENTENCES]:
        acts = _acts_of(one, expecting)
        if len(one.text.split()) > 2 and not re.search(r"\d", one.text):  # "too big for me" has no two in it
            acts = tuple(act for act in acts if not isinstance(act, Value | Work))
        if any(isinstance(act, Disclosure | Refused) for act in acts):
            return None
        if _puts_right(one.text) and (put_right := _replaced(found, acts)):
            found = put_right
            continue
        found += [act for act in acts if act not in found]
    found = list(with_running_sums(tuple(found), text, letter, expecting))  # a sum may go on behind "and then"
    if any(answer_said(act) is not None for act in found):  # "n = 40" is meant, and no number before it
        found = [act for act in found if not (isinstance(act, Value) and act.side is None)]
    counts = any(isinstance(act, (*CONTENT, Ask, Control)) or (expecting == "yesno" and act in YES_NO) for act in found)
    return Interpretation(tuple(found), sure=True) if counts else None


def with_sentences(whole: Interpretation, apart: Interpretation) -> Interpretation:
    """The reading of a whole turn that leads on, with the lines and the plain commands that its sentences have and it
    has not, and with a number asked about last ("41. a bit much. 23?")."""
    missing: list[Act] = [act for act in apart.acts if isinstance(act, Line | Control) and act not in whole.acts]
    last = apart.acts[-1] if apart.acts else None
    if isinstance(last, Value) and last not in whole.acts and any(isinstance(act, Value) for act in whole.acts):
        missing.append(last)
    if any(answer_said(act) is not None for act in missing):  # put right there
        acts = tuple(act for act in whole.acts if act in apart.acts or not isinstance(act, Line))
        return replace(whole, acts=(*acts, *missing))
    return replace(whole, acts=(*whole.acts, *missing)) if missing else whole


def asked_plainly(turn: SeenTurn, acts: Sequence[Act]) -> tuple[Act, ...]:
    """Questions and commands that are sentences of their own ("55! game!"), and that none of the acts is."""
    said = sentences(turn)
    if len(said) < 2:
        return ()
    found = [act for one in said for act in certain_acts(one.text, "any", turn.letter) or () if act in PLAIN]
    return tuple(dict.fromkeys(act for act in found if act not in acts))


def sentences(turn: SeenTurn) -> list[SeenTurn]:
    """The sentences and clauses of an utterance that may be read apart."""
    ends = [place for gap in ENDS.finditer(turn.text) for place in gap.span()]
    cut = [0, *ends, len(turn.text)]
    said = [turn.part(place) for place in zip(cut[::2], cut[1::2], strict=True)]
    said = [one for one in said if re.search(r"\w", one.text)]
    return [one for one in said if one.text.lower().strip(".!?…, ") != "oh"]  # alone it is no zero


def _acts_of(sentence: SeenTurn, expecting: Expecting) -> tuple[Act, ...]:
    found, text, letter = interpreted(sentence, expecting), sentence.text, sentence.letter
    if found.sure:
        plain = YES_OR_NO.match(text.lower()) is not None
        return tuple(act for act in found.acts if not isinstance(act, Unclear) and (plain or act not in YES_NO))
    asked = expecting in {"value", "equation"}
    written = (certain_acts(text, "value", letter) if asked else None) or tuple(written_lines(text, letter))
    if written and all(isinstance(act, Value | Line) for act in written):
        return written
    if WHY.search(text.lower()):
        return (Ask("why"),)
    named = NAMED.search(text.lower())
    apart = denies(text) or OF_A_STEP.search(text.lower()) is not None
    number = None if apart else lone_number(text, MORE_WORDS if named else FEW_WORDS)
    if number is not None:
        return (Value(constant(number)),)
    operation = lone_operation(text, 1)
    if operation is not None and "=" not in text and not denies(text):
        return (PartMove(cast(Operation, operation)),)
    return tuple(act for act in found.acts if isinstance(act, TALK) and act not in YES_NO)


def written_lines(text: str, letter: str) -> Iterator[Act]:
    """The lines that stand in signs among words ("12n = 33 that doesnt go")."""
    for found in IN_SIGNS.finditer(text.lower()):
        piece = found.group()
        if CUT.match(text, found.end()):
            continue
        acts = certain_acts(piece, "equation", letter) if "=" in piece else None
        lines = (act for act in acts or () if isinstance(act, Line))
        yield from (act for act in lines if any(map(has_unknown, act.equation.sides())))


def _puts_right(text: str) -> bool:
    words = tuple(re.findall(r"[\w']+", text.lower()))
    return any(words[: len(one)] == one and len(words) > len(one) for one in markers())


def _replaced(found: Sequence[Act], acts: Sequence[Act]) -> list[Act]:
    """What was said before, with what a sentence of correction says in place of the last of its kind; empty where
    there is none."""
    new = [act for act in acts if isinstance(act, CONTENT)]
    if len(new) != 1:
        return []
    kinds: tuple[type, ...] = (Value, Term) if isinstance(new[0], Value | Term) else (type(new[0]),)
    at = next((place for place in reversed(range(len(found))) if isinstance(found[place], kinds)), None)
    if at is None and isinstance(new[0], Value):  # "n = 41. i mean 14"
        answers = (act for act in reversed(found) if isinstance(act, Line) and answer_said(act) is not None)
        answer = next(answers, None)
        if answer is not None and not has_unknown(new[0].value):
            put_right = Line(Equation(Unknown(answer.equation.letter), new[0].value, answer.equation.letter))
            return [put_right if act is answer else act for act in found]
    return [] if at is None else [*found[:at], *new, *found[at + 1 :]]
