"""What a turn may mean, by the tagger: lists of acts with their probabilities, every number read exactly.

Each way of cutting the turn gives acts; ways that come to the same acts are added up, so that where a filler belongs
does not matter. An act whose argument cannot be read is no reading at all.
"""

import math
from collections import defaultdict
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, cast

import numpy as np

from dialogue.acts import (
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Disclosure,
    PartMove,
    Refused,
    Say,
    Term,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.operations import Done
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import Expression, has_unknown
from dialogue.algebra.writing import write
from dialogue.understanding import spans
from dialogue.understanding.numbers import DECIMAL_PLACES, HOMOPHONES, TEEN_ENDINGS, is_number
from dialogue.understanding.segments import Segment, Span, arguments, cuts, likely, log_softmax
from dialogue.understanding.surface import ShownWord
from dialogue.understanding.tagger import Scores
from dialogue.understanding.tags import DETAILS, OPERATIONS, REFUSED, SIDES, slices

MOST_READINGS = 12  # of one segment's acts, and of one cut's, that are followed up
TALK = (Ask, Comment, Control, Say)
COMMENTS = frozenset({"reason", "rule", "notice", "goal", "object", "feel", "aside"})
DETAILED = {"rewrite": "how-", "ask": "for-", "say": "say-", "control": "control-"}
PLACES = slices()

Scored = tuple[float, Act | None]


@dataclass(frozen=True, slots=True)
class Reading:
    """One list of acts, with the share of all that was followed up which comes to it."""

    probability: float
    acts: tuple[Act, ...]


def key_of(act: Act) -> Hashable:
    """The same for acts that mean the same: expressions by their value."""
    match act:
        case Move(operation, operand, sides) | PartMove(operation, operand, sides):
            return "move", operation, operand and _value(operand), sides
        case Line(equation):
            return "state", _value(equation.left), _value(equation.right)
        case Value(value, _):
            return "value", _value(value)
        case Term(value) | Try(value):
            return type(act).__name__, _value(value)
        case Work(left, right):
            return "work", _value(left), _value(right)
        case Describe(operations):
            return "describe", tuple((done.action, _value(done.operand)) for done in operations)
        case Refused(of):
            return "not", key_of(of)
    return act


def _value(expression: Expression) -> Hashable:
    return spans.value_of(expression) or write(expression)


class WordDoubts(NamedTuple):
    """How sure the tagger is of the single words of a turn: of the least sure, or of all together, by head, as log
    probabilities of the likeliest tag; and the words that belong to no act, with the least sure of them."""

    boundary: float = 0.0
    boundaries: float = 0.0
    argument: float = 0.0
    arguments: float = 0.0
    operation: float = 0.0
    sides: float = 0.0
    detail: float = 0.0
    refusal: float = 0.0
    left_out: float = 0.0
    surely_left_out: float = 1.0


class TaggedTurn:
    """One turn's words with their scores."""

    def __init__(self, text: str, words: Sequence[ShownWord], letter: str, scores: Scores) -> None:
        self.text, self.words, self.letter, self.scores = text, words, letter, scores
        self._typed = any(each.isdecimal() for each in text)
        self._read: dict[tuple[str, Span], Expression | None] = {}

    def readings(self) -> list[Reading]:
        """The likeliest lists of acts, best first; their probabilities and that of the unreadable add up to one."""
        share: dict[Hashable, float] = defaultdict(float)
        acts_of: dict[Hashable, tuple[Act, ...]] = {}
        known: dict[Segment, list[Scored]] = {}
        for score, segments in cuts(log_softmax(self.scores[:, PLACES["bio"]])):
            beams: list[tuple[float, tuple[Act | None, ...]]] = [(score, ())]
            for segment in segments:
                if segment not in known:
                    known[segment] = sorted(self._acts(segment), key=lambda one: -one[0])[:MOST_READINGS]
                beams = [(so_far + more, (*acts, act)) for so_far, acts in beams for more, act in known[segment]]
                beams = sorted(beams, key=lambda beam: -beam[0])[:MOST_READINGS]
            for total, acts in beams:
                if any(act is None for act in acts):
                    share[None] += math.exp(total)
                    continue
                joined = tuple(_joined(cast(tuple[Act, ...], acts)))
                key = tuple(map(key_of, joined))
                share[key] += math.exp(total)
                acts_of.setdefault(key, joined)
        whole = sum(share.values()) or 1.0
        found = [Reading(share[key] / whole, acts) for key, acts in acts_of.items()]
        return sorted(found, key=lambda reading: -reading.probability)

    def doubts(self) -> WordDoubts:
        """How sure the tagger is of the single words."""
        sure = {head: log_softmax(self.scores[:, place]).max(-1) for head, place in PLACES.items()}
        nothing = np.exp(log_softmax(self.scores[:, PLACES["bio"]])[:, 0])
        left_out = nothing[nothing > 0.5]
        least = {head: float(each.min()) for head, each in sure.items()}
        return WordDoubts(
            *(least["bio"], float(sure["bio"].sum()), least["arg"], float(sure["arg"].sum())),
            *(least["op"], least["sides"], least["sub"], least["neg"]),
            float(len(left_out)),
            float(left_out.min()) if len(left_out) else 1.0,
        )

    def _mean(self, segment: Segment, head: str) -> Any:
        return log_softmax(self.scores[segment.start : segment.end, PLACES[head]].mean(0))

    def _acts(self, segment: Segment) -> Iterator[Scored]:
        for doubt, refused in likely(self._mean(segment, "neg"), REFUSED):
            for score, act in self._plain(segment):
                yield doubt + score, act if act is None or refused == "0" else Refused(act)

    def _plain(self, segment: Segment) -> Iterator[Scored]:
        kind = segment.act
        if kind in COMMENTS:
            yield 0.0, Comment(cast(Any, kind))
        elif kind in {"disclosure", "unclear"}:
            yield 0.0, Disclosure() if kind == "disclosure" else Unclear()
        elif kind in DETAILED:
            yield from self._detailed(segment, DETAILED[kind])
        elif kind == "state":
            yield from self._stated(segment)
        elif kind == "work":
            yield from self._equation(segment, "sum_said")
        else:
            yield from self._with_operand(segment)

    def _detailed(self, segment: Segment, prefix: str) -> Iterator[Scored]:
        names = [name for name in DETAILS if name.startswith(prefix)]
        scores = self._mean(segment, "sub")[[DETAILS.index(name) for name in names]]
        make = {"how-": Rewrite, "for-": Ask, "say-": Say, "control-": Control}[prefix]
        for score, name in likely(log_softmax(scores), names):
            yield score, cast(Act, make(cast(Any, name.removeprefix(prefix))))

    def _stated(self, segment: Segment) -> Iterator[Scored]:
        for score, detail in likely(log_softmax(self._mean(segment, "sub")[:3]), DETAILS[:3]):
            if detail == "none":
                yield from ((score + more, act) for more, act in self._equation(segment, "expression"))
            else:
                yield score, Verdict("none" if detail == "no-solution" else "every")

    def _equation(self, segment: Segment, reader: str) -> Iterator[Scored]:
        work = reader == "sum_said"
        for score, places in arguments(log_softmax(self.scores[segment.start : segment.end, PLACES["arg"]])):
            sides = [self._side(segment, places, role, reader) for role in "LR"]
            if None in sides and not work:  # "four r and one makes thirteen"
                sides = [self._side(segment, places, role, "sum_said") for role in "LR"]
            left, right = sides
            if left is None or right is None:
                yield score, Comment("reason") if work else None
            elif work and not (has_unknown(left) or has_unknown(right)):
                yield score, Work(left, right)
            else:
                yield score, Line(Equation(left, right, self.letter))

    def _side(self, segment: Segment, places: dict[str, Span], role: str, reader: str) -> Expression | None:
        return self._expression(segment, places[role], reader) if role in places else None

    def _with_operand(self, segment: Segment) -> Iterator[Scored]:
        for score, places in arguments(log_softmax(self.scores[segment.start : segment.end, PLACES["arg"]])):
            role = "N" if "N" in places else "P" if "P" in places else ""
            operand = None
            if role:
                operand = self._expression(segment, places[role], "expression" if role == "N" else "part")
                if operand is None and segment.act == "value":
                    operand = self._expression(segment, places[role], "sum_said")
            unreadable = operand is None and (bool(role) or segment.act not in {"move", "term"})
            if unreadable:
                yield score, None
            else:
                yield from ((score + more, act) for more, act in self._acts_with(segment, operand))

    def _acts_with(self, segment: Segment, operand: Expression | None) -> Iterator[Scored]:
        if segment.act == "move":
            for score, operation in likely(self._mean(segment, "op"), OPERATIONS):
                for more, sides in likely(self._mean(segment, "sides"), SIDES):
                    yield score + more, _move(operation, operand, self._side_named(segment, sides))
        elif operand is None:
            yield 0.0, Unclear()
        elif segment.act == "describe":
            for score, operation in likely(self._mean(segment, "op"), OPERATIONS):
                yield score, _described(operation, operand)
        elif segment.act == "value":
            for score, side in likely(self._mean(segment, "sides"), SIDES):
                yield score, Value(operand, cast(Any, side if side in {"left", "right"} else None))
        else:
            yield 0.0, Try(operand) if segment.act == "try" else Term(operand)

    def _side_named(self, segment: Segment, sides: str) -> str:
        """The side; where the words name one side alone, never the other."""
        words = {word.shown for word in self.words[segment.start : segment.end]}
        named = [side for side, names in spans.side_names().items() if words & names]
        return named[0] if len(named) == 1 and sides in {"left", "right"} else sides

    def _expression(self, segment: Segment, place: Span, reader: str) -> Expression | None:
        start, end = segment.start + place[0], self._whole_number(segment.start + place[0], segment.start + place[1])
        if (reader, (start, end)) not in self._read:
            said = self.text[self.words[start].start : self.words[end - 1].end]
            try:
                found = getattr(spans, reader)(said, self.letter)
            except Refusal:
                found = None
            if self._typed and all(word in HOMOPHONES for word in said.lower().split()):
                found = None  # "divide for 8": where digits are typed, "for" is no number
            self._read[reader, (start, end)] = found
        return self._read[reader, (start, end)]

    def _whole_number(self, start: int, end: int) -> int:
        """Where a number ends that goes on after the stretch: "six point seven | five", "six | teen"."""
        while end < len(self.words) and self.words[end].start - self.words[end - 1].end <= 1:
            more, last = self.words[end].shown, self.words[end - 1].shown
            in_decimals = any(word.shown == "point" for word in self.words[start:end])
            begins = more == "point" and end + 1 < len(self.words) and is_number(last)
            if not (begins or (in_decimals and more in DECIMAL_PLACES) or more in TEEN_ENDINGS):
                break
            end += 1
        return end


def _move(operation: str, operand: Expression | None, sides: str) -> Act:
    named = {"none": None, "subtract_from": "subtract", "divide_into": "divide"}.get(operation, operation)
    if named == "transfer":
        sides = "unsaid"
    if named is None or operand is None:
        return PartMove(cast(Any, named), operand, cast(Any, sides))
    return Move(cast(Any, named), operand, cast(Any, sides))


def _described(operation: str, operand: Expression) -> Act | None:
    named = {"subtract_from": "take from", "divide_into": "divide into"}.get(operation, operation)
    return None if named in {"none", "transfer"} else Describe((Done(cast(Any, named), operand),))


def _joined(acts: Sequence[Act]) -> Iterator[Act]:
    """The acts with what was said in pieces put together, and what was said twice in a row once."""
    waiting: list[Act] = []
    for act in acts:
        merged = _merged(waiting[-1], act) if waiting else None
        if merged is not None:
            waiting[-1] = merged
        elif not (isinstance(act, TALK) and act in waiting):  # "yes ... go on then": said once
            waiting.append(act)
    yield from waiting


def _merged(first: Act, second: Act) -> Act | None:
    """One act for two that are parts of it, or the same."""
    match first, second:
        case Describe(one), Describe(other):
            return Describe((*one, *other))
        case PartMove(operation, None, sides), Move(same, operand, others) if operation in {None, same}:
            return Move(same, operand, _wider(sides, others))
        case Move(same, operand, others), PartMove(operation, None, sides) if operation in {None, same}:
            return Move(same, operand, _wider(sides, others))
        case Move(one, operand, sides), Move(other, again, others) if one == other and _value(operand) == _value(again):
            return Move(one, operand, _wider(sides, others))
        case PartMove(str() as operation, None, sides), Value(value):
            return Move(operation, value, sides)  # "add ... no, three"
        case PartMove(one, operand, sides), PartMove(other, None, others) if one == other or None in {one, other}:
            return PartMove(one or other, operand, _wider(sides, others))
    return first if key_of(first) == key_of(second) else None


def _wider(one: Any, other: Any) -> Any:
    """The sides of a move told in two pieces: left and right are both."""
    if one == other or "unsaid" in (one, other):
        return other if one == "unsaid" else one
    return "both"
