"""What of this very turn is taken up in a few words: a slip that somebody caught, a check that they did, a reason that
holds, things that they share out. Each is worked out from the equation and the words; where none is, nothing is said.
"""

import re
import tomllib
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import NamedTuple

from dialogue.acts import Comment, Interpretation
from dialogue.algebra.equation import Equation
from dialogue.algebra.moves import INVERSE, Move
from dialogue.algebra.operations import operations_on
from dialogue.algebra.solver import value_at
from dialogue.algebra.tree import Expression, Number, Sum, has_unknown, numbers_in
from dialogue.tutor.core.events import Event, EventKind
from dialogue.tutor.core.state import State
from dialogue.tutor.core.told import CAME_TO
from dialogue.understanding.conjecture_reader import operations_named
from dialogue.understanding.normalise import in_lower_case
from dialogue.understanding.numbers import TEENS, UNITS
from dialogue.understanding.running_sums import RunningSum, running_sums
from dialogue.verbalising.replies import phrases
from dialogue.verbalising.sayings import Saying

RIGHT: frozenset[EventKind] = frozenset(
    {"move closer", "move further", "line closer", "line ends", "line kept", "value right", "values right", "sum right"}
)
WRONG: frozenset[EventKind] = frozenset(
    {
        "line broken",
        "value wrong",
        "values wrong",
        "left wrong",
        "right wrong",
        "both wrong",
        "claim false",
        "sum wrong",
    }
)
WORTH = re.compile(r"-?[0-9]{1,30}(?:/[1-9][0-9]{0,30})?")  # a number as it is kept
NUMBER = re.compile(r"(?<![\d.])\d+(?:\.\d+)?(?!\d|\.\d)")
MOST_NUMBERS = 12  # of a turn that are kept in mind


class AsSaid(NamedTuple):
    """A turn as it was said: what was said along with the steps, and the marks of its words."""

    beside: tuple[Comment, ...] = ()
    marks: frozenset[str] = frozenset()


def with_marks(state: State, text: str, found: Interpretation | None) -> Interpretation | None:
    """What was understood, with what its words have beside the acts: no word of theirs, but what it is answered by."""
    if found is None:
        return None
    words = in_lower_case(text)
    marks = [row for row in rows() if words_of(row).search(words)]
    marks += [f"names {operation}" for operation in sorted(set(operations_named(re.sub(r"\d+", " ", text))))]
    marks += ["checked"] if checked_in(text, state.task.equation, state.letter) else []
    marks += [f"said {number}" for number in sorted(set(numbers_of(text)))[:MOST_NUMBERS]]
    marks += ["asks"] if "?" in text else []
    back = found.taken_back
    marks += ["taken back"] if any(type(act) is type(back) and act != back for act in found.acts) else []
    shares = "shared" in marks and shared_out(state.equation, text)
    return replace(found, marks=tuple(mark for mark in marks if shares or mark != "shared"))


@cache
def words_of(name: str) -> re.Pattern[str]:
    """The phrases of a row of ``beside.toml``, as whole words."""
    longest = sorted(rows()[name], key=len, reverse=True)
    return re.compile(rf"(?<![\w'])(?:{'|'.join(map(re.escape, longest))})(?![\w'])")


@cache
def rows() -> dict[str, list[str]]:
    """What is looked for in a turn beside its acts: phrases by what they tell."""
    text = resources.files("dialogue.tutor").joinpath("en/beside.toml").read_text("utf-8")
    return dict(tomllib.loads(text))


def taken_up(before: State, said: AsSaid, events: Sequence[Event], sayings: Sequence[Saying]) -> list[Saying]:
    """The sayings of a turn, with what it has of its own in place of what would be said to anybody."""
    found = list(sayings)
    if caught(before, said, events):
        found = [one for one in found if one.key not in {"take line", "praise correction"}]
        at = next((at for at, one in enumerate(found) if one.key not in CAME_TO), len(found))
        found.insert(at, Saying("you caught"))
    reasons = [act for act in (event.act for event in events) if act == Comment("reason")]
    move = before.pending if isinstance(before.pending, Move) else None
    if not found and reasons and move is not None:  # a reason, and nothing else
        undone = reason_that_holds(before.equation, move, said._replace(beside=(Comment("reason"),)))
        found = (
            [Saying("reason holds", {"one": phrases()[f"undoing {move.operation}"], "two": undone})] if undone else []
        )
    return [_of_their_own(before, said, one) for one in found]


