"""The clause that matters: a whole meaning in one clause of an utterance, and talk in the others.

"It's been thirty years since I did this. Divide both sides by four?" Tried where neither the wordings nor an
explanation cover the utterance. A clause ends at a mark of punctuation or at a joint ("so", "because", "by"), and may
begin at a pronoun. Only what cannot be mistaken counts: a move with its sides, an equation, what to rewrite, an answer
that was asked for; two of them that differ, and it stays unclear. Talk may hold any words, but a "not", an "or" or a
question must be in a clause before the one that counts.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from dialogue.acts import Ask, Control, Expecting, Meaning, Say, Value
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.tree import has_unknown
from dialogue.understanding.grammar import read_data
from dialogue.understanding.numbers import NUMBER_WORDS, TENS, is_number
from dialogue.understanding.templates import Node, Understander, compiled, longest

MOST_PLACES = 14  # where a clause may begin, or end; an utterance of more is not looked through
SHORTEST = 2  # tokens of a clause that may count
LONG_ENOUGH = 3  # tokens of a question or a sigh that may count

LONGER = frozenset({"then", "these", "there", "they", "today", "together", "form", "into", "its"})  # after "the", "to"

WORDS = ("joints", "beginning", "parting", "concluding", "blocking", "operations")


Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Lists:
    joints: frozenset[str]
    beginning: frozenset[str]
    parting: frozenset[str]
    concluding: frozenset[str]
    blocking: frozenset[str]
    operations: frozenset[str]
    calm: Node
    reported: Node


@lru_cache(maxsize=1)
def _lists() -> _Lists:
    data = read_data("phrase_spotting")
    words = {name: frozenset(data[name]) for name in WORDS}
    calm = [(frame, "") for frame in data["calm"]]
    reported = [(frame, "") for name in ("frames", "tags", "calm", "reported") for frame in data[name]]
    return _Lists(**words, calm=compiled(calm), reported=compiled(reported))


class Clauses:
    """The clauses of one utterance: ``pieces`` are its tokens between marks of punctuation, ``whole`` gives the meaning
    of all of some tokens."""

    def __init__(self, pieces: Sequence[tuple[str, ...]], whole: Understander, expecting: Expecting) -> None:
        self.tokens = tuple(token for piece in pieces for token in piece)
        self.whole, self.expecting = whole, expecting
        ends = [0]
        for piece in pieces:
            ends.append(ends[-1] + len(piece))
        self.marks = frozenset(ends)

    def main(self) -> Meaning | None:
        """The one meaning that a clause has, where the others only talk; None where there is none, or two."""
        found = list(self._counting(self._counts))
        meanings = list(dict.fromkeys(meaning for _, meaning in found))
        if len(meanings) > 1 and self._concludes(meanings):
            meanings = meanings[-1:]
        if len(meanings) > 1:
            return None
        if not meanings:
            return self._asked()
        span = next(span for span, meaning in reversed(found) if meaning == meanings[0])
        return meanings[0] if self._only_talk(span, meanings[0]) else None

    def _concludes(self, meanings: list[Meaning]) -> bool:
        """Whether the last counts: the equation of a line of reasoning, the move after what it is for."""
        *before, last = meanings
        if isinstance(last, Line | Value):
            return self.expecting in {"equation", "value"} or all(isinstance(one, Line) for one in before)
        return isinstance(last, Move) and all(isinstance(one, Rewrite) for one in before)

    def _asked(self) -> Meaning | None:
        """What is asked for, or a sigh, among talk without mathematics."""
        if any(token in _lists().operations or token in NUMBER_WORDS for token in self.tokens):
            return None
        meanings = {meaning for _, meaning in self._counting(_asks)}
        if len(meanings) > 1:
            meanings.discard(Say("stuck"))
        return meanings.pop() if len(meanings) == 1 else None

    def _counting(self, counts: Callable[[Meaning | None, Span], bool]) -> Iterator[tuple[Span, Meaning]]:
        """The clauses that count, in their order: the longest of those that overlap."""
        lists, tokens = _lists(), self.tokens
        joints = {at for at, token in enumerate(tokens) if token in lists.joints}
        begun = {at for at, token in enumerate(tokens) if token in lists.beginning}
        starts = {*self.marks, *joints, *(at + 1 for at in joints), *begun} - {len(tokens)}
        ends = {*self.marks, *joints} - {0}
        if len(starts) > MOST_PLACES or len(ends) > MOST_PLACES:
            return
        spans = ((start, end) for start in starts for end in ends if end - start >= SHORTEST)
        kept: dict[Span, Meaning] = {}
        for start, end in sorted(spans, key=lambda span: (span[0] - span[1], span)):
            if end - start < len(tokens) and all(end <= first or start >= last for first, last in kept):
                meaning = self.whole(tokens[start:end])
                if meaning is not None and counts(meaning, (start, end)):
                    kept[start, end] = meaning
        yield from sorted(kept.items())

    def _counts(self, meaning: Meaning | None, span: Span) -> bool:
        """Whether it can hardly be said by chance."""
        start, end = span
        if isinstance(meaning, Line):
            before = self.tokens[start - 1]
            joined = "by" in {before, self.tokens[start]} or _mathematical(before)
            apart = (start in self.marks or not joined) and self._ended(end)
            equation = meaning.equation
            return apart and (has_unknown(equation.left) or has_unknown(equation.right))
        if isinstance(meaning, Value):
            return self.expecting == "value" and end in self.marks and start > 0
        if isinstance(meaning, Move):
            if "and" in {*self.tokens[max(start - 1, 0) : start + 1], *self.tokens[end : end + 1]}:
                return False  # what is joined to a move may be another
            return meaning.sides != "unsaid" or (meaning.operation == "transfer" and end - start > LONG_ENOUGH)
        asked = start > 0 and self.tokens[start - 1] in {"can", "could", "please"}  # "can you break it down for me"
        return isinstance(meaning, Rewrite | Verdict) and not asked

    def _ended(self, end: int) -> bool:
        """Whether no part of an expression follows: not "x by two", not "nine and a half"."""
        if end in self.marks:
            return True
        after = self.tokens[end : end + 3]
        return after[0] in {"so", "because", "since", "but"} or not any(map(_mathematical, after))

    def _only_talk(self, span: Span, meaning: Meaning) -> bool:
        """Whether the words around say nothing against it."""
        lists, tokens, (start, end) = _lists(), self.tokens, span
        parted = max((at for at in range(start + 1) if at in self.marks or tokens[at] in lists.parting), default=0)
        concluded = start > 0 and not lists.concluding.isdisjoint(tokens[start - 1 : start + 1])
        if isinstance(meaning, Value) and any(map(is_number, tokens[:start])) and not concluded:
            return False  # "between five and six"
        if isinstance(meaning, Rewrite) and not lists.operations.isdisjoint((*tokens[:start], *tokens[end:])):
            return False  # "get x by itself by taking off two"
        if isinstance(meaning, Move):
            tied = "or" in {*tokens[max(start - 1, 0) : start + 1], *tokens[end : end + 1]}
            beside = {*tokens[: start if tied else 0], *tokens[end:]}
            if not lists.operations.isdisjoint(beside) or any(one[-1].isdigit() for one in tokens[end:]):
                return False  # "add or subtract three on both sides", "minus one both sides then x3"
        at = 0
        while at < len(tokens):
            after, _ = longest(lists.reported, tokens, at)
            if after == at and tokens[at] in lists.blocking and not start <= at < end and at >= parted:
                return False
            at = max(after, at + 1)
        return True


def _mathematical(word: str) -> bool:
    return word in NUMBER_WORDS or (len(word) == 1 and word != "i") or not word[0].isalpha()


def _asks(meaning: Meaning | None, span: Span) -> bool:
    """Whether it asks for something, or sighs, in so many words."""
    asked = isinstance(meaning, Ask) or meaning in {Say("stuck"), Control("pause")}
    return asked and span[1] - span[0] >= LONG_ENOUGH


def unrepeated(tokens: tuple[str, ...]) -> tuple[str, ...]:
    """Without what was said twice in a row, or begun twice: "by by by five", "add four add four", "sub subtract".

    A digit may be said twice, but not the tens ("twenty twenty three").
    """
    for size in range(len(tokens) // 2, 0, -1):
        for at in range(len(tokens) - 2 * size + 1):
            said = tokens[at : at + size]
            if said == tokens[at + size : at + 2 * size] and any(map(_a_word, said)):
                return unrepeated((*tokens[:at], *tokens[at + size :]))
    begun = [_a_word(one) and after.startswith(one) and after not in LONGER for one, after in pairwise(tokens)]
    return tuple(token for token, twice in zip(tokens, (*begun, False), strict=True) if not twice)


def _a_word(token: str) -> bool:
    number = token in NUMBER_WORDS and token not in TENS
    return len(token) > 1 and token.isalpha() and not number and token not in {"minus", "negative"}


def calmed(tokens: tuple[str, ...]) -> tuple[str, ...]:
    """Without the phrases that change nothing wherever they stand ("let me see", "does that make sense")."""
    kept: list[str] = []
    at = 0
    while at < len(tokens):
        after, _ = longest(_lists().calm, tokens, at)
        if after == at:
            kept.append(tokens[at])
        at = max(after, at + 1)
    return tuple(kept)
