"""Equations whose numbers expose one error: whoever makes it gets a wrong answer, which puts it in the open."""

import re
from collections.abc import Iterator
from functools import cache
from itertools import islice
from random import Random
from zlib import crc32

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import error_table, wrong_answers
from dialogue.algebra.misconceptions.catalogue import beliefs
from dialogue.algebra.writing import TYPED
from dialogue.learner.families import draw, drawing
from dialogue.learner.stages import stages

LOOKED_AT, MOST_LOOKED = 40, 300  # drawn equations of a stage looked through, and where few show the error
NEAREST, AWAY = 3, 3  # stages drawn from; a stage that is not about the idea counts as so much further
NUMBER = re.compile(r"[1-9]\d*")
SAMPLE = 8  # drawn of each stage, to find out which errors can be made there
GENTLE = 60  # equations whose numbers are no larger come first


def telling(error: str, stage: int, seed: str, count: int) -> list[Equation]:
    """Up to ``count`` equations on which the error can be made: of this stage and, where it can hardly be made there,
    of the nearest others; of an error that no stage has, those of its contrast."""
    found: list[Equation] = []
    for number in _homes(error, stage)[:NEAREST]:
        if len(found) < count:
            found += _exposing(error, number, seed, count - len(found))
    if found or not contrast(error):
        return found
    pair = contrast(error)
    first = next((equation for equation in pair if exposes(equation, error)), pair[0])
    return [first, *islice(_like(first, error, seed), count - 1)]


def _like(equation: Equation, error: str, seed: str) -> Iterator[Equation]:
    """Equations of the same form that show the error too, with answers as plain as that one's."""
    random, seen = Random(seed), {equation.text(TYPED)}  # noqa: S311 - no secret
    for _ in range(MOST_LOOKED):
        other = NUMBER.sub(lambda number: str(random.randint(2, max(9, int(number[0]) + 9))), equation.text(TYPED))
        like = read_equation(other)
        plain = like.solution().kind == equation.solution().kind and _is_awkward(like)[0] == _is_awkward(equation)[0]
        if other not in seen and plain and exposes(like, error) == exposes(equation, error):
            seen.add(other)
            yield like


def _exposing(error: str, number: int, seed: str, count: int) -> list[Equation]:
    """Of those drawn first the plainest; then, where they are too few, what comes later."""
    drawn = (task.equation for task in drawing(number, crc32(seed.encode())))
    found = [equation for equation in islice(drawn, LOOKED_AT) if exposes(equation, error)]
    if len(found) < count:
        later = (equation for equation in islice(drawn, MOST_LOOKED) if exposes(equation, error))
        found += islice(later, count - len(found))
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


def _homes(error: str, stage: int) -> list[int]:
    """The stages to draw from: this one, also where its equations show the error but seldom; then the nearest, those
    that are about the error's idea before others as near."""
    homes = {number for number, errors in _errors_by_stage().items() if error in errors}
    if stage and homes and error in _all_errors(stage):
        homes.add(stage)
    idea = error_table()[error].idea if error in error_table() else ""

    def about(number: int) -> bool:
        return idea in stages()[number - 1].ideas

    return sorted(
        homes, key=lambda each: (each != stage, abs(each - stage) + AWAY * (not about(each)), not about(each))
    )


@cache
def _all_errors(stage: int) -> frozenset[str]:
    """The errors that can be made on any of many equations of a stage."""
    tasks = islice(drawing(stage, 1), MOST_LOOKED)
    return frozenset(error for task in tasks for error in wrong_answers(task.equation))


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
