"""A learner who takes up the tutor's own words with a question ("joined what?", "back where I was?") asks what was
meant by them: they are said another way, or owned to, and never taken for a step or for another question."""

import re
from functools import cache
from typing import NamedTuple

from dialogue.acts import CONTENT
from dialogue.tutor.core.state import State
from dialogue.tutor.core.told import is_told
from dialogue.tutor.own_questions import own_questions, own_table
from dialogue.understanding.certain import certain_acts
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.understanding.question_topics import SENTENCES
from dialogue.understanding.seen_turn import Place

WORDS = re.compile(r"[a-z0-9']+")
SAME = {
    "i": "you",
    "u": "you",
    "me": "you",
    "my": "your",
    "was": "were",
    "am": "are",
    "whats": "what",
    "what's": "what",
}
ASKS = re.compile(
    r"\?|^\W*(?:(?:idk|dunno|huh|sorry|er|um|oh|ok)\W+)*(?:what|whats|what's)\b|\bwhat\W*$|\bwhats? that\b"
)
MARKED = re.compile(r"\bwhat\b|\bmeans?\b|\bwhats\b|\bwhat's\b")
LEAST = 3  # letters of some word of it: "what is n?" asks about n
MOST = 7  # words of an echo: more is a question of its own
QUESTION, WORDING, HEARD = "my question", "my words", "my mistake"  # what was taken up: topics of ``learner_questions``


class Echo(NamedTuple):
    """What was taken up, and where what is left of the text stands."""

    topic: str
    rest: tuple[Place, Place]


@cache
def empty() -> frozenset[str]:
    """Words that are no part of what is taken up."""
    return frozenset(own_table()["echo"]["empty"])


def echoed(state: State, text: str) -> Echo | None:
    """The first sentence that asks about words of the tutor's last turn, if one does."""
    for sentence in SENTENCES.finditer(text):
        topic = _taken_up(state, sentence.group())
        if topic is not None:
            return Echo(topic, ((0, sentence.start()), (sentence.end(), len(text))))
    return None


def _taken_up(state: State, sentence: str) -> str | None:
    if not ASKS.search(sentence.lower()) or not state.last or any(own_questions(sentence)):
        return None
    said = _same_words(sentence)
    left = [word for word in said if word not in empty()]
    if len(said) > MOST or all(len(word) < LEAST for word in left) or any(word.isdecimal() for word in left):
        return None
    acts = certain_acts(sentence, "any", state.letter) or ()
    if any(isinstance(act, CONTENT) for act in acts):
        return None
    for reply in reversed(state.last):
        if reply.key == "line" or not _within(left, [word for word in _same_words(reply.text) if word not in empty()]):
            continue
        if reply is state.last[-1]:  # a word alone may be an answer to it
            plain = _same_words(reply.text) == said or MARKED.search(sentence.lower())
            return QUESTION if plain or ("?" in sentence and not operations_named(sentence)) else None
        return (
            HEARD if reply.key.startswith(("heard ", "tell ", "sorry, ")) else WORDING if is_told(reply.key) else None
        )
    return None


def _same_words(text: str) -> list[str]:
    return [SAME.get(word, word) for word in WORDS.findall(text.lower())]


def _within(part: list[str], whole: list[str]) -> bool:
    return any(whole[at : at + len(part)] == part for at in range(len(whole) - len(part) + 1))
