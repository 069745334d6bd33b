"""Labelled turns to training rows: each word with the tags of ``dialogue.understanding.tags``.

The labels say which words carry an act; which of those hold its number is found by reading every stretch of them
exactly and taking the shortest that comes to the label's value. Where none does, the argument's tags are left open.
"""

import json
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from dialogue.algebra.reading import read_expression
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import Expression
from dialogue.understanding import spans, surface
from dialogue.understanding.learned_topics import NONE
from dialogue.understanding.tags import HEADS
from training.asked import ASKING, TOPICS, sentences
from training.reading import LESSONS, UNLABELLED, Label, LabelledTurn, lessons, older_utterances, turns

OPEN = -100  # a tag that the training does not look at
FREE = ("s", "t2", "t3", "t4", "t5", "u4", "v_", "w_")  # by people who knew no labels; disclosures and what is alike
MORE = 1.5  # their weight
OLDER = 0.3  # the weight of the single utterances that the rules of before were grown on
LONGEST = 14  # words of an argument
CUTS = frozenset({"then", "and", ",", ";", ".", "next", "after"})
PUNCTUATION = ".,;:!?…"

Place = tuple[int, int]
Reader = Callable[[str, str], Expression | None]


class Piece(NamedTuple):
    """The words from ``start`` up to ``end`` as one act; ``arguments`` is None where they could not be found."""

    start: int
    end: int
    act: str
    operation: str | None
    sides: str | None
    detail: str | None
    arguments: list[tuple[str, Place]] | None


def row(turn: LabelledTurn) -> dict[str, Any] | None:
    """The training row of a turn: its words, context, and a list of tag numbers a head; None where it has no words."""
    words = surface.words(turn.text, turn.letter)
    if not words:
        return None
    tags: dict[str, list[str | int]] = {head: [OPEN] * len(words) for head in HEADS}
    tags["bio"], tags["arg"] = ["O"] * len(words), ["O"] * len(words)
    for piece, refused in _pieces(turn, words):
        for at in range(piece.start, piece.end):
            tags["bio"][at] = f"{'B' if at == piece.start else 'I'}-{piece.act}"
            tags["neg"][at] = str(int(refused))
            if piece.act in {"move", "describe"} and piece.operation is not None:
                tags["op"][at] = piece.operation
            if piece.act in {"move", "value"} and piece.sides is not None:
                tags["sides"][at] = piece.sides
            if piece.detail is not None or piece.act == "state":
                tags["sub"][at] = piece.detail or "none"
            if piece.arguments is None:
                tags["arg"][at] = OPEN
        for role, (start, end) in piece.arguments or []:
            for at in range(start, end):
                tags["arg"][at] = f"{'B' if at == start else 'I'}-{role}"
    numbered = {
        head: [tag if isinstance(tag, int) else HEADS[head].index(tag) for tag in found] for head, found in tags.items()
    }
    context = list(surface.context(turn.tutor, turn.letter))
    return {"words": [word.shown for word in words], "context": context, "expecting": turn.expecting, **numbered}


def _pieces(turn: LabelledTurn, words: tuple[surface.ShownWord, ...]) -> Iterator[tuple[Piece, bool]]:
    position, taken = 0, 0
    for act in turn.acts:
        said = act.get("span") or turn.text
        at = max(turn.text.find(said, position), turn.text.find(said) if turn.text.find(said, position) < 0 else -1)
        if at < 0:
            continue
        position = at + len(said)
        inside = [k for k, word in enumerate(words) if k >= taken and word.end > at and word.start < position]
        if not inside:
            continue
        start, end = inside[0], inside[-1] + 1
        while end - start > 1 and words[end - 1].shown in PUNCTUATION:
            end -= 1
        taken = end
        refused = act["act"] == "not"
        while act["act"] == "not":
            act = act["of"]
        finder = Finder(turn, words, start, end)
        yield from ((piece, refused) for piece in finder.pieces(act))


