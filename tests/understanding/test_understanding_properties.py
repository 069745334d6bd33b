"""What always holds: total, pure, bounded, and blind to which answer would be right."""

import inspect
import json
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dialogue.acts import EXPECTING, Describe, Line, Meaning, Move, Value, to_json
from dialogue.algebra.reading import MAX_LENGTH
from dialogue.algebra.tree import letters
from dialogue.understanding.grammar import load
from dialogue.understanding.interpret import interpret, understand
from dialogue.understanding.numbers import number_at
from dialogue.understanding.surface import context, words

CONTEXTS = st.sampled_from(EXPECTING)
LETTERS = st.sampled_from("xynabctpk")
SAYINGS = ("take {} off both", "so it's {} then", "{}x = {}", "because {} and {} is more", "minus {} both sides")
SIGNS = tuple("one two three four five x y n + - * / = ( ) 3 12 2.5 1/2".split())  # noqa: SIM905
WORDS = st.sampled_from((*sorted(load().vocabulary), *SIGNS))


@settings(deadline=None)  # the first turn loads the network
@given(st.text(max_size=60), CONTEXTS, LETTERS)
def test_any_text_has_a_meaning(text: str, expecting, letter: str) -> None:
    json.dumps(to_json(understand(text, expecting, letter)))


@settings(deadline=None)
@given(st.text(alphabet="0123456789x+-*/=()., ½²−×÷", max_size=40), CONTEXTS)
def test_any_mathematics_has_a_meaning(text: str, expecting) -> None:
    to_json(understand(text, expecting, "x"))


@settings(max_examples=120, deadline=None)  # more by the hour: tests/fuzz/fuzz_understand.py
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


def test_the_equation_does_not_matter() -> None:
    """The words, the question and the letter decide: the understanding cannot be given the equation at all."""
    assert list(inspect.signature(interpret).parameters) == ["text", "expecting", "letter", "tutor"]


@given(st.sampled_from(SAYINGS), st.integers(1, 999), st.integers(1, 999))
def test_the_tagger_sees_no_number(saying: str, one: int, other: int) -> None:
    """With any other numbers, in the turn and in the tutor's question, the words it is shown are the same."""
    said, again = saying.format(one, one), saying.format(other, other)
    assert [word.shown for word in words(said, "x")] == [word.shown for word in words(again, "x")]
    asked = "Put {0} in place of x in {0}x = 7."
    assert context(asked.format(one), "x") == context(asked.format(other), "x")


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


@pytest.mark.parametrize("expecting", EXPECTING)
def test_bytes_that_are_no_text_are_understood_as_nothing_wrong(expecting) -> None:
    text = "\udcff\udcff\udcff\x13\x16\bx\udcff?\udcff\udcfft\"\x02mh"  # fmt: skip
    assert interpret(text, expecting, "x").acts
