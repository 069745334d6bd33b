"""Equations whose numbers expose one error: whoever makes it gets a wrong answer, which puts it in the open."""

from functools import cache
from zlib import crc32

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import error_table, wrong_answers
from dialogue.algebra.misconceptions.catalogue import beliefs
from dialogue.learner.families import draw
from dialogue.learner.stages import stages

LOOKED_AT = 40  # drawn equations of a stage looked through
SAMPLE = 8  # drawn of each stage, to find out which errors can be made there
GENTLE = 60  # equations whose numbers are no larger come first


def telling(error: str, stage: int, seed: str, count: int) -> list[Equation]:
    """Up to ``count`` equations on which the error can be made: of this stage or, where it cannot be made there, of
    the nearest that is about the same idea; of an error that no stage has, those of its contrast."""
    number = _home(error, stage)
    if not number:
        return [equation for equation in contrast(error) if exposes(equation, error)][:count] or contrast(error)[:count]
    drawn = [task.equation for task in draw(number, crc32(seed.encode()), LOOKED_AT)]
    found = [equation for equation in drawn if exposes(equation, error)]
    return sorted(found, key=_is_awkward)[:count]


def contrast(error: str) -> list[Equation]:
    """The two equations to put side by side."""
    return [read_equation(text) for text in beliefs()[error].contrast] if error in beliefs() else []


def explained(error: str, stage: int) -> Equation | None:
    """The equation to explain the idea on: of its contrast, whose numbers the belief is told with."""
    some = contrast(error) or telling(error, stage, error, 1)
    return next((each for each in some if exposes(each, error)), some[0] if some else None)


def exposes(equation: Equation, error: str) -> bool:
    """Whether the error can be made on it and leads to a wrong answer."""
    return error in wrong_answers(equation)


def _home(error: str, stage: int) -> int:
    """The stage to draw from; 0 where none has the error."""
    homes = [number for number, errors in _errors_by_stage().items() if error in errors]
    if stage in homes or not homes:
        return stage if homes else 0
    idea = error_table()[error].idea if error in error_table() else ""
    about = [number for number in homes if idea in stages()[number - 1].ideas]
    return min(about or homes, key=lambda number: (abs(number - stage), number))


@cache
def _errors_by_stage() -> dict[int, frozenset[str]]:
    return {
        stage.number: frozenset(
            error for task in draw(stage.number, 1, SAMPLE) for error in wrong_answers(task.equation)
        )
        for stage in stages()
    }


def _is_awkward(equation: Equation) -> tuple[bool, bool]:
    """Whether the answer is negative or not whole, and whether a number is large: the idea is enough to think about."""
    value = equation.solution().value
    return value is None or value < 0 or value.denominator != 1, _largest(equation) > GENTLE


def _largest(equation: Equation) -> int:
    return max(max(abs(int(side.coefficient)), abs(int(side.constant))) for side in equation.linear())
