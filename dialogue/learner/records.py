"""From the tutor's records of a lesson to the attempts that the tracing and the choice work from."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from dialogue.algebra.equation import Equation, Solution
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown
from dialogue.learner.families import draw
from dialogue.learner.forms import form
from dialogue.learner.history import Attempt, Help, Purpose
from dialogue.learner.stages import Family, stage, stages, unknown_letters
from dialogue.turn_record import Answered, JudgedStep

HELP: tuple[Help, ...] = ("independent", "prompted", "shown")
NOTHING_DONE = frozenset(
    {"skip", "stop", "pause", "silence", "easier", "harder"}
)  # events after which an equation is untouched
SCENE = frozenset({"scene tips", "scene level"})  # phases before the equation itself


@dataclass(frozen=True, slots=True)
class GivenTask:
    """An equation that was given in a lesson, and why it was chosen."""

    equation: Equation
    stage: int
    purpose: Purpose = "asked"


def attempts(given: Sequence[GivenTask], records: Sequence[Answered], lesson: int, day: int) -> Iterator[Attempt]:
    """An attempt for each equation of a stage that was worked on, in order. ``records`` are the lesson's, each with
    the place of its equation as ``task``; equations of no stage (a teacher's own) say nothing about stages, and one
    that was skipped says nothing except in the pre-check, where it is one not known."""
    of_task: dict[int, list[Answered]] = {}
    for record in records:
        if record.phase not in SCENE and record.task is not None:
            of_task.setdefault(record.task, []).append(record)
    for place, each in enumerate(given):
        own = of_task.get(place, [])
        events = {record.event for record in own if record.event}
        skipped = each.purpose == "place" and bool(events & {"skip", "easier"})
        if each.stage not in range(1, len(stages()) + 1) or (events <= NOTHING_DONE and not skipped):
            continue
        wrong = [step for record in own for step in record.steps if step.balanced is False]
        levels = [HELP.index(level) for record in own for level in HELP if level == record.level]
        yield Attempt(
            stage=each.stage,
            right=not wrong and any(record.solved for record in own),
            help=HELP[max(levels, default=0)],
            variation=is_variation(each.equation, each.stage),
            purpose=each.purpose,
            lesson=lesson,
            day=day,
            ideas=tuple((idea, False) for idea in _blamed(wrong)),
            equation=each.equation.text(),
        )


def _blamed(wrong: Sequence[JudgedStep]) -> list[str]:
    """The ideas behind the likeliest error of each wrong step, each once."""
    errors = [step.errors[0] for step in wrong if step.errors]
    return list(dict.fromkeys(error_table()[error].idea for error in errors if error in error_table()))


def is_variation(equation: Equation, number: int) -> bool:
    """Whether an equation differs from its stage's first kind in more than its numbers: in its shape or in its kind
    of answer or, where a stage has one family, in its letter."""
    if len(stage(number).families) == 1:
        return equation.letter != unknown_letters()[0]
    return _kind(equation) != _first_kind(number)


def stage_of(equation: Equation) -> int:
    """The stage that an equation of somebody's own belongs to, by its shape, its kind of answer and which of its
    numbers is larger; the first where there are several, 0 where there is none."""
    solution = equation.solution()
    for each in stages():
        for family in each.families:
            numbers = form(family.form).numbers(equation)
            if numbers is None:
                continue
            larger = all(where.holds(numbers) for where in family.where if where.relation == "<")
            if larger and answer_kind(solution) in _kinds_of_answer(family):
                return each.number
    return 0


def _kinds_of_answer(family: Family) -> frozenset[str]:
    """The kinds of answer that a family's equations can have."""
    if family.any_answer:
        return frozenset({"every"})
    if "x" not in family.choose and family.find != "x":
        return frozenset({"none"})
    low, high = family.choose.get("x") or family.between.get("x") or (1, 1)
    whole = {"fraction"} if family.over else {"whole"} if high > 0 else set[str]()
    return frozenset(whole | ({"negative"} if low < 0 else set()) | ({"zero"} if low <= 0 <= high else set()))


def _kind(equation: Equation) -> tuple[object, ...]:
    return shape(equation.left), shape(equation.right), answer_kind(equation.solution())


@cache
def _first_kind(number: int) -> tuple[object, ...]:
    return _kind(draw(number, 0, 1)[0].equation)


def shape(expression: Expression) -> object:
    """The writing without its numbers and letter."""
    match expression:
        case Number():
            return "#"
        case Unknown():
            return "?"
        case Negative(body):
            return "#" if isinstance(body, Number) else ("-", shape(body))
        case Sum(terms):
            return ("+", *((term.sign, shape(term.body)) for term in terms))
        case Product(factors):
            return ("*", *map(shape, factors))
        case Quotient(top, bottom):
            return ("/", shape(top), shape(bottom))


def answer_kind(solution: Solution) -> str:
    """whole, fraction, negative, zero, none or every."""
    if solution.value is None:
        return solution.kind
    if solution.value == 0:
        return "zero"
    return "negative" if solution.value < 0 else "whole" if solution.value.denominator == 1 else "fraction"
