"""The gist of an utterance that no wording covers whole: one meaning, and around it only words that change nothing.

Tried only where the wordings give nothing. The words around are a closed list (``en/phrase_spotting.toml``); a number,
an operation, a side or a "not" among them, and it stays unclear. A whole equation, or a move with its sides, is told
apart from chatter by itself, so one or two words that nobody knows may stand beside those.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from dialogue.acts import Ask, Control, Expecting, Meaning, Say, Value
from dialogue.algebra.moves import Line, Move, Verdict
from dialogue.understanding.grammar import load, read_data
from dialogue.understanding.numbers import HOMOPHONES, NUMBER_WORDS
from dialogue.understanding.templates import Node, Understander, compiled, longest

MOST_TOKENS = 24
STRANGERS = 2  # words nobody knows, beside a meaning that cannot be mistaken
JOINED = frozenset({"a", "an", "and", "of"})  # inside a number
LONG_ENOUGH = 3  # words of a meaning that strangers may stand beside


@dataclass(frozen=True, slots=True)
class _Lists:
    harmless: frozenset[str]
    never: frozenset[str]
    dangling: frozenset[str]
    another: frozenset[str]
    asking: tuple[str, ...]
    tags: tuple[tuple[str, ...], ...]
    mathematical: frozenset[str]
    frames: Node


@lru_cache(maxsize=1)
def _lists() -> _Lists:
    data = read_data("phrase_spotting")
    words = {name: frozenset(data[name]) for name in ("harmless", "never", "dangling", "another")}
    asking = tuple(f" {phrase} " for phrase in data["asking"])
    tags = tuple(sorted((tuple(phrase.split()) for phrase in data["tags"]), key=len, reverse=True))
    frames = compiled([(frame, "") for frame in data["frames"]])
    return _Lists(**words, asking=asking, tags=tags, mathematical=load().vocabulary | NUMBER_WORDS, frames=frames)


def harmless() -> frozenset[str]:
    """The words that change nothing."""
    return _lists().harmless


def gist(tokens: Sequence[str], whole: Understander, expecting: Expecting, letters: frozenset[str]) -> Meaning | None:
    """The meaning that the utterance is about, the longest stretch of it that has one; None where none has.

    ``whole`` gives the meaning of all of some tokens; ``letters`` are the forms of the unknown.
    """
    lists = _lists()
    if len(tokens) > MOST_TOKENS:
        return None
    fewer = _untagged(tuple(tokens), lists.tags)
    if fewer and len(fewer) < len(tokens):
        meaning = whole(fewer)
        return meaning if meaning is not None else gist(fewer, whole, expecting, letters)
    if tokens[-1] in lists.dangling:
        return None
    if any(phrase in f" {' '.join(tokens)} " for phrase in lists.asking):
        return None
    tokens = tuple(tokens)
    strange = [_strangeness(token, lists, letters) for token in tokens]
    for at in range(len(tokens)):
        end, _ = longest(lists.frames, tokens, at)
        strange[at:end] = [0] * (end - at)
        if tokens[at : at + 2] in {("the", "right"), ("the", "left")}:
            strange[at + 1] = STRANGERS + 1  # a side
    for start, end, around in _spans(strange):
        meaning = whole(tokens[start:end])
        if meaning is None or not _wanted(meaning, expecting, end - start):
            continue
        if isinstance(meaning, Value) and not _alone(tokens, strange, start, end):
            continue
        beside = {*tokens[max(start - 1, 0) : start], *tokens[end : end + 1]}
        if isinstance(meaning, Line | Value) and not beside.isdisjoint(HOMOPHONES):
            continue  # "to x equals ten" may well be "2x = 10"
        if isinstance(meaning, Move) and meaning.sides == "unsaid" and tokens[start - 1 : start] == ("the",):
            continue  # "the minus four" is a term
        if isinstance(meaning, Move) and not lists.another.isdisjoint(tokens[end:]):
            continue
        if around and not _unmistakable(meaning, end - start):
            continue
        return meaning
    return None


def _untagged(tokens: tuple[str, ...], tags: tuple[tuple[str, ...], ...]) -> tuple[str, ...]:
    """The tokens without "isn't it", "is what I'd do" and the like, at either end."""
    for tag in tags:
        if tokens[-len(tag) :] == tag:
            return tokens[: -len(tag)]
        if tokens[: len(tag)] == tag:
            return tokens[len(tag) :]
    return tokens


def _strangeness(token: str, lists: _Lists, letters: frozenset[str]) -> int:
    """0 for a harmless word, 1 for one nobody knows, and too many for one that may change the meaning."""
    if token in lists.never:
        return STRANGERS + 1
    if token in lists.harmless:
        return 0
    known = token in lists.mathematical or token in letters or not token.isalpha()
    return STRANGERS + 1 if known else 1


def _spans(strange: list[int]) -> Iterator[tuple[int, int, int]]:
    """The stretches of words that leave only harmless or few strange ones around them, longest first: where each
    begins and ends, and how strange the words around it are."""
    size, whole = len(strange), sum(strange)
    for length in range(size - 1, 0, -1):
        for start in range(size - length + 1):
            around = whole - sum(strange[start : start + length])
            if around <= STRANGERS:
                yield start, start + length, around


def _wanted(meaning: Meaning, expecting: Expecting, length: int) -> bool:
    """Whether it is a meaning that may be looked for inside other words."""
    if isinstance(meaning, Value):
        return expecting == "value"
    if isinstance(meaning, Ask | Control) or meaning == Say("stuck"):
        return length >= LONG_ENOUGH
    return isinstance(meaning, Move | Line | Verdict)


def _alone(tokens: Sequence[str], strange: list[int], start: int, end: int) -> bool:
    """Whether the words are a number and nothing else, and not somebody's age or how often."""
    if start and tokens[start - 1] in {"am", "i'm", "are", "have", "had", "by", "for", "you're", "about"}:
        return False
    before, after = start - 1, end
    while before >= 0 and tokens[before] in JOINED:
        before -= 1
    while after < len(tokens) and tokens[after] in JOINED:
        after += 1
    if (before >= 0 and tokens[before] in NUMBER_WORDS) or (after < len(tokens) and tokens[after] in NUMBER_WORDS):
        return False  # "twenty one only" is not twenty, "one and a quarter" not a quarter
    return all(strange[at] > STRANGERS or tokens[at] in JOINED for at in range(start, end))


def _unmistakable(meaning: Meaning, length: int) -> bool:
    """Whether it could hardly be said by chance, so that a word nobody knows may stand beside it."""
    if length < LONG_ENOUGH:
        return False
    return isinstance(meaning, Line) or (isinstance(meaning, Move) and meaning.sides != "unsaid")
