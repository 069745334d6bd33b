"""What a recogniser leans on after each question: sayings drawn from the wordings, the same ones every time.

Beside them stand turns of invented lessons, in which learners say it in their own ways (understanding/en/sayings.txt).
Chosen by what was asked and the letter, never by the equation. Every unit, teen and ten counts as any other, and so
every part: which number is likelier is never told from the sayings.
"""

import random
from functools import lru_cache
from itertools import chain
from typing import get_args

from dialogue.acts import Expecting
from dialogue.understanding import recognition_grammar
from dialogue.understanding.numbers import TEENS, TENS, UNITS
from dialogue.understanding.recognition_grammar import ORDINAL_PARTS, GrammarPhrase
from speech.language import Sayings

ALIKE = (
    frozenset({*UNITS, *TEENS, *TENS}),
    frozenset(ORDINAL_PARTS),
    frozenset(f"{part}s" for part in ORDINAL_PARTS),
)
FIRST_LETTER = "x"  # drawn in this letter once; other letters only change its name
FILLERS = ("erm", "um", "uh", "er", "so", "okay", "okay so", "erm so", "so um", "right", "well", "hmm", "oh", "like")
THOUGHT_ALOUD = 0.25  # share of the sayings that a filler stands before
CORRECTIONS = ("no", "no wait", "wait no", "i mean", "no i mean", "no sorry", "sorry", "wait", "actually", "or")
PUT_RIGHT = 0.12  # share of the sayings that are put right in the same breath
WHOLE_AGAIN = 0.5  # of those: by a whole saying, not by the last word of one
USUAL, EVERY = 1500, 1500  # draws from the usual wordings after a question, and from all of them
WEIGHT_USUAL, WEIGHT_EVERY = 1000.0, 500.0  # what each of those counts for in all
WEIGHT_SAID = 0.5  # of each turn of a lesson
ASKED, NOT_ASKED = 6.0, 0.5  # times that, for the question that was asked and for each other one


@lru_cache(maxsize=32)
def sayings_after(expecting: Expecting, letter: str) -> Sayings:
    """Sayings after this question, in this letter, and fewer of those after other questions."""
    each = (_weighted(one, letter, ASKED if one == expecting else NOT_ASKED) for one in get_args(Expecting))
    return Sayings(tuple(chain.from_iterable(each)), ALIKE)


@lru_cache(maxsize=64)
def _weighted(expecting: Expecting, letter: str, often: float) -> tuple[tuple[str, float], ...]:
    """What is said after one question; the same objects for every language that they are a part of."""
    drawn = ((_in_letter(text, letter), weight * often) for text, weight in _drawn(expecting))
    said = ((_in_letter(text, letter), WEIGHT_SAID * often) for text in recognition_grammar.said_in_lessons(expecting))
    return (*drawn, *said)


def _in_letter(text: str, letter: str) -> str:
    if letter == FIRST_LETTER or FIRST_LETTER not in text:
        return text
    return " ".join(letter if word == FIRST_LETTER else word for word in text.split())


@lru_cache(maxsize=64)
def _drawn(expecting: Expecting) -> tuple[tuple[str, float], ...]:
    chance = random.Random(expecting)  # noqa: S311 - samples to count, no secret
    usual = recognition_grammar.hearable(expecting, FIRST_LETTER)
    every = recognition_grammar.understandable(expecting, FIRST_LETTER)
    texts = [(_saying(usual, chance), WEIGHT_USUAL / USUAL) for _ in range(USUAL)]
    texts += [(_saying(every, chance), WEIGHT_EVERY / EVERY) for _ in range(EVERY)]
    return tuple((text, weight) for text, weight in texts if text)


def _saying(phrase: GrammarPhrase, chance: random.Random) -> str:
    """A sentence as it may be said: thought about aloud, or begun and put right."""
    words: list[str] = []
    _say(phrase, chance, words)
    if words and chance.random() < PUT_RIGHT:
        second: list[str] = []
        _say(phrase, chance, second)
        end = second if chance.random() < WHOLE_AGAIN else second[-1:]
        words += [*chance.choice(CORRECTIONS).split(), *end]
    if chance.random() < THOUGHT_ALOUD:
        words.insert(0, chance.choice(FILLERS))
    return " ".join(words)


def _say(phrase: GrammarPhrase, chance: random.Random, words: list[str]) -> None:
    if isinstance(phrase, str):
        words.append(phrase)
    elif phrase[0] == "sequence":
        for part in phrase[1]:
            _say(part, chance, words)
    else:
        branches = phrase[1]
        weights = [weight for _, weight in branches]
        _say(chance.choices(branches, weights)[0][0], chance, words)
