"""What can be heard comes from what can be understood, whole, and leans towards no answer."""

import random
from functools import cache

import pytest

from chattutor.lesson.voice.languages import as_speech
from dialogue.acts import EXPECTING, Expecting, Unclear
from dialogue.understanding.interpret import understand
from dialogue.understanding.numbers import TENS
from dialogue.understanding.recognition_grammar import GrammarPhrase, below_hundred, hearable, number
from speech.language import compiled


def said(phrase: GrammarPhrase, draw: random.Random) -> list[str]:
    """A sentence of the phrase, drawn by its weights."""
    if isinstance(phrase, str):
        return [phrase]
    if phrase[0] == "sequence":
        return [word for part in phrase[1] for word in said(part, draw)]
    parts, weights = zip(*phrase[1], strict=True)
    return said(draw.choices(parts, weights)[0], draw)


@cache
def vocabulary(expecting: Expecting) -> frozenset[str]:
    """Every word that can be heard after the question."""
    words, waiting, seen = set[str](), [hearable(expecting)], set[int]()
    while waiting:
        phrase = waiting.pop()
        if isinstance(phrase, str):
            words.add(phrase)
        elif id(phrase) not in seen:
            seen.add(id(phrase))
            waiting += phrase[1] if phrase[0] == "sequence" else [branch for branch, _ in phrase[1]]
    return frozenset(words)


@pytest.mark.parametrize("expecting", EXPECTING)
def test_a_command_is_heard_whatever_was_asked(expecting: Expecting) -> None:
    assert {"hint", "repeat", "stop", "wait", "undo", "skip", "yes", "no", "stuck", "why"} <= vocabulary(expecting)


@pytest.mark.parametrize("expecting", ["any", "move", "equation", "value"])
def test_every_number_word_and_operation_can_be_heard(expecting: Expecting) -> None:
    heard = vocabulary(expecting)
    numbers = "one two three nine eleven nineteen twenty ninety hundred point half thirds minus nought"
    assert set(numbers.split()) <= heard
    if expecting in {"any", "move"}:
        assert {
            "add",
            "plus",
            "subtract",
            "minus",
            "take",
            "times",
            "multiply",
            "divide",
            "both",
            "sides",
            "left",
        } <= heard


@pytest.mark.parametrize("expecting", EXPECTING)
def test_words_only(expecting: Expecting) -> None:
    assert all(word.replace("'", "").isalpha() and word == word.lower() for word in vocabulary(expecting))


@pytest.mark.parametrize("expecting", EXPECTING)
def test_most_of_what_is_heard_is_understood(expecting: Expecting) -> None:
    draw = random.Random(3)
    sentences = [" ".join(said(hearable(expecting), draw)) for _ in range(150)]
    understood = [one for one in sentences if not isinstance(understand(one, expecting), Unclear)]
    least = 0.5 if expecting == "why" else 0.6  # a sum is work there, and no meaning of its own
    assert len(understood) >= least * len(sentences), [one for one in sentences if one not in understood][:20]


def test_numbers_are_the_same_in_every_lesson() -> None:
    """Nothing of the equation but its letter is taken, and every unit, teen and ten is as likely as another."""
    assert hearable("move", "x") == hearable("move", "x")
    alike = {"one", "nine", "eleven", "nineteen", "twenty", "ninety", "third", "tenths"}
    for phrase in _choices(number()):
        words = {word: weight for word, weight in phrase[1] if isinstance(word, str)}
        if alike & set(words):
            assert len(set(words.values())) == 1, words
    below_twenty = {word: chance for word, chance in _below_hundred().items() if word.split()[0] not in TENS}
    assert len(below_twenty) == 19 and len({round(chance, 9) for chance in below_twenty.values()}) == 1


def _below_hundred() -> dict[str, float]:
    """Every sentence of the whole numbers below a hundred, with its probability."""
    whole = compiled(as_speech(below_hundred(), {}))
    said = {arc.word for arc in whole.arcs}
    pairs = [f"{first} {second}" for first in said for second in said]
    return {one: chance for one in (*said, *pairs) if (chance := whole.probability(one.split())) > 0}


def _choices(phrase: GrammarPhrase) -> list[GrammarPhrase]:
    if isinstance(phrase, str):
        return []
    if phrase[0] == "sequence":
        return [one for part in phrase[1] for one in _choices(part)]
    return [phrase, *(one for part, _ in phrase[1] for one in _choices(part))]
