"""Equations in words: every family has some, they hold the equation's numbers and no others, and ask one question."""

import re
from collections import Counter

import pytest

from dialogue.algebra.equation import read_equation
from dialogue.algebra.tree import Number, walk
from dialogue.learner.contexts import Storyteller, contexts, stories, story
from dialogue.learner.families import draw
from dialogue.learner.stages import stages


@pytest.mark.parametrize("number", [each.number for each in stages()])
def test_every_equation_with_a_countable_answer_can_be_told_with_its_own_numbers(number: int) -> None:
    for task in draw(number, 2, 60):
        found = stories(task.equation)
        value = task.solution.value
        if value is not None and value > 0 and value.denominator == 1:
            assert found, task.equation.text()
        written = [part.value for side in task.equation.sides() for part in walk(side) if isinstance(part, Number)]
        for each in found:
            assert Counter(map(int, re.findall(r"\d+", each.words))) == Counter(map(int, written)), each.words
            assert each.words.endswith("?") and each.words.count("?") == 1


@pytest.mark.parametrize(
    ("text", "words", "let"),
    [
        ("3n = 42", "3 friends share 42 sweets equally. How many does each get?", "the number of sweets each gets"),
        ("42 = 3n", "3 friends share 42 sweets equally. How many does each get?", "the number of sweets each gets"),
        (
            "19 - 4n = 7",
            "A tank holds 19 litres. Each minute 4 litres run out, until 7 litres are left. How many minutes is that?",
            "the number of minutes",
        ),
    ],
)
def test_what_is_said(text: str, words: str, let: str) -> None:
    """By hand: three times fourteen is 42; three minutes at four litres leave 7 of 19."""
    first = stories(read_equation(text))[0]
    assert (first.words, first.let) == (words, let)


def test_nobody_counts_a_part_or_less_than_nothing_of_a_thing() -> None:
    for text in ("4n = 18", "n + 44 = 21", "7n + 26 = 5"):
        allowed = {context.let for context in contexts() if context.any_answer}
        assert {each.let for each in stories(read_equation(text))} <= allowed
    assert [each.let for each in stories(read_equation("n + 44 = 21"))] == ["the temperature before"]


def test_no_story_where_no_number_or_every_number_solves_it() -> None:
    assert stories(read_equation("3n + 4 = 3n + 9")) == stories(read_equation("2(n + 3) = 2n + 6")) == ()
    assert story(read_equation("5 = 5"), 3) is None


def test_the_choice_picks_one() -> None:
    equation = read_equation("3n = 42")
    assert len({story(equation, choice) for choice in range(6)}) == len(stories(equation)) >= 2


def test_every_context_names_each_number_of_its_form_once() -> None:
    for context in contexts():
        named = re.findall(r"\{([a-e])\}", context.words)
        assert sorted(named) == sorted(re.findall(r"[a-e]", context.form)), context.words


def test_a_story_comes_again_only_when_all_were_told_as_often() -> None:
    equations = [read_equation(f"{first}n + 5 = {12 * first + 5}") for first in range(2, 8)]
    teller = Storyteller()
    told = [each.let for each in map(teller.tell, equations) if each is not None]
    kinds = {each.let for each in stories(equations[0])}
    assert len(kinds) == 3 and set(told[:3]) == set(told[3:]) == kinds
    assert teller.tell(read_equation("3n + 4 = 3n + 9")) is None
