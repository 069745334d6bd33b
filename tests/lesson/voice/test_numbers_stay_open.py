"""What a recogniser is guided by never leans towards a number: not by what was asked, and not by the equation."""

import inspect
from itertools import product
from typing import get_args

import pytest

from chattutor.lesson.voice.drawn_sayings import ALIKE, sayings_after
from chattutor.lesson.voice.languages import language_after
from dialogue.acts import Expecting
from speech.recognition.moonshine.word_model import WordModel

AROUND = ("{}", "subtract {} from both sides", "x equals {}", "it's minus {}", "erm so divide both sides by {} no wait")


@pytest.mark.parametrize("expecting", get_args(Expecting))
def test_every_number_word_is_as_likely_as_any_other(expecting: Expecting) -> None:
    model = WordModel(sayings_after(expecting, "x"))
    assert {"seven", "seventeen", "seventy"} <= ALIKE[0]
    for around, alike in product(AROUND, ALIKE):
        scores = {model.score(around.format(word)) for word in alike}
        assert len(scores) == 1, (expecting, around, alike)


def test_the_equation_is_not_among_what_the_language_is_made_from() -> None:
    for made in (language_after, sayings_after):
        assert set(inspect.signature(made).parameters) <= {"expecting", "letter", "tell", "folder"}


def test_the_sayings_are_the_same_every_time_and_take_the_letter() -> None:
    in_x, in_n = sayings_after("move", "x"), sayings_after("move", "n")
    assert in_x.texts() == in_x.texts()
    words = {word for text, _ in in_n.texts() for word in text.split()}
    assert "n" in words
    assert "x" not in words


def test_every_question_and_letter_shares_what_is_counted() -> None:
    corpora = {sayings_after(expecting, letter).corpus for expecting in get_args(Expecting) for letter in "xnw"}
    assert len(corpora) == 1
    assert sayings_after("move", "a").corpus not in corpora  # a word as well
