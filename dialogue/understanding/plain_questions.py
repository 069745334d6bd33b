"""Questions, beliefs and wishes that are plain from their words, taken out of what was typed: a number in a question is
no answer, and what stands beside it is understood as if it stood alone."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from dialogue.acts import KindOfEquation
from dialogue.understanding.conjecture_reader import conjecture_in
from dialogue.understanding.kinds_wished import is_for_now, kind_wished
from dialogue.understanding.learned_topics import Asked
from dialogue.understanding.phrase_spotting import denies
from dialogue.understanding.question_topics import SENTENCES, Spotted, found_in
from dialogue.understanding.seen_turn import Place

CERTAIN = 1.0  # of a question that was found by its words, before anything else is looked for
DIGIT = re.compile(r"\d")
COUNTED = r"\b(?:two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|hal[fv]e?s?|doubles?)\b"
KEPT = re.compile(rf"\d|{COUNTED}|^\W*(?:yes|yeah|yep|no|nope)\b", re.I)  # before a question: a step, or an answer
NO_GOODBYE = re.compile(
    r"\W+(?:to (?:the|both|each|one|get)|back|over|through|on|first|from|down|up|left|right|with|by|away)\b", re.I
)
OF_NUMBER = re.compile(r"(?:\d|\b[b-hj-z]|it|that|has|have|sides?|divided?) ?$", re.IGNORECASE)
EXAMPLE = re.compile(r"\W*(?:like|for example|e\.?g|such as|because|cos|since)\b")  # or a reason


@dataclass(frozen=True, slots=True)
class Parted:
    """Where what is left of the text stands, what was asked or believed in it (rows of ``topics.toml``), and what was
    wished for: the ``kind`` of equation where it was named, and whether it is to come at once."""

    rest: tuple[Place, ...]
    asked: tuple[str, ...] = ()
    wish: str = ""
    kind: KindOfEquation | Literal[""] = ""
    now: bool = False


def parted(text: str, letter: str, learned: Sequence[Asked] = ()) -> Parted:
    """The text without the sentences that are plainly a question, a belief, a guess put as a question, or a wish; and
    without the questions that were ``learned``."""
    rest, asked, wished, at = list[Place](), list[str](), Parted(()), 0
    for sentence in SENTENCES.findall(text):
        begin, at = at, at + len(sentence)
        question: Spotted | None = None
        heard = next((one for one in learned if begin <= one.start < at), None)
        if heard is not None and heard.probability == CERTAIN:
            asked.append(heard.topic)
            question = Spotted(heard.topic, heard.start - begin, heard.start - begin)
        elif (question := found_in("plainly", sentence)) is not None:
            asked.append(question.topic)
            if heard is not None:  # the whole question goes, and not its phrase alone
                question = question._replace(start=min(question.start, heard.start - begin))
        elif (guess := conjecture_in(sentence, letter)) is not None:
            asked.append(guess.topic)
            rest += _around(sentence, begin, guess)
            continue
        elif (kind := kind_wished(sentence)) is not None and not denies(sentence[: kind.start]):
            wished = Parted((), (), "harder", kind.kind, kind.now)
            question = Spotted(kind.kind, kind.start, kind.end)
        elif (question := found_in("wished", sentence)) is not None and _is_wish(sentence, question):
            wished = wished if wished.kind else Parted((), (), question.topic, now=is_for_now(sentence))
        elif heard is not None:
            asked.append(heard.topic)
            question = Spotted(heard.topic, heard.start - begin, heard.start - begin)
        else:
            question = None
        rest += [(begin, at)] if question is None else _beside(sentence, begin, question)
    return replace(wished, rest=tuple(rest), asked=tuple(dict.fromkeys(asked)))


def _is_wish(sentence: str, wish: Spotted) -> bool:
    """Whether it is wished for, and no part of the working ("the 4 has got to go", "i have to go back")."""
    parting = wish.topic != "stop" or not (
        NO_GOODBYE.match(sentence, wish.end) or OF_NUMBER.search(sentence[: wish.start])
    )
    return parting and not denies(sentence[: wish.end])


def _beside(sentence: str, begin: int, asked: Spotted) -> Iterator[Place]:
    """What may be a step or an answer: a number, yes or no before the question, a number after a comma behind it."""
    if KEPT.search(sentence[: asked.start]):
        yield begin, begin + asked.start
    comma = sentence.find(",", asked.end)
    after = sentence[comma + 1 :] if comma >= 0 else ""
    if DIGIT.search(after) and not EXAMPLE.match(after):
        yield begin + comma, begin + len(sentence)


def _around(sentence: str, begin: int, guess: Spotted) -> Iterator[Place]:
    """What may be a step or an answer on either side of a guess."""
    for start, end in ((0, guess.start), (guess.end, len(sentence))):
        if KEPT.search(sentence[start:end]):
            yield begin + start, begin + end