class Finder:
    """Finds the arguments of one act among the words that carry it."""

    def __init__(self, turn: LabelledTurn, words: tuple[surface.ShownWord, ...], start: int, end: int) -> None:
        self.text, self.letter, self.words, self.start, self.end = turn.text, turn.letter, words, start, end
        self._read: dict[tuple[str, Place], spans.SpanValue | None] = {}

    def pieces(self, act: Label) -> Iterator[Piece]:
        """The act as one piece, a description as one a operation."""
        name, start, end = act["act"], self.start, self.end
        if name == "describe":
            yield from self._described(act["operations"])
        elif name == "move":
            found = [] if act["operand"] is None else self._operand(act["operand"], act["operation"])
            yield Piece(start, end, name, act["operation"] or "none", act["sides"], None, found)
        elif name in {"state", "work"}:
            equation = act["equation"]
            if "=" in equation:
                yield Piece(start, end, name, None, None, None, self._equation(equation))
            else:
                yield Piece(start, end, name, None, None, equation.replace(" ", "-"), [])
        elif name in {"value", "try", "term"}:
            said = act.get("value", act.get("term", ""))
            found = self._operand(said, None) or self._operand(said.lstrip("-+*/ "), None)
            sides = act.get("side", "unsaid") if name == "value" else None
            yield Piece(start, end, name, None, sides, None, found or ([] if name == "term" else None))
        else:
            prefix = {"rewrite": "how-", "ask": "for-", "say": "say-", "control": "control-"}.get(name)
            detail = None if prefix is None else prefix + str(act.get("how") or act.get("for") or act.get("what"))
            yield Piece(start, end, name, None, None, detail, [])

    def _described(self, operations: list[list[Any]]) -> Iterator[Piece]:
        places: list[tuple[str, Place] | None] = []
        at = self.start
        for operation, operand in operations:
            found = None if operand is None else self._operand(operand, operation, at)
            places.append(found[0] if found else None)
            at = found[0][1][1] if found else at
        if len(operations) > 1 and None in places:
            yield Piece(self.start, self.end, "describe", None, None, None, None)
            return
        start = self.start
        for k, ((operation, operand), place) in enumerate(zip(operations, places, strict=True)):
            last = k == len(operations) - 1
            following = None if last else places[k + 1]
            end = self.end if place is None or following is None else self._cut(place[1][1], following[1][0])
            arguments = [place] if place else ([] if operand is None else None)
            yield Piece(start, end, "describe", operation, None, None, arguments)
            start = end

    def _cut(self, start: int, end: int) -> int:
        return next((at for at in range(start, end) if self.words[at].shown in CUTS), start)

    def _operand(self, said: str, operation: str | None, start: int | None = None) -> list[tuple[str, Place]] | None:
        wanted = _value(said, self.letter)
        if wanted is None:
            return None
        found = self._shortest(wanted, spans.expression, start)
        if operation in {"multiply", "divide"}:
            part = self._shortest(wanted, spans.part, start)
            if part and (not found or part[1] - part[0] <= found[1] - found[0]):
                return [("P", part)]
        found = found or self._shortest(wanted, spans.sum_said, start)
        return [("N", found)] if found else None

    def _equation(self, equation: str) -> list[tuple[str, Place]] | None:
        left, right = (_value(side, self.letter) for side in equation.split("=", 1))
        if left is None or right is None:
            return None
        readers = (spans.expression, spans.sum_said)
        best: tuple[tuple[int, ...], Place, Place] | None = None
        for reader in readers:
            for one in self._all(left, reader):
                for other in self._all(right, reader):
                    if one[1] <= other[0] or other[1] <= one[0]:
                        rank = (int(one[0] > other[0]), one[1] - one[0] + other[1] - other[0], abs(other[0] - one[1]))
                        if best is None or rank < best[0]:
                            best = (rank, one, other)
            if best:
                return [("L", best[1]), ("R", best[2])]
        return None

    def _shortest(self, wanted: spans.SpanValue, reader: Reader, start: int | None) -> Place | None:
        found = [place for place in self._all(wanted, reader) if start is None or place[0] >= start]
        return min(found, key=lambda place: (place[1] - place[0], place[0]), default=None)

    def _all(self, wanted: spans.SpanValue, reader: Reader) -> list[Place]:
        """Every stretch of the words that reads as this value."""
        found: list[Place] = []
        for start in range(self.start, self.end):
            for end in range(start + 1, min(self.end, start + LONGEST) + 1):
                key = (reader.__name__, (start, end))
                if key not in self._read:
                    read = _quietly(reader, self.text[self.words[start].start : self.words[end - 1].end], self.letter)
                    self._read[key] = None if read is None else spans.value_of(read)
                if self._read[key] == wanted:
                    found.append((start, end))
        return found


def _quietly(reader: Reader, text: str, letter: str) -> Expression | None:
    try:
        return reader(text, letter)
    except Refusal:
        return None


def _value(text: str, letter: str) -> spans.SpanValue | None:
    try:
        return spans.value_of(read_expression(text.lower(), letter))
    except Refusal:
        return None


def _nothing_asked(turn: LabelledTurn) -> int:
    """The number of the topic "none" where a turn asks nothing; else open, since its labels tell no topic."""
    return OPEN if ASKING & {act["act"] for act in turn.acts} or "why" in turn.text.lower() else 0


def main(out: str) -> None:
    """Writes every training row as JSON, with the tags' names and the topics'."""
    asked = [one for path in TOPICS for one in sentences(path)]
    topics = [NONE, *sorted({one.topic for one in asked} - {NONE})]
    weighed = [
        (turn, MORE if path.stem.startswith(FREE) else 1.0, path.stem) for path in LESSONS for turn in lessons(path)
    ]
    weighed += [(turn, OLDER, "older") for turn in older_utterances()[::2]]
    rows = [
        found | {"weight": weight, "from": name, "topic": _nothing_asked(turn)}
        for turn, weight, name in weighed
        if (found := row(turn))
    ]
    labelled = len(rows)
    unlabelled = [(turn, OPEN) for path in UNLABELLED for turn in turns(path)]
    unlabelled += [(LabelledTurn("", "any", one.letter, "", one.text), topics.index(one.topic)) for one in asked]
    for turn, topic in unlabelled:  # for the student alone
        if found := row(turn):
            none = {head: [OPEN] * len(found["words"]) for head in HEADS}
            rows.append(found | none | {"weight": 0.0, "from": "", "topic": topic})
    with open(out, "w", encoding="utf-8") as file:
        json.dump({"heads": {head: list(tags) for head, tags in HEADS.items()}, "topics": topics, "rows": rows}, file)
    begun = (HEADS["bio"][tag] for one in rows[:labelled] for tag in one["bio"])
    counts = Counter(name[2:] for name in begun if name.startswith("B-"))
    print(f"{labelled} rows, {len(rows) - labelled} without labels:", dict(counts.most_common()))


if __name__ == "__main__":
    main(sys.argv[1])