def caught(before: State, said: AsSaid, events: Sequence[Event]) -> bool:
    """Whether something wrong, in this turn or waiting from the one before, is put right at its end, by their words."""
    if not events or events[-1].kind not in RIGHT or any(reply.key == "you caught" for reply in before.last):
        return False
    if "taken back" in said.marks:
        return True
    guess = before.guess is not None and before.guess != before.task.equation.solution().value
    wrong = guess or bool(before.tries) or any(event.kind in WRONG for event in events)
    return wrong and "corrected" in said.marks


def _of_their_own(before: State, said: AsSaid, saying: Saying) -> Saying:
    values = saying.values
    if saying.key in {"put in, fits", "put in, both fit"} and "checked" in said.marks:
        return Saying("answer fits, checked", {"unknown": before.letter, **values})
    if saying.key in {"take move", "take unsure"} and isinstance(move := values.get("move"), Move):
        undone = reason_that_holds(before.equation, move, said)
        if undone:
            return Saying("take move, reason", {**values, "two": undone, "one": phrases()[f"undoing {move.operation}"]})
    return saying


def reason_that_holds(line: Equation, move: Move, said: AsSaid) -> str:
    """What a move undoes, where the turn gives that as its reason: the operation is in the line, with its number, and
    the words name it; empty elsewhere."""
    if not any(act.kind == "reason" for act in said.beside) or move.operation == "transfer":
        return ""
    undone = [one.action for one in operations_on(line)[-1:] if one.operand == move.operand]
    holds = any(action == INVERSE[move.operation] and f"names {action}" in said.marks for action in undone)
    return phrases()[f"undoing {undone[0]}"] if holds else ""


def checked_in(text: str, equation: Equation, letter: str) -> bool:
    """Whether a turn has its check in it: for each side with the unknown a right sum, with the answer or what a term is
    worth in it, that comes to what the side does; or that number said of each, where only a check brings it."""
    answer = equation.solution().value
    if answer is None:
        return False
    held = [side for side in equation.sides() if has_unknown(side)]
    sums = [one for one in running_sums(text, letter) if one.is_right]
    if all(any(_tells_of(side, answer, one) for one in sums) for side in held):
        return True
    comes_to = value_at(held[0], answer)
    given = {answer, *(number for side in equation.sides() for number in numbers_in(side))}
    return len(held) > 1 and comes_to not in given and numbers_of(text).count(comes_to) >= len(held)


def _tells_of(side: Expression, answer: Fraction, said: RunningSum) -> bool:
    terms = [term.body for term in side.terms if has_unknown(term.body)] if isinstance(side, Sum) else []
    told_of = {answer, *(value_at(term, answer) for term in terms)}
    return bool(told_of & said.numbers) and value_at(side, answer) == said.result


def shared_out(line: Equation, text: str) -> bool:
    """Whether both numbers of a sharing are in a turn, where the line says so too: "three brothers, 78 oranges" of
    78 = 3n."""
    parts = shared_parts(line)
    return parts is not None and set(parts) <= _numbers_said(in_lower_case(text))


def shared_parts(line: Equation) -> tuple[Fraction, Fraction] | None:
    """What is shared out, and among how many, in a line such as 78 = 3n; None of another."""
    done = operations_on(line)
    whole = [side.value for side in line.sides() if isinstance(side, Number)]
    by = done[0].operand if len(done) == 1 and done[0].action == "multiply" else None
    if len(whole) != 1 or not isinstance(by, Number) or by.value.denominator != 1:
        return None
    return whole[0], by.value


def numbers_of(text: str) -> tuple[Fraction, ...]:
    """The numbers that stand in a text in digits."""
    return tuple(Fraction(number) for number in NUMBER.findall(text))


def _numbers_said(text: str) -> set[Fraction]:
    """The numbers of a text, in digits or in words."""
    words = {**UNITS, **TEENS}
    return {*numbers_of(text), *(Fraction(words[one]) for one in re.findall(r"[a-z]+", text) if one in words)}


def numbers_in_marks(marks: frozenset[str]) -> tuple[Fraction, ...]:
    """The numbers that a turn named, by its marks; of a log that was changed by hand only what is a number."""
    said = (mark.removeprefix("said ") for mark in sorted(marks) if mark.startswith("said "))
    return tuple(Fraction(one) for one in said if WORTH.fullmatch(one))
