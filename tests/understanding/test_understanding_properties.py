"""What always holds: total, pure, bounded, and blind to which answer would be right."""

import inspect
import json
import random
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dialogue.acts import EXPECTING, Ask, Describe, Expecting, Line, Meaning, Move, Unclear, Value, to_json
from dialogue.algebra.equation import read_equation
from dialogue.algebra.reading import MAX_LENGTH
from dialogue.algebra.tree import letters
from dialogue.understanding.grammar import load
from dialogue.understanding.intents import MOST_TOKENS, topic
from dialogue.understanding.numbers import number_at
from dialogue.understanding.understand import understand

from .scoring import DATA

CONTEXTS = st.sampled_from(EXPECTING)
LETTERS = st.sampled_from("xynabctpk")
SIGNS = tuple("one two three four five x y n + - * / = ( ) 3 12 2.5 1/2".split())  # noqa: SIM905
WORDS = st.sampled_from((*sorted(load().vocabulary), *SIGNS))


@given(st.text(max_size=60), CONTEXTS, LETTERS)
def test_any_text_has_a_meaning(text: str, expecting, letter: str) -> None:
    json.dumps(to_json(understand(text, expecting, letter)))


@given(st.text(alphabet="0123456789x+-*/=()., ½²−×÷", max_size=40), CONTEXTS)
def test_any_mathematics_has_a_meaning(text: str, expecting) -> None:
    to_json(understand(text, expecting, "x"))


@settings(max_examples=300)
@given(st.lists(WORDS, max_size=14), CONTEXTS, LETTERS)
def test_any_words_have_a_meaning_and_always_the_same(words: list[str], expecting, letter: str) -> None:
    said = " ".join(words)
    meaning = understand(said, expecting, letter)
    assert meaning == understand(said, expecting, letter)
    assert all(name == letter for name in _letters(meaning))


def _letters(meaning: Meaning) -> tuple[str, ...]:
    """The letters of a meaning: only ever the one of the lesson."""
    match meaning:
        case Move(operand=body) | Value(value=body):
            return letters(body)
        case Line(equation=line):
            return (*letters(line.left), *letters(line.right))
        case Describe(operations=moves):
            return tuple(name for move in moves for name in letters(move.operand))
    return ()


@given(st.text(min_size=MAX_LENGTH + 1, max_size=4 * MAX_LENGTH))
def test_what_is_too_long_is_unclear(text: str) -> None:
    assert understand(text) == Unclear()


@pytest.mark.parametrize("file", ["utterances_dev.jsonl"])
def test_the_equation_does_not_matter(file: str) -> None:
    """The words and the letter decide: with any other equation in the same letter the meaning is the same.

    ``understand`` cannot be given the equation at all; the command is given it, and takes only its letter.
    """
    assert list(inspect.signature(understand).parameters) == ["text", "expecting", "letter"]
    from chattutor.commands.understand import run  # noqa: F401  the command that reads the letter

    items = [json.loads(line) for line in (DATA / file).read_text("utf-8").splitlines()]
    letter_of = {one["equation"]: read_equation(one["equation"]).letter for one in items}
    draw = random.Random(5)
    for item in draw.sample(items, 200):
        letter = letter_of[item["equation"]]
        meant = understand(item["text"], item["expecting"], letter)
        others = [one["equation"] for one in items if letter_of[one["equation"]] == letter]
        for equation in draw.sample(others, min(3, len(others))):
            assert understand(item["text"], item["expecting"], read_equation(equation).letter) == meant


@pytest.mark.parametrize(
    "operation", ["subtract {} from both sides", "add {} to both sides", "divide both sides by {}"]
)
def test_every_number_is_equally_open(operation: str) -> None:
    for number in (*range(1, 120), 250, 999, 1000, 1001, 2019, 9999):
        by_digits = understand(operation.format(number), "move", "x")
        by_words = understand(operation.format(in_words(number)), "move", "x")
        assert by_digits == by_words
        assert isinstance(by_digits, Move)


SMALL = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def in_words(number: int, joined: str = " and ") -> str:
    """A number below 10000 in words (standard English; the British "and" as ``joined``)."""
    if number < 20:
        return SMALL[number]
    if number < 100:
        return TENS[number // 10 - 2] + (f" {SMALL[number % 10]}" if number % 10 else "")
    if number < 1000:
        rest = f"{joined}{in_words(number % 100)}" if number % 100 else ""
        return f"{SMALL[number // 100]} hundred{rest}"
    rest_of = number % 1000
    if not rest_of:
        return f"{SMALL[number // 1000]} thousand"
    between = joined if rest_of < 100 else " "
    return f"{SMALL[number // 1000]} thousand{between}{in_words(rest_of, joined)}"


@pytest.mark.parametrize("joined", [" and ", " "])
def test_every_number_in_words(joined: str) -> None:
    for number in range(10000):
        said = in_words(number, joined).split()
        assert (len(said), number) in [(end, value.value) for end, value, _ in number_at(said, 0)], said  # type: ignore[union-attr]


def test_no_utterance_takes_long() -> None:
    """A generous bound that would only fail on a search that explodes; the figures are in tests/bench."""
    understand("six off both sides")
    worst = [
        "minus " * 30,
        "x plus " * 28,
        "(" * 12 + "x" + ")" * 12,
        "two of x " * 20,
        "no add six " * 16,
        "i think " * 24,
    ]
    for text in worst:
        start = time.process_time()
        understand(text[:MAX_LENGTH], "move", "x")
        assert time.process_time() - start < 1


def test_a_topic_is_looked_for_in_so_many_words_and_no_more() -> None:
    harmless = frozenset({"please"})
    assert topic(("hint", *("please",) * (MOST_TOKENS - 1)), harmless, "x") == Ask("hint")
    assert topic(("hint", *("please",) * MOST_TOKENS), harmless, "x") is None


@pytest.mark.parametrize("expecting", ["any", "value", "term"])
def test_an_x_beside_a_number_is_an_unknown_or_a_times_and_is_asked_about(expecting: Expecting) -> None:
    """ "x-5": five less than x, or times minus five? With another unknown it can only be the second."""
    assert understand("x-5", expecting, "x") == Unclear()
    assert understand("x -5", expecting, "x") == Unclear()
    assert understand("n-5", expecting, "n") != Unclear()
