"""Sums done aloud one after the other: "6x4 is 24 + 36 = 60", "3 times 5 is 15 plus 2 is 17".

On paper the sign of equality joins what is worth the same; said aloud, "is" often tells what came out so far, and the
sum goes on from there. Both are ordinary, and so is working from left to right without brackets: a sum that is right in
any of these readings is right. (Kieran 1981, "Concepts associated with the equality symbol", has the running reading.)
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Literal, NamedTuple, TypeAlias

from dialogue.acts import Act, Comment, Expecting, Say, Value, Work
from dialogue.algebra.moves import Move
from dialogue.algebra.tree import Expression, constant, numbers_in
from dialogue.understanding import spans
from dialogue.understanding.grammar import read_data
from dialogue.understanding.numbers import mixed_at

Kind: TypeAlias = Literal["number", "add", "subtract", "multiply", "divide", "and", "joint", "stop", "other"]

WORD = re.compile(r"\d+(?:\.\d+)?|[^\W\d_]+(?:['’][^\W\d_]+)*|[^\w\s]")
SIGNS = {"add": "+", "subtract": "-", "multiply": "*", "divide": "/"}
NUMBER = re.compile(r"\d+(?:\.\d+)?(?: \d+/\d+)?")
PART_OF_A_TERM = re.compile(r"\d\s?[a-z]\b|[/*()=+]|-", re.IGNORECASE)
STOPS = frozenset(".,;:!?")
MOST_WORDS = 80


class SumPiece(NamedTuple):
    """A word of a sum: what it is there, and its value where it is a number."""

    kind: Kind
    value: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class RunningSum:
    """What was said to be the same, part by part; each part numbers with the operations between them."""

    parts: tuple[tuple[SumPiece, ...], ...]

    @property
    def result(self) -> Fraction:
        """The number that it ends with."""
        return self.parts[-1][0].value

    @property
    def is_right(self) -> bool:
        """Whether each part comes to the next, or to what the next goes on from."""
        return all(_worth(one) & (_worth(other) | {other[0].value}) for one, other in pairwise(self.parts))

    @property
    def last(self) -> Act:
        """Its last sum, or, where that is right only from left to right, that it was support."""
        written = " ".join(SIGNS.get(piece.kind, str(piece.value)) for piece in self.parts[-2])
        read = spans.expression(written, "x")
        right = read is not None and _value(read) == self.result
        return Work(read, constant(self.result)) if read is not None and right else Comment("reason")

    @property
    def first_wrong(self) -> Work | None:
        """The first part that does not come to the next, and what was said of it; None where none, or it is unread."""
        for one, other in pairwise(self.parts):
            if not _worth(one) & (_worth(other) | {other[0].value}):
                read = spans.expression(" ".join(SIGNS.get(piece.kind, str(piece.value)) for piece in one), "x")
                return None if read is None or len(one) == 1 else Work(read, constant(other[0].value))
        return None

    @property
    def numbers(self) -> frozenset[Fraction]:
        """Every number in it."""
        return frozenset(piece.value for part in self.parts for piece in part if piece.kind == "number")


@lru_cache(maxsize=8)  # asked for several times of one turn
def running_sums(text: str, letter: str) -> tuple[RunningSum, ...]:
    """The sums in a text that end with a number alone, in the order said; "and" adds, or begins another sum."""
    pieces = tuple(_pieces(text, letter))
    apart = tuple(SumPiece("other") if piece.kind == "and" else piece for piece in pieces)
    added = tuple(SumPiece("add") if piece.kind == "and" else piece for piece in pieces)
    return tuple(dict.fromkeys((*_sums(added), *_sums(apart))))


def said_of_both(text: str, letter: str) -> Fraction | None:
    """The number that is said to be what both sides come to ("41 and 41", "41 both sides"); None where none is."""
    words = _words(text)
    alone = list(_alone(words, letter))
    between, both = _of_both()
    for (_, end, one), (start, _, other) in pairwise(alone):
        if one == other and between & set(words[end:start]):
            return one
    said = f" {' '.join(words)} "
    numbers = {number for _, _, number in alone}
    return numbers.pop() if len(numbers) == 1 and any(f" {phrase} " in said for phrase in both) else None


def lone_number(text: str, most: int) -> Fraction | None:
    """The number in digits of a text that has one, in no sum and with at most so many other words; else None."""
    found = NUMBER.findall(text)
    if PART_OF_A_TERM.search(text) or len(found) != 1:
        return None
    pieces = [piece for piece in _pieces(text, "") if piece.kind != "stop"]
    apart = all(piece.kind in {"number", "other", "joint", "and"} for piece in pieces)
    value = _value(spans.expression(found[0], "") or constant(Fraction(0)))
    return value if apart and len(pieces) - 1 <= most else None


def lone_operation(text: str, most: int) -> Kind | None:
    """The operation that is named alone, with no number and at most so many other words ("times?"); else None."""
    pieces = [piece for piece in _pieces(text, "") if piece.kind != "stop"]
    named = {piece.kind for piece in pieces if piece.kind in SIGNS}
    others = [piece for piece in pieces if piece.kind not in SIGNS]
    alone = len(named) == 1 and len(others) <= most and all(piece.kind != "number" for piece in others)
    return named.pop() if alone else None


def first_number(text: str) -> Fraction | None:
    """The number that a text begins with, where it is the only one in it and no part of a term; else None."""
    found = NUMBER.findall(text)
    begins = re.match(r"\W*(-?\d+(?:\.\d+)?)\b(?!\s*[-+*/x=^])", text)
    if begins is None or len(found) != 1 or PART_OF_A_TERM.search(text.replace("-", "")):
        return None
    return Fraction(begins[1])


def sums_done(text: str, letter: str) -> tuple[Work, ...]:
    """The right sums in a text, each as the last sum it came to."""
    right = (one.last for one in running_sums(text, letter) if one.is_right)
    return tuple(dict.fromkeys(act for act in right if isinstance(act, Work)))


def _alone(words: Sequence[str], letter: str) -> Iterator[tuple[int, int, Fraction]]:
    """The numbers that are no part of a sum: where each begins and ends; a minus in front of one is its sign."""
    found: list[tuple[int, int, SumPiece]] = []
    at = 0
    while at < len(words):
        length, piece = _piece(words, at, letter)
        signed = piece.kind == "number" and found and found[-1][2].kind == "subtract"
        if signed and (len(found) < 2 or found[-2][2].kind != "number"):
            start, _, _ = found.pop()
            found.append((start, at + length, SumPiece("number", -piece.value)))
        else:
            found.append((at, at + length, piece))
        at += length
    pieces = [SumPiece("other"), *(piece for _, _, piece in found), SumPiece("other"), SumPiece("other")]
    for place, (start, end, piece) in enumerate(found):
        before, after, then = pieces[place], pieces[place + 2], pieces[place + 3]
        begins = after.kind == "joint" and then.kind == "number" and then.value != piece.value  # "and 36 is 72"
        if piece.kind == "number" and before.kind not in SIGNS and after.kind not in SIGNS and not begins:
            yield start, end, piece.value


def _sums(pieces: Sequence[SumPiece]) -> Iterator[RunningSum]:
    parts: list[list[SumPiece]] = [[]]
    for piece in (*pieces, SumPiece("other")):
        last = parts[-1][-1].kind if parts[-1] else "nothing"
        if piece.kind == "number" and last != "number":
            parts[-1].append(piece)
        elif piece.kind == "joint" and last == "number":
            parts.append([])
        elif piece.kind == "stop" or (piece.kind == "joint" and len(parts) > 1 and last == "nothing"):
            continue  # "6*12 = 72, + 59 = 131" goes on; "is = 4" is one joint
        elif piece.kind in SIGNS and last == "number":
            parts[-1].append(piece)
        else:
            yield from _ended(parts)
            parts = [[piece] if piece.kind == "number" else []]


def with_running_sums(acts: tuple[Act, ...], text: str, letter: str, asked: Expecting) -> tuple[Act, ...]:
    """The acts with what was read of a right running sum made the sum that it ends with; others as they are. Its result
    is a value where one was asked for, or where a step stands beside it; else it is support, and no answer."""
    if not any(isinstance(act, Work | Value) for act in acts):
        return acts
    right = [one for one in running_sums(text, letter) if one.is_right]
    if not right:
        return acts
    acts = tuple(_mended(act, right) for act in acts if not _is_part_of(act, right))
    acts = (*acts, *_left_out(acts, right))
    if asked not in {"move", "any"} or any(not isinstance(act, Work | Value | Comment | Say) for act in acts):
        return acts
    last = {one.result: one.last for one in right if len(one.parts) > 2}
    return tuple(last.get(_number(act), act) if isinstance(act, Value) else act for act in acts)


def _left_out(acts: Sequence[Act], right: Sequence[RunningSum]) -> Iterator[Act]:
    """Running sums of which nothing was read: their last sums."""
    read = [_value(act.right if isinstance(act, Work) else act.value) for act in acts if isinstance(act, Work | Value)]
    for one in right:
        if len(one.parts) > 2 and one.result not in read:
            yield one.last
        elif one.result in read:
            read.remove(one.result)


def _is_part_of(act: Act, right: Sequence[RunningSum]) -> bool:
    """Whether what was read as a move of no side goes on with a sum: "... is 20 and then add 36 makes 56"."""
    if not isinstance(act, Move) or act.sides != "unsaid":
        return False
    number, sign = _value(act.operand), act.operation
    return any(
        (one.kind, other.value) == (sign, number)
        for done in right
        for part in done.parts[1:-1]
        for one, other in zip(part[1::2], part[2::2], strict=True)
    )


def _number(act: Value) -> Fraction:
    found = _value(act.value)
    return Fraction(-1) if found is None else found


def _mended(act: Act, right: Sequence[RunningSum]) -> Act:
    match act:
        case Work(left, end) if _value(left) != _value(end):
            numbers = {number for side in (left, end) for number in numbers_in(side)}
            inside = next((one for one in right if numbers <= one.numbers), None)
            return act if inside is None else inside.last
        case Work(_, end):
            number = _value(end)
            inside = next((one for one in right if len(one.parts) > 2 and number in _on_the_way(one)), None)
            return act if inside is None else inside.last
        case Value(value, side):
            number = _value(value)
            inside = next((one for one in right if len(one.parts) > 2 and number in _on_the_way(one)), None)
            return act if inside is None else Value(constant(inside.result), side)
    return act


def _on_the_way(one: RunningSum) -> set[Fraction]:
    """What the sum goes on from: the first numbers of its parts, but for the first part and the result."""
    return {part[0].value for part in one.parts[1:-1] if len(part) > 1}


def _value(side: Expression) -> Fraction | None:
    read = spans.value_of(side)
    return None if read is None or read[0] else read[1]


def _ended(parts: list[list[SumPiece]]) -> Iterator[RunningSum]:
    """The sum of these parts, up to the last that is a number alone."""
    whole = [tuple(part if part[-1].kind == "number" else part[:-1]) for part in parts if part]
    while len(whole) > 1 and len(whole[-1]) > 1:
        whole.pop()
    if len(whole) > 1:
        yield RunningSum(tuple(whole))


def _worth(part: Sequence[SumPiece]) -> set[Fraction]:
    """What a part comes to, from left to right and with multiplying first."""
    try:
        return {_from_the_left(part), _multiplying_first(part)}
    except ZeroDivisionError:
        return set()


def _from_the_left(part: Sequence[SumPiece]) -> Fraction:
    total = part[0].value
    for sign, number in zip(part[1::2], part[2::2], strict=True):
        total = _done(sign.kind, total, number.value)
    return total


def _multiplying_first(part: Sequence[SumPiece]) -> Fraction:
    terms: list[Fraction] = [part[0].value]
    for sign, number in zip(part[1::2], part[2::2], strict=True):
        if sign.kind in {"add", "subtract"}:
            terms.append(number.value if sign.kind == "add" else -number.value)
        else:
            terms[-1] = _done(sign.kind, terms[-1], number.value)
    return sum(terms, Fraction(0))


def _done(kind: Kind, one: Fraction, other: Fraction) -> Fraction:
    match kind:
        case "add":
            return one + other
        case "subtract":
            return one - other
        case "multiply":
            return one * other
    return one / other


def _words(text: str) -> list[str]:
    words = [match.group().lower().replace("’", "'") for match in WORD.finditer(text)][:MOST_WORDS]
    after: dict[str, str] = read_data("spans")["running_after"]
    joints = {wording[0] for wording, kind in _table() if kind == "joint"}
    pairs = zip(words, [*words[1:], ""], strict=False)  # of no words no pair
    return [
        one for word, then in pairs for one in (after[word].split() if word in after and then in joints else [word])
    ]


def _pieces(text: str, letter: str) -> Iterator[SumPiece]:
    words = _words(text)
    at = 0
    while at < len(words):
        length, piece = _piece(words, at, letter)
        yield piece
        at += length


def _piece(words: Sequence[str], at: int, letter: str) -> tuple[int, SumPiece]:
    if words[at] in STOPS:
        return 1, SumPiece("stop")
    for wording, kind in _table():
        if tuple(words[at : at + len(wording)]) == wording:
            return len(wording), SumPiece(kind)
    if (end := mixed_at(words, at)) and (mixed := spans.expression(" ".join(words[at:end]), letter)) is not None:
        return end - at, SumPiece("number", _value(mixed) or Fraction(0))
    if words[at][0].isdecimal():
        return 1, SumPiece("number", Fraction(words[at]))
    for end in range(min(len(words), at + 4), at, -1):
        read = spans.expression(" ".join(words[at:end]), letter) if words[at].isalpha() else None
        number = None if read is None else _value(read)
        if number is not None and read is not None and len(list(numbers_in(read))) == 1:
            return end - at, SumPiece("number", number)
    return 1, SumPiece("other")


@lru_cache(maxsize=1)
def _table() -> tuple[tuple[tuple[str, ...], Kind], ...]:
    """The words that join and that operate, longest first."""
    table: dict[Kind, list[str]] = read_data("spans")["running"]
    found = [(tuple(one.split()), kind) for kind, words in table.items() for one in words]
    return tuple(sorted(found, key=lambda row: -len(row[0])))


@lru_cache(maxsize=1)
def _of_both() -> tuple[frozenset[str], tuple[str, ...]]:
    data = read_data("spans")["other_side"]
    return frozenset(data["between"]), tuple(data["both"])
