"""How far what was heard is believed in a lesson, and whether it may end there: by the recogniser's decision, and by
rules of the lesson's own.

Numbers that sound alike are read back however well they were heard. Measured on synthetic and recorded voices (November
2026): nearly every wrong hearing that seemed sure was one of these.

A plain yes or no is believed where one was asked for, since asking back whether that was a yes would never end. A word
so short always fits free phones better than words, so that its confidence is low even where it was heard rightly.
Measured on 88 synthetic answers of eight voices in eleven wordings, one recogniser: of 67 taken for yes or no none was
taken for the other, and 61 of those were unanimous; of 120 moves and digits said instead, three were unanimously taken
for one, two of them below this confidence.
"""

from collections.abc import Sequence
from itertools import pairwise

from dialogue.acts import Act, Describe, Expecting, Interpretation, PartMove, Say, Term, Unclear, Value
from dialogue.tutor.core.state import Doubt
from dialogue.understanding.interpret import first_that_counts
from dialogue.understanding.numbers import TEENS, TENS, UNITS
from speech.hearings import Decision, Heard, Hearing

DOUBTS: dict[Decision, Doubt] = {
    Decision.ACCEPT: "none",
    Decision.READ_BACK: "read back",
    Decision.ASK_AGAIN: "ask again",
}
ALWAYS = frozenset(TEENS) - {"ten", "eleven"} | {"one", "eighth", "eighths"}  # thirteen, thirty; twelve, one; an eighth
LETTER = "n"  # "seven n" and "seventy" are one sound
MOST_WORDS = 4  # of a plain yes or no
SURE = 0.45  # confidence of the first recogniser in one
# fmt: off
LEADS_ON = frozenset({  # as the last of several words, more is coming
    "a", "across", "actually", "add", "added", "an", "and", "because", "but", "by", "cause", "cos", "divide", "divided",
    "er", "erm", "equals", "from", "hmm", "i", "if", "into", "is", "like", "mean", "minus", "multiplied", "multiply",
    "no", "of", "off", "on", "or", "over", "plus", "point", "share", "so", "sorry", "subtract", "take", "the", "then",
    "times", "to", "uh", "um", "wait", "with",
})
# fmt: on
PARTS = (Value, Term, Describe)  # of a line, where a whole line was asked for


def doubt_of(hearing: Hearing, event: Heard, expecting: Expecting, found: Interpretation) -> Doubt:
    """How much to doubt it; ``found`` is what it was taken for. What breaks off ("... no wait") is read back as well,
    because its end was not heard."""
    if expecting == "yesno" and _is_plain_answer(hearing, event, found):
        return "none"
    doubt = DOUBTS[hearing.decision]
    return "read back" if doubt == "none" and (is_easily_misheard(event.text) or leads_on(event.text)) else doubt


def _is_plain_answer(hearing: Hearing, event: Heard, found: Interpretation) -> bool:
    """Whether every decoding is the same short yes or no."""
    if not hearing.unanimous or event.confidence < SURE or len(event.text.split()) > MOST_WORDS:
        return False
    meaning = first_that_counts(found)
    return isinstance(meaning, Say) and meaning.what in {"yes", "no"}


def is_easily_misheard(text: str) -> bool:
    """Whether the text holds a number that sounds almost like another."""
    words = text.split()
    if words == ["oh"] or not ALWAYS.isdisjoint(words):
        return True
    return any(
        (word in TENS and after not in UNITS) or (word in UNITS and after == LETTER)
        for word, after in pairwise([*words, ""])
    )


def leads_on(text: str) -> bool:
    """Whether the last of several words promises more."""
    words = text.split()
    return len(words) > 1 and words[-1] in LEADS_ON


def is_whole(text: str, acts: Sequence[Act], expecting: Expecting) -> bool:
    """Whether a turn that was taken for these acts may end here, with but a short pause; else it is a fragment, after
    which a learner is given time."""
    if not text.split() or leads_on(text):
        return False
    if any(isinstance(act, Unclear) or _is_begun(act) for act in acts):
        return False
    return expecting != "equation" or not all(isinstance(act, PARTS) for act in acts)


def _is_begun(act: Act) -> bool:
    """Whether it is an operation whose number is still to come."""
    return isinstance(act, PartMove) and act.operation is not None and act.operand is None
