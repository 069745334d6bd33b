"""Marking typed-in work as a lesson would judge it, method and answer apart.

Each line is judged from the line above it, the learner's own, right or wrong: one error is then marked once, and
what follows from it by right steps is right. The answer is compared with the equation's own.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from chattutor.common.exits import LogTrouble
from chattutor.common.steps import step_meant
from chattutor.paper.work import Stray, Work
from chattutor.session_logs.learner import learner_code
from dialogue.acts import Disclosure, Unclear, to_json
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.misconceptions.consistency import ObservedStep, weigh
from dialogue.algebra.moves import Line, Step, Verdict
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import is_solved
from dialogue.judge import Judgement, judge
from dialogue.learner.records import stage_of
from dialogue.turn_record import JudgedStep, Said
from dialogue.turn_record import Marked as MarkedRecord
from dialogue.understanding.understand import understand

Answer: TypeAlias = Literal["right", "wrong", "not yet", "not attempted"]


@dataclass(frozen=True, slots=True)
class MarkedLine:
    """One line of working: the line above it, the step it is (None where it cannot be read), the judgement."""

    line: int
    text: str
    before: Equation
    step: Step | None = None
    judgement: Judgement | None = None
    problem: str = ""
    distress: bool = False

    def as_json(self) -> dict[str, Any]:
        """The line's part of the output; the judgement has the keys of ``chattutor judge``."""
        shown: dict[str, Any] = {"line": self.line, "text": self.text}
        if self.judgement is None:
            return shown | {"error": self.problem}
        judged = self.judgement
        return shown | {"balanced": judged.balanced, "closer": judged.closer, "errors": list(judged.errors)}


@dataclass(frozen=True, slots=True)
class Marked:
    """One piece of work, marked. ``method``: every line that could be read keeps the balance."""

    line: int
    code: str
    equation: Equation
    lines: tuple[MarkedLine, ...]
    answer: Answer

    @property
    def method(self) -> bool:
        """Whether every line that could be read keeps the balance; not where none could."""
        judged = [each.judgement for each in self.lines if each.judgement is not None]
        return bool(judged) and all(each.balanced for each in judged)

    def as_json(self) -> dict[str, Any]:
        """One line of the output."""
        return {
            "line": self.line,
            "learner": self.code,
            "equation": self.equation.text(),
            "lines": [each.as_json() for each in self.lines],
            "method": self.method,
            "answer": self.answer,
        }


@dataclass(frozen=True, slots=True)
class Unmarked:
    """Something that cannot be marked, and why."""

    line: int
    sentence: str


def mark(work: Work | Stray) -> Marked | Unmarked:
    """Mark one piece of work."""
    if isinstance(work, Stray):
        return Unmarked(work.line, "This line belongs to no work: each begins with a code, a colon and the equation.")
    try:
        code, equation = learner_code(work.code), read_equation(work.equation)
    except (LogTrouble, Refusal) as trouble:
        return Unmarked(work.line, f"{trouble.sentence} The work under it is not marked.")
    lines = tuple(_lines(work, equation))
    return Marked(work.line, code, equation, lines, _answer(equation, lines))


def _lines(work: Work, equation: Equation) -> Iterator[MarkedLine]:
    above = equation
    for number, text in work.lines:
        meaning = None if "=" in text else understand(text, "any", equation.letter)
        if meaning == Unclear("distress"):
            yield MarkedLine(
                number, text, above, problem="This may be a message of distress; please read it.", distress=True
            )
            continue
        try:
            step = (
                Line(read_equation(text, equation.letter)) if meaning is None else step_meant(meaning, equation.letter)
            )
            judgement = None if step is None else judge(above, step)
        except Refusal as refusal:
            yield MarkedLine(number, text, above, problem=refusal.sentence)
            continue
        if step is None:
            yield MarkedLine(number, text, above, problem="This is neither a line of working nor a move.")
            continue
        yield MarkedLine(number, text, above, step, judgement)
        if isinstance(step, Line):
            above = step.equation


def _answer(equation: Equation, lines: Sequence[MarkedLine]) -> Answer:
    """By the last line that ends the work: an unknown alone, or words that say how many numbers solve it."""
    if not lines:
        return "not attempted"
    solution = equation.solution()
    for each in reversed(lines):
        match each.step:
            case Verdict(kind):
                return "right" if kind == solution.kind else "wrong"
            case Line(stated) if is_solved(stated):
                if stated.solution().kind != "one":
                    return "not yet"  # 3 = 8 is a line on the way: the words are missing
                return "right" if stated.solution() == solution else "wrong"
    return "not yet"


def patterns(marked: Sequence[Marked]) -> dict[str, list[str]]:
    """For each learner the errors made on at least two comparable equations; one instance is never a label."""
    attempts: dict[str, list[ObservedStep]] = {}
    for work in marked:
        made = attempts.setdefault(work.code, [])
        made += [
            ObservedStep(
                work.equation, explain(each.before, each.step) if each.judgement and each.judgement.errors else ()
            )
            for each in work.lines
            if each.step is not None
        ]
    return {code: [each.error for each in weigh(made).patterns] for code, made in attempts.items()}


def records(marked: Sequence[Marked]) -> Iterator[tuple[Said, MarkedRecord]]:
    """(what was written, the record) of every line of one learner's work, as a session log keeps them."""
    for place, work in enumerate(marked):
        wrong = 0
        for each in work.lines:
            yield _said(each), _record(place, each, wrong, work)
            wrong += each.judgement is not None and each.judgement.balanced is False


def _said(each: MarkedLine) -> Said:
    if each.distress:
        return Said(withheld=True, acts=(to_json(Disclosure(), exact=True),), sure=True)
    return Said(each.text, acts=() if each.step is None else (to_json(each.step, exact=True),), sure=True)


def _record(place: int, each: MarkedLine, wrong: int, work: Marked) -> MarkedRecord:
    line = each.before.text()
    steps: tuple[JudgedStep, ...] = ()
    if each.step is not None and each.judgement is not None:
        judged, act = each.judgement, to_json(each.step, exact=True)
        steps = (JudgedStep(act, line, judged.balanced, judged.closer, judged.errors, judged.reason, not wrong),)
    return MarkedRecord(
        event="distress" if each.distress else "paper",
        task=place,
        stage=stage_of(work.equation),
        phase="line",
        line=line,
        next="line",
        level="independent",
        steps=steps,
        solved=work.equation.text() if each is work.lines[-1] and work.answer == "right" else "",
    )
