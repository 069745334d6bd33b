"""Whatever the tutor tells a learner to say can be heard and is understood, in the phase in which it is told.

By the languages of the recognisers, not by sound: the words that the tutor puts in quotes, and the answers of its
closed questions, are not unlikely for the guide; those in quotes can be heard by the fallback too.
"""

import re
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from importlib import resources

import pytest

from chattutor.lesson.voice.drawn_sayings import sayings_after
from dialogue.acts import Expecting, Unclear
from dialogue.understanding.interpret import interpret
from dialogue.understanding.recognition_grammar import GrammarPhrase, hearable
from speech.recognition.moonshine.word_model import WordModel

QUOTED = re.compile(r"“([^”]+)”")
NUMBERS = {"100": "a hundred", "10": "ten"}
PARTS = {"all over", "point", "equals"}  # words of an answer, no answer by themselves
ASKED_IN: dict[str, tuple[Expecting, ...]] = {  # the questions after which a wording is said; "move" where not named
    "say operations": ("operations",),
    "say a value": ("value",),
    "say a line": ("equation",),
    "say a number": ("value",),
    "say each digit": ("value",),
    "which count": ("any",),
    "scene say": ("balance",),
    "give place": ("any",),
}
CLOSED: tuple[tuple[str, Expecting, tuple[str, ...]], ...] = (
    ("ask part operation", "any", ("add it", "take it away", "multiply", "divide", "add", "subtract")),
    ("ask part", "value", ("eighteen", "by eighteen", "it's eighteen", "no eighteen", "a half", "two point five")),
    ("ask confirm", "yesno", ("yes", "no", "yes it is", "no that's wrong", "uh huh", "sure", "yeah", "nope",
                              "no i said eighteen", "that's right", "yes please")),
    ("ask reconsider", "yesno", ("yes", "no", "no it isn't", "i don't know")),
    ("are you there", "move", ("i'm thinking", "i'm stuck", "i can't hear you", "thinking", "stuck")),
    ("ask reason", "operations", ("because it's the opposite", "i don't know")),
    ("pause", "any", ("i'm ready", "okay", "go on")),
    ("ask count", "any", ("never true", "always true", "no solution")),
    ("any phase", "move", ("x is four", "hint", "repeat", "say that again", "slower", "where are we", "wait", "stop")),
)  # fmt: skip
CLOSED_KEYS = {key for key, _, _ in CLOSED}
LEAST = -7.0  # log-probability a word; "subtract nine from both sides" has -3, words in random order -11


def told() -> Iterator[tuple[str, Expecting, str]]:
    """The name of each wording, a question after which it is said, and what it tells the learner to say."""
    text = resources.files("dialogue.verbalising").joinpath("en/wordings.toml").read_text("utf-8")
    for key, wordings in tomllib.loads(text).items():
        for wording in wordings if isinstance(wordings, list) else ():
            for quoted in QUOTED.findall(wording):
                if quoted not in PARTS:
                    for asked in ASKED_IN.get(key, ("move",)):
                        yield key, asked, spoken(quoted)
    for key, asked, answers in CLOSED:
        for answer in answers:
            yield key, asked, answer


def spoken(quoted: str) -> str:
    """As the learner would say it."""
    text = quoted.replace("{unknown}", " x").replace(",", " ")
    for digits, words in NUMBERS.items():
        text = re.sub(rf"\b{digits}\b", words, text)
    return " ".join(text.split())


TOLD = sorted(set(told()))


@lru_cache
def guide(expecting: Expecting) -> WordModel:
    """What the recogniser is guided by."""
    return WordModel(sayings_after(expecting, "x"))


def test_there_is_something_to_say() -> None:
    assert len(TOLD) > 40
    assert ("say a line", "equation", "ten x equals a hundred") in TOLD


@pytest.mark.parametrize(("key", "asked", "said"), TOLD)
def test_it_is_understood(key: str, asked: Expecting, said: str) -> None:
    assert not all(isinstance(act, Unclear) for act in interpret(said, asked, "x").acts)


@pytest.mark.parametrize(("key", "asked", "said"), TOLD)
def test_the_recogniser_is_guided_to_it(key: str, asked: Expecting, said: str) -> None:
    model = guide(asked)
    assert model.words.issuperset(said.split())
    assert model.score(said) / (len(said.split()) + 1) > LEAST


@pytest.mark.parametrize(("key", "asked", "said"), [one for one in TOLD if one[0] not in CLOSED_KEYS])
def test_the_fallback_can_hear_it(key: str, asked: Expecting, said: str) -> None:
    words = tuple(said.split())
    assert len(words) in ends(hearable(asked, "x"), words, 0, {}), (key, asked, said)


Places = dict[tuple[int, int], frozenset[int]]


def ends(phrase: GrammarPhrase, words: tuple[str, ...], start: int, known: Places) -> frozenset[int]:
    """Where in the words a phrase may end that begins at this one."""
    if isinstance(phrase, str):
        return frozenset({start + 1}) if words[start : start + 1] == (phrase,) else frozenset()
    place = (id(phrase), start)
    if place not in known:
        if phrase[0] == "sequence":
            found = frozenset({start})
            for part in phrase[1]:
                found = frozenset(end for begin in found for end in ends(part, words, begin, known))
        else:
            found = frozenset(end for part, _ in phrase[1] for end in ends(part, words, start, known))
        known[place] = found
    return known[place]
