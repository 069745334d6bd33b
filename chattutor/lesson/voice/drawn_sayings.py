"""What a recogniser leans on after each question: sayings drawn from the wordings, the same ones every time.

Beside them stand turns of invented lessons, in which learners say it in their own ways (understanding/en/sayings.txt).
Chosen by what was asked and the letter, never by the equation. Every unit, teen and ten counts as any other, and so
every part: which number is likelier is never told from the sayings.
"""

import random
from functools import lru_cache
from itertools import accumulate
from typing import get_args

from dialogue.acts import Expecting
from dialogue.understanding import recognition_grammar
from dialogue.understanding.numbers import TEENS, TENS, UNITS
from dialogue.understanding.recognition_grammar import ORDINAL_PARTS, GrammarPhrase
from speech.language import Corpus, Sayings

ALIKE = (
    frozenset({*UNITS, *TEENS, *TENS}),
    frozenset(ORDINAL_PARTS),
    frozenset(f"{part}s" for part in ORDINAL_PARTS),
)
QUESTIONS: tuple[Expecting, ...] = get_args(Expecting)
FIRST_LETTER = "x"  # drawn and counted in this letter once; other letters only change its name
WORDS_TOO = "ai"  # letters that are words as well: in these all is counted again
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
    shares = tuple(ASKED if one == expecting else NOT_ASKED for one in QUESTIONS)
    written = letter if letter in WORDS_TOO else FIRST_LETTER
    return Sayings(_corpus(written), shares, (written, letter))


@lru_cache(maxsize=3)
def _corpus(letter: str) -> Corpus:
    """What is said after each question, in this letter."""
    return Corpus(lambda: _groups(letter), ALIKE)


def _groups(letter: str) -> list[list[tuple[str, float]]]:
    said = recognition_grammar.said_in_lessons()
    each = [[*_drawn(one), *((text, WEIGHT_SAID) for text in said.get(one, ()))] for one in QUESTIONS]
    return [[(_in_letter(text, letter), weight) for text, weight in texts] for texts in each]


def _in_letter(text: str, letter: str) -> str:
    if letter == FIRST_LETTER or FIRST_LETTER not in text:
        return text
    return " ".join(letter if word == FIRST_LETTER else word for word in text.split())


def _drawn(expecting: Expecting) -> list[tuple[str, float]]:
    chance = random.Random(expecting)  # noqa: S311 - samples to count, no secret
    usual = recognition_grammar.hearable(expecting, FIRST_LETTER)
    every = recognition_grammar.understandable(expecting, FIRST_LETTER)
    saying = _Saying(chance)
    texts = [(saying.drawn(usual), WEIGHT_USUAL / USUAL) for _ in range(USUAL)]
    texts += [(saying.drawn(every), WEIGHT_EVERY / EVERY) for _ in range(EVERY)]
    return [(text, weight) for text, weight in texts if text]


class _Saying:
    """Draws sentences as they may be said: thought about aloud, or begun and put right."""

    def __init__(self, chance: random.Random) -> None:
        self._chance = chance
        self._added: dict[int, list[float]] = {}  # the weights of a choice, each with those before it

    def drawn(self, phrase: GrammarPhrase) -> str:
        words, chance = list[str](), self._chance
        self._say(phrase, words)
        if words and chance.random() < PUT_RIGHT:
            second: list[str] = []
            self._say(phrase, second)
            end = second if chance.random() < WHOLE_AGAIN else second[-1:]
            words += [*chance.choice(CORRECTIONS).split(), *end]
        if chance.random() < THOUGHT_ALOUD:
            words.insert(0, chance.choice(FILLERS))
        return " ".join(words)

    def _say(self, phrase: GrammarPhrase, words: list[str]) -> None:
        if isinstance(phrase, str):
            words.append(phrase)
        elif phrase[0] == "sequence":
            for part in phrase[1]:
                self._say(part, words)
        else:
            branches = phrase[1]
            if (added := self._added.get(id(phrase))) is None:
                added = self._added[id(phrase)] = list(accumulate(weight for _, weight in branches))
            self._say(self._chance.choices(branches, cum_weights=added)[0][0], words)
