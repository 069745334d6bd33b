"""Stretches of a learner's words read exactly: the only way in which a number gets into an act."""

import re
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache

from dialogue.algebra.linear import linear
from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import DivisionByZero, Refusal
from dialogue.algebra.tree import Expression, Number, Product, Quotient, SignedTerm, Sum
from dialogue.understanding import normalise
from dialogue.understanding.expressions import AMBIGUOUS, Expressions
from dialogue.understanding.grammar import read_data
from dialogue.understanding.numbers import PARTS, is_number

MOST_CHARACTERS, MOST_TOKENS = 100, 16  # of a stretch; nobody says a longer operand
EDGES = " ,;:!?\"'…"
SYMBOLS = re.compile(r"[\s\d.+\-*/()a-z]+")
TWO_LETTERS = re.compile(r"[a-z]{2}")
LONG_ENOUGH = 6  # letters of a word that is known by its consonants
PLURAL = re.compile(r"(?P<stem>\w{2,}?)(?:es|s|'s)")

SpanValue = tuple[Fraction, Fraction]


def value_of(expression: Expression) -> SpanValue | None:
    """Lots of the unknown, and the constant; None where it is not linear."""
    try:
        form = linear(expression)
    except Refusal:
        return None
    return Fraction(form.coefficient), Fraction(form.constant)


def expression(text: str, letter: str) -> Expression | None:
    """The one expression that the words are, whole; None where they are none, or could be grouped in two ways."""
    text = text.strip(EDGES).rstrip(". ")
    if not text or len(text) > MOST_CHARACTERS:
        return None
    plain = _in_common_words(normalise.cleaned(text))
    if SYMBOLS.fullmatch(plain) and not TWO_LETTERS.search(plain):
        written = _symbols(plain, letter)
        if written is not None:
            return written
    tokens = normalise.tokens(plain, letter)
    if not tokens or len(tokens) > MOST_TOKENS:
        return None
    ends = [(cost, tree) for end, tree, cost in Expressions(tokens, letter).at(0) if end == len(tokens)]
    if not ends:
        return None
    least = min(cost for cost, _ in ends)
    trees = [tree for cost, tree in ends if cost == least]
    if AMBIGUOUS in trees or len({value_of(tree) for tree in trees}) > 1:
        return None
    return _defined(trees[0])


def is_undefined(expression: Expression) -> bool:
    """Whether it divides by zero: there is no such number to be worked with."""
    try:
        linear(expression)
    except DivisionByZero:
        return True
    except Refusal:
        return False
    return False


def _defined(expression: Expression) -> Expression | None:
    return None if is_undefined(expression) else expression


def _in_common_words(plain: str) -> str:
    """ "A dozen" as "twelve", "three's" as "three"."""
    named = _other_names()
    words = [named.get(word, word) for word in plain.split()]
    words = [stem if word.endswith("'s") and is_number(stem := word[:-2]) else word for word in words]
    return " ".join(word for at, word in enumerate(words) if not (word == "a" and words[at + 1 : at + 2] == ["twelve"]))


def _symbols(plain: str, letter: str) -> Expression | None:
    if letter != "x":
        plain = re.sub(r"(?<=[\d)])\s*x\s*(?=[\d(])", "*", plain)  # "3 x 4" where x is not the unknown
    plain = re.sub(rf"\b{letter}(?=\d)", f"{letter}*", plain)
    try:
        return _defined(read_expression(plain, letter))
    except Refusal:
        return None


def part(text: str, letter: str) -> Expression | None:
    """How many equal parts, or times, a word names: "halve" and "a half" are 2, "a third" is 3, "tenfold" is 10."""
    words = text.strip(EDGES).rstrip(". ").lower().replace("\u2019", "'").split()
    before, parts, bones, endings = _parts()
    if words and all(word in before for word in words[:-1]):
        last = words[-1]
        named = parts.get(last) or bones.get(_bones(last)) or PARTS.get(last)
        if named is not None:
            return Number(Fraction(named))
        for ending in endings:
            number = expression(last.removesuffix(ending), letter) if last.endswith(ending) else None
            if isinstance(number, Number):
                return number
    read = expression(text, letter)
    value = None if read is None else value_of(read)
    if value is None or value[0] or value[1].numerator != 1:
        return None
    return Number(1 / value[1])


def _bones(word: str) -> str:
    """What is left of a long word without its vowels and doubled letters: how children misspell keeps it."""
    kept = word[:1] + "".join(letter for letter in word[1:] if letter not in "aeiou")
    return re.sub(r"(.)\1+", r"\1", kept)


@lru_cache(maxsize=1)
def side_names() -> dict[str, frozenset[str]]:
    """What each side is called."""
    return {side: frozenset(names) for side, names in read_data("spans")["sides"].items()}


@lru_cache(maxsize=1)
def _parts() -> tuple[frozenset[str], dict[str, Fraction], dict[str, Fraction], tuple[str, ...]]:
    data = read_data("spans")
    named = {word: Fraction(int(number)) for number, words in data["parts"].items() for word in words}
    bones: dict[str, Fraction] = {}
    for word, value in named.items():
        if len(word) >= LONG_ENOUGH and bones.setdefault(_bones(word), value) != value:
            raise ValueError(f"{word}: two parts are spelled alike")
    return frozenset(data["before_a_part"]["words"]), named, bones, tuple(data["number_as_part"]["endings"])


@lru_cache(maxsize=1)
def _other_names() -> dict[str, str]:
    return {word: number for number, words in read_data("spans")["other_names"].items() for word in words}


def sum_said(text: str, letter: str) -> Expression | None:
    """An expression, or a sum in the short forms of mental arithmetic: "four sixes", "6 and 5", "3 from 9"."""
    read = expression(text, letter)
    if read is not None:
        return read
    words = text.strip(EDGES).rstrip(". ").lower().split()
    if len(words) < 2:
        return None
    times = expression(" ".join(words[:-1]), letter)
    group = _singular(words[-1], letter)
    if times is not None and group is not None:
        return Product((times, group))
    for at in range(1, len(words) - 1):
        make = _sums().get(words[at])
        if make is not None:
            first, second = (expression(" ".join(side), letter) for side in (words[:at], words[at + 1 :]))
            if first is not None and second is not None:
                return _defined(make(first, second))
    return None


def _singular(word: str, letter: str) -> Number | None:
    """The number that the plural is of: "sixes", "fours"."""
    found = PLURAL.fullmatch(word)
    for stem in () if found is None else (word[:-1], word[:-2], found["stem"]):
        number = expression(stem, letter)
        if isinstance(number, Number):
            return number
    return None


Binary = Callable[[Expression, Expression], Expression]
SUMS: dict[str, Binary] = {
    "add": lambda one, other: Sum((SignedTerm(1, one), SignedTerm(1, other))),
    "subtract": lambda one, other: Sum((SignedTerm(1, one), SignedTerm(-1, other))),
    "subtract_from": lambda one, other: Sum((SignedTerm(1, other), SignedTerm(-1, one))),
    "multiply": lambda one, other: Product((one, other)),
    "divide": Quotient,
    "divide_into": lambda one, other: Quotient(other, one),
}


@lru_cache(maxsize=1)
def _sums() -> dict[str, Binary]:
    return {word: SUMS[name] for name, words in read_data("spans")["sums"].items() for word in words}
