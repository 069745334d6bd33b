"""Marking typed-in work as a lesson would judge it, method and answer apart.

Each line is judged from the line above it, the learner's own, right or wrong: one error is then marked once, and
what follows from it by right steps is right. The answer is compared with the equation's own.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from chattutor.common.exits import LogTrouble
from chattutor.paper.piece_of_work import HEADING, REMARK, PaperWork, Stray
from chattutor.paper.scans import FROM_A_SCAN
from chattutor.paper.working import OF_ITS_OWN, MarkedLine, marked_lines
from chattutor.session_logs.learner_code import learner_code
from dialogue.acts import Disclosure, to_json
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import explain
from dialogue.algebra.misconceptions.consistency import ObservedStep, weigh
from dialogue.algebra.moves import Line, Verdict
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.solver import is_solved, solve_by_steps
from dialogue.learner.records import stage_of
from dialogue.turn_record import JudgedStep, Marked, Said

NOT_FOUND = "What was asked is not to be found in this."
Answer: TypeAlias = Literal["right", "close", "wrong", "not yet", "not attempted"]


@dataclass(frozen=True, slots=True)
class MarkedWork:
    """One piece of work, marked."""

    line: int
    code: str
    equation: Equation
    lines: tuple[MarkedLine, ...]
    answer: Answer

    @property
    def answer_only(self) -> bool:
        """Whether nothing but the answer stands under an equation that takes more than a step."""
        steps = [each for each in self.lines if each.step is not None]
        remarks = sum(each.problem != "" and not re.search(r"[\d=]", each.text) for each in self.lines)
        if len(steps) != 1 or len(self.lines) - remarks != 1:
            return False
        return self.answer == "close" or (self.answer in {"right", "wrong"} and len(solve_by_steps(self.equation)) > 1)

    @property
    def method(self) -> bool | None:
        """Whether every line that was judged keeps the balance; None where an answer alone shows no method."""
        if self.answer_only:
            return None
        judged = [each for each in self.lines if each.judgement is not None or each.remark == OF_ITS_OWN]
        return bool(judged) and not any(each.wrong for each in judged)

    def as_json(self) -> dict[str, Any]:
        """One line of the output."""
        return {
            "line": self.line,
            "learner": self.code,
            "equation": self.equation.text(),
            "lines": [each.as_json() for each in self.lines],
            "method": self.method,
            "answer": self.answer,
            "answer_only": self.answer_only,
        }


@dataclass(frozen=True, slots=True)
class Unmarked:
    """Something that cannot be marked, and why."""

    line: int
    sentence: str
    trouble: bool = True  # False for a heading, which is only told so that no line is lost unsaid


def mark(work: PaperWork | Stray) -> MarkedWork | Unmarked:
    """Mark one piece of work."""
    if isinstance(work, Stray):
        return Unmarked(
            work.line, f'{work.problem} ("{work.text}")', work.problem not in {HEADING, REMARK, FROM_A_SCAN}
        )
    try:
        code, equation = learner_code(work.code), read_equation(work.equation)
    except (LogTrouble, Refusal) as trouble:
        elsewhere = "=" not in work.equation and "=" in work.typed  # then the sentence would be false of what is quoted
        why = NOT_FOUND if elsewhere else trouble.sentence
        return Unmarked(work.line, f"{why} The work under it is not marked. ({work.typed})")
    lines = tuple(marked_lines(equation, work.lines))
    return MarkedWork(work.line, code, equation, lines, _answer(equation, lines))


def _answer(equation: Equation, lines: Sequence[MarkedLine]) -> Answer:
    """By the last line that ends the work: an unknown alone, or words that say how many numbers solve it."""
    if not lines:
        return "not attempted"
    solution = equation.solution()
    for each in reversed(lines):
        match each.step:
            case Verdict(kind):
                return "right" if kind == solution.kind else "wrong"
            case Line() if each.kind == "close":
                return "close"
            case Line(stated) if is_solved(stated):
                if stated.solution().kind != "one":
                    return "not yet"  # 3 = 8 is a line on the way: the words are missing
                return "right" if stated.solution() == solution else "wrong"
    return "not yet"


def patterns(marked: Sequence[MarkedWork]) -> dict[str, list[str]]:
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


def records(marked: Sequence[MarkedWork]) -> Iterator[tuple[Said, Marked]]:
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


def _record(place: int, each: MarkedLine, wrong: int, work: MarkedWork) -> Marked:
    line = each.before.text()
    steps: tuple[JudgedStep, ...] = ()
    if each.step is not None and each.judgement is not None:
        judged, act = each.judgement, to_json(each.step, exact=True)
        steps = (JudgedStep(act, line, judged.balanced, judged.closer, judged.errors, judged.reason, not wrong),)
    return Marked(
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
