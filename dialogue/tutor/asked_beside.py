"""The learned questions that have an answer prepared: which of them a turn asks, and what each is answered as."""

import re
from collections.abc import Iterator, Sequence

from dialogue.acts import CONTENT, Act, Ask, Comment, Expecting
from dialogue.algebra.moves import Move
from dialogue.algebra.writing import write
from dialogue.tutor.asked_of_earlier import asked_of_earlier
from dialogue.tutor.asked_of_working import asked_by_form, asked_of_working
from dialogue.tutor.core.state import State
from dialogue.tutor.moves.learner_questions import WHAT_IF, fits_here, has_answer
from dialogue.tutor.own_questions import own_questions, own_table
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.interpret import interpreted
from dialogue.understanding.learned_topics import OTHER, Asked, asked_in
from dialogue.understanding.seen_turn import SeenTurn

GLOSSARY = "word: "  # before what is answered by a word of the glossary
ANSWERED_AS = {
    "letter": f"{GLOSSARY}unknown",
    "equals": f"{GLOSSARY}equation",
    "bracket": f"{GLOSSARY}bracket",
    "point": f"{GLOSSARY}point",
    "times sign": "times",
    "both sides": "other side too",
    "add unknown": "any number added",
    OTHER: "open",
}
WHY_NOT = re.compile(
    r"\bwhy\s+(?:can'?t|couldn'?t|don'?t|shouldn'?t|not|cannot)\s+(?:(?:i|you|we|it|just|simply)\s+)*(?P<move>[^.?!;]*\d[^.?!;]*)"
)
OF_A_MOVE = frozenset({"allowed", "right", "because", "open"})
BARE = frozenset({"why", "meaning", "check"})  # questions that may be about anything
SURE_OF_OTHER = 0.8  # from which it is said that there is no answer (a choice)
SURELY_ASKED = 0.8  # from which a step in the same words is part of what is asked (a choice)
SURE_WITH_NUMBER = 0.7  # the same for a question with a number in it while a number is asked for: it may be the answer


def asked_beside(state: State, turn: SeenTurn, expecting: Expecting) -> tuple[Asked, ...]:
    """What is asked beside the work, each by the name of its answer. What a question of the understanding's own acts is
    (a hint, whether it is right) is left to it; a turn that is certain to ask nothing asks nothing, and what makes no
    sense where the lesson stands is not asked. A move put as a question is that move, and is judged as one."""
    text = turn.text
    own = (*asked_of_working(state, turn), *asked_of_earlier(state, text), *own_questions(text), *_why_not(turn))
    certain = certain_acts(text, expecting, state.letter)
    if certain is not None and not any(map(_may_be_about_anything, certain)):
        return own
    found = (_named(one) for one in asked_in(turn) if one.probability >= _wanted(one, text, expecting))
    learned = (one for one in found if one.topic.startswith(GLOSSARY) or has_answer(one.topic))
    apart = (one for one in learned if not _overlaps(one, own))
    fit = (one for one in apart if fits_here(state, one.topic) and _has_its_words(text, one))
    known = [*own, *(one for one in fit if not _is_a_step(turn, one, expecting))]
    formed = (one for one in asked_by_form(state, turn) if not _overlaps(one, known))
    left = (_named(one) for one in formed if not _is_a_step(turn, one, expecting))
    asked = sorted((*known, *left), key=lambda one: one.start)
    other = next((one.topic for one in asked if one.topic != "finished"), "finished")
    return tuple(one._replace(topic=other) if one.topic == "finished" else one for one in asked)  # "... Is that it?"


def _overlaps(asked: Asked, others: Sequence[Asked]) -> bool:
    return any(asked.start < other.end and other.start < asked.end for other in others)


def _has_its_words(text: str, asked: Asked) -> bool:
    """Whether a question that is easily taken for another has one of the words without which it is not asked."""
    words = own_table()["needs"].get(asked.topic)
    said = text[asked.start : asked.end].lower()
    return words is None or any(re.search(rf"(?<!\w){word}(?!\w)", said) for word in words)


def _why_not(turn: SeenTurn) -> Iterator[Asked]:
    """ "Why can't I divide by 8?": the move that is asked about, which is none that is made."""
    for asked in WHY_NOT.finditer(turn.text.lower()):
        read = interpreted(turn.part(asked.span("move")), "move")
        move = read.acts[0] if read.sure and len(read.acts) == 1 else None
        if isinstance(move, Move) and move.operation != "transfer":
            yield Asked(f"{WHAT_IF}{move.operation} {write(move.operand)}", asked.start(), asked.end(), 1.0)


def _is_a_step(turn: SeenTurn, asked: Asked, expecting: Expecting) -> bool:
    """Whether what is asked is whether a move may be made, and the move is plain ("so you divide by 3?"); or whether
    it is not sure that anything is asked, and plain that a step or an answer is said."""
    if asked.topic not in OF_A_MOVE and asked.probability >= SURELY_ASKED:
        return False
    read = interpreted(turn.part((asked.start, asked.end)), expecting)
    steps = Move if asked.topic in OF_A_MOVE else CONTENT
    sure = read.sure or (asked.topic not in OF_A_MOVE and "?" not in turn.text[asked.start : asked.end])
    return sure and any(isinstance(act, steps) for act in read.acts)


def _may_be_about_anything(act: Act) -> bool:
    return isinstance(act, Comment) or (isinstance(act, Ask) and act.what in BARE)


def _wanted(asked: Asked, text: str, expecting: Expecting) -> float:
    if asked.topic == OTHER:
        return SURE_OF_OTHER
    number = any(each.isdecimal() for each in text[asked.start : asked.end])
    return SURE_WITH_NUMBER if number and expecting == "value" else 0.0


def _named(asked: Asked) -> Asked:
    """The question by the name of its answer."""
    return asked._replace(topic=ANSWERED_AS.get(asked.topic, asked.topic))
