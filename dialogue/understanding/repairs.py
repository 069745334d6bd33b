"""Self-corrections: "add five no sorry take away five" means its last version.

A repair replaces only what it restates: what was said before the marker is kept up to some word, and the repair
follows there ("multiply both sides by six, I mean three"). Where it restates the operation or the number inside a
longer sentence, what came after it is kept too ("plus five both sides no minus five").
"""

from collections.abc import Sequence
from functools import lru_cache

from dialogue.acts import Describe, Meaning, Say, Value
from dialogue.algebra.moves import Line, Move, Rewrite
from dialogue.understanding.grammar import read_data
from dialogue.understanding.templates import Understander


@lru_cache(maxsize=2)
def _phrases(kind: str) -> dict[str, list[tuple[str, ...]]]:
    """The markers or the negations by their first word, longest first."""
    found: dict[str, list[tuple[str, ...]]] = {}
    for phrase in sorted(read_data("repairs")[kind], key=lambda one: -len(one.split())):
        found.setdefault(phrase.split()[0], []).append(tuple(phrase.split()))
    return found


def _ends(tokens: tuple[str, ...], start: int, kind: str) -> list[int]:
    """Where each phrase of the kind that begins here ends, longest first."""
    options = _phrases(kind).get(tokens[start], ())
    return [start + len(phrase) for phrase in options if tokens[start : start + len(phrase)] == phrase]


def corrected(tokens: tuple[str, ...], whole: Understander) -> Meaning | None:
    """The meaning of the last version; None where there is no correction that can be followed."""
    found = _last_marker(tokens)
    if found is not None:
        start, end = found
        before, after = tokens[:start], tokens[end:]
        meaning = _repaired(before, after, whole) if before and after else None
        if meaning is not None:
            return meaning
    return _negated(tokens, whole)


def _last_marker(tokens: tuple[str, ...]) -> tuple[int, int] | None:
    """Where the last marker (or run of markers, "no wait sorry") begins and ends."""
    for start in range(len(tokens) - 1, 0, -1):
        ends = _ends(tokens, start, "markers")
        if ends:
            first = min(one for one in range(max(start - 4, 1), start + 1) if ends[0] in _ends(tokens, one, "markers"))
            while before := [one for one in range(max(first - 4, 1), first) if first in _ends(tokens, one, "markers")]:
                first = before[0]
            return first, ends[0]
    return None


def _repaired(before: tuple[str, ...], after: tuple[str, ...], whole: Understander) -> Meaning | None:
    earlier = _last_marker(before)
    if earlier is not None and before[earlier[1] :]:  # several corrections: each version may keep part of the first
        for version in (before[earlier[1] :], before[: earlier[0]]):
            meaning = _repaired(version, after, whole) if version else None
            if meaning is not None:
                return meaning
        return None
    restated, first = whole(after), whole(before)
    if isinstance(restated, Move):
        if isinstance(first, Move) and restated.sides == "unsaid" and first.sides != "unsaid":
            return Move(restated.operation, restated.operand, first.sides)
        return restated
    if isinstance(restated, Line | Rewrite | Describe):
        return restated
    if isinstance(first, Say) and isinstance(restated, Say):
        return restated
    if isinstance(first, Move) and isinstance(restated, Value):
        return Move(first.operation, restated.value, first.sides)
    if isinstance(first, Value) and isinstance(restated, Value):
        return restated
    return _spliced(before, after, whole)


def _spliced(before: tuple[str, ...], after: tuple[str, ...], whole: Understander) -> Meaning | None:
    """The repair in the place of the words that it restates, the fewest of them first."""
    for keep in range(len(before), -1, -1):
        if before[:keep] and after[0][-1].isdigit() and before[keep - 1] == "x":
            continue  # "5x, I mean 5a" is no product
        meaning = whole((*before[:keep], *after))
        if isinstance(meaning, Move | Line | Value) and keep < len(before):
            return meaning
        for skip in range(1, len(before) - keep):
            meaning = whole((*before[:keep], *after, *before[keep + skip :]))
            if isinstance(meaning, Move | Line):
                return meaning
    return None


def _negated(tokens: tuple[str, ...], whole: Understander) -> Meaning | None:
    """ "Don't subtract six, add six to both sides": what is ruled out first, then what is meant."""
    for start in range(min(len(tokens), 4)):
        for end in _ends(tokens, start, "negations"):
            ruled_out = tokens[end:]
            if isinstance(whole(ruled_out), Move | Line):
                continue  # "we can't take six off both sides": all of it is ruled out
            for split in range(1, len(ruled_out)):
                meaning = whole(ruled_out[split:])
                if isinstance(meaning, Move | Line) and _ruled_out(ruled_out[:split], whole):
                    return meaning
    return None


def _ruled_out(tokens: tuple[str, ...], whole: Understander) -> bool:
    """Whether these words are an operation, a move or an answer."""
    operation = tokens[0] in {"minus", "plus", "times", "add", "subtract", "divide", "multiply", "take", "+", "-"}
    return (operation and len(tokens) <= 2) or isinstance(whole(tokens), Move | Value | Line)


def only_right(tokens: Sequence[str]) -> bool:
    """Whether one side is meant without saying which."""
    said = f" {' '.join(tokens)} "
    return any(phrase in said for phrase in (" one side ", " this side ", " that side ", " the other side only "))
