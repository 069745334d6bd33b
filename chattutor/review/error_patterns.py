"""A learner's ideas: errors that come back on comparable equations. One instance is never a label."""

from collections import defaultdict
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from chattutor.review.evidence import Instance, Learner
from chattutor.session_logs.equation_marks import is_answer
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.linear import Linear
from dialogue.algebra.misconceptions import Explanation, error_table
from dialogue.algebra.misconceptions.consistency import ARITHMETIC, WINDOW, ObservedStep, can_be_made, weigh
from dialogue.algebra.refusals import Refusal

OWN = 0  # the stage of an equation that is of none
MENDED = 3  # equations alike right without help after an idea was last seen (common practice: three in a row)
Wrong: TypeAlias = tuple[tuple[str, tuple[str, ...]], ...]  # of each wrong step the equation and the errors, in order
Again: TypeAlias = dict[str, list[int]]  # of each pattern, its errors parted by spaces, the places of its steps


class Idea(NamedTuple):
    """A pattern: its ``errors``, more than one while they are not told apart; the turns that show it, oldest first;
    and whether enough was right since."""

    errors: tuple[str, ...]
    seen: list[Instance]
    mended: bool

    @property
    def error(self) -> str:
        """The likeliest."""
        return self.errors[0]

    @property
    def equations(self) -> int:
        """How many it was seen on."""
        return len({each.equation for each in self.seen})


def ideas(learner: Learner) -> list[Idea]:
    """The learner's patterns. Slips of arithmetic are none, however often they come."""
    if learner.again is None:
        keep_patterns(learner, repeated_errors(wrong_steps(learner)))
    found = [(errors.split(), seen) for errors, seen in (learner.again or {}).items()]
    return [
        Idea(tuple(each for each in errors if each not in ARITHMETIC), seen, _mended(learner, errors[0], seen))
        for errors, seen in found
        if seen and errors[0] not in ARITHMETIC
    ]


def slips(learner: Learner) -> list[Instance]:
    """The steps that a slip of arithmetic explains best."""
    return [each for each in learner.errors if each.error in ARITHMETIC]


def plainest(seen: Sequence[Instance]) -> Instance:
    """The smallest wrong step: the one with the fewest steps in the head, of those the first of the latest lesson."""
    return min(seen, key=lambda each: (_in_the_head(each), _before(each.when, seen)))


def _before(when: str, seen: Sequence[Instance]) -> int:
    return sorted({each.when for each in seen}, reverse=True).index(when)


def _in_the_head(each: Instance) -> int:
    """Steps that an answer leaves out; a line written is one."""
    line = _read(each.line)
    if line is None or not is_answer(each.stated):
        return 1
    left, right = line.linear()
    sides = [side for side in (left, right) if side.coefficient]
    return max(1, (len(sides) > 1) + max(map(_undone, sides), default=0))


def _undone(side: Linear) -> int:
    return (side.constant != 0) + (side.coefficient != 1)


def _mended(learner: Learner, error: str, seen: Sequence[Instance]) -> bool:
    """Whether equations alike have since been right, alone and without a wrong step: of the same stages or, of no
    stage, such as leave room for the error."""
    kinds = {each.stage for each in seen} - {OWN}
    last = max(each.number for each in seen)
    since = [one for one in learner.tried.values() if one.number > last and one.worked_on
             and (one.stage in kinds or (one.stage == OWN and _leaves_room(one.equation, error)))]  # fmt: skip
    return len(since) >= MENDED and all(one.outcome == "independent" for one in since[-MENDED:])


def _leaves_room(text: str, error: str) -> bool:
    equation = _read(text)
    return equation is not None and can_be_made(equation, error)


def keep_patterns(learner: Learner, again: Again) -> None:
    """Record what ``repeated_errors`` found, here or in another process."""
    learner.again = {error: [learner.errors[place] for place in places] for error, places in again.items()}


def wrong_steps(learner: Learner) -> Wrong:
    """All that ``repeated_errors`` needs of a learner."""
    return tuple((instance.equation, instance.errors) for instance in learner.errors)


def repeated_errors(wrong: Wrong) -> Again:
    """Which errors are patterns, and which steps show them."""
    if not seen_twice(wrong):
        return {}
    return {
        " ".join(pattern.errors): [
            place
            for place, (equation, errors) in enumerate(wrong)
            if not error_table()[pattern.error].shown_by.isdisjoint(errors) and _read(equation) in pattern.equations
        ]
        for pattern in weigh(_lately(wrong)).patterns
    }


def seen_twice(wrong: Wrong) -> bool:
    """Whether any error was seen on two equations: the quick look that most learners end at."""
    equations: dict[str, set[str]] = defaultdict(set)
    for equation, errors in wrong:
        for error in errors:
            equations[error].add(equation)
    return any(len(found) > 1 for found in equations.values())


def _lately(wrong: Wrong) -> list[ObservedStep]:
    """The attempts that the weighing looks at, oldest first: of a year, only the last equations need be read."""
    found: list[ObservedStep] = []
    equations = 0
    for equation, errors in reversed(wrong):
        attempt = _attempt(equation, errors)
        if attempt is not None:
            equations += not found or attempt.equation != found[-1].equation
            if equations > WINDOW:
                break
            found.append(attempt)
    return found[::-1]


def _attempt(text: str, errors: Sequence[str]) -> ObservedStep | None:
    """The turn as the weighing takes it; the log keeps the order of the explanations, the table how common each is."""
    equation = _read(text)
    known = [error_table()[error] for error in errors if error in error_table()]
    if equation is None or not known:
        return None
    return ObservedStep(equation, tuple(Explanation(entry.id, lines=1, weight=entry.prior / 1000) for entry in known))


@lru_cache(maxsize=256)
def _read(text: str) -> Equation | None:
    try:
        return read_equation(text)
    except Refusal:
        return None
