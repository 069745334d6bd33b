"""The class page as data: the JSON of ``chattutor review --json``, from which the terminal and HTML pages are drawn."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, NamedTuple

from chattutor.review.error_patterns import plainest
from chattutor.review.evidence import Evidence, Instance
from chattutor.review.learner_part import Held, LearnerPart, part_of
from chattutor.review.phrasing import error_name
from dialogue.algebra.misconceptions import wrong_answers
from dialogue.algebra.misconceptions.catalogue import beliefs
from dialogue.learner.families import draw
from dialogue.learner.stages import stages

EVIDENCE = 5  # instances shown of one error
DRAWN = 12  # drawn equations looked through for one that would show the error
STAGE_OF = {"subtract-coefficient": 3, "reciprocal-division": 5, "multiply-instead-of-divide": 3}
TWO_STEPS = 6  # where the error was seen on an equation of no stage, and it has none here


class Totals(NamedTuple):
    """How much was read, and what is wrong with which file."""

    sessions: int
    turns: int
    faulty: Sequence[tuple[str, str]]


def class_page(evidence: Evidence) -> dict[str, Any]:
    """Who to see first and why, stages by independence, errors, groups to re-teach, the unsure pile, not attempted."""
    parts = [part_of(evidence.learners[code]) for code in sorted(evidence.learners)]
    return together(parts, Totals(evidence.sessions, evidence.turns, evidence.faulty))


def together(parts: Sequence[LearnerPart], totals: Totals) -> dict[str, Any]:
    """The page of these learners, who stand in order of their codes."""
    first = sorted((part.first for part in parts if part.first), key=lambda each: (*each[:2], each.row["code"]))
    seen = {each.row["code"] for each in first}
    return {
        "learners": [part.row for part in parts],
        "see_first": [each.row for each in first],
        "others": [part.code for part in parts if part.code not in seen],
        "two_at_once": [row for part in parts for row in part.twins],
        "errors": _errors(parts),
        "groups": _groups(parts),
        "unsure": [_shown(instance) for part in parts for instance in part.unsure],
        "not_attempted": [
            {"code": part.code, "equations": list(part.not_attempted)} for part in parts if part.not_attempted
        ],
        "sessions": totals.sessions,
        "turns": totals.turns,
        "files_with_faults": [{"file": file, "problem": problem} for file, problem in totals.faulty],
    }


def _errors(parts: Sequence[LearnerPart]) -> list[dict[str, Any]]:
    by_error: dict[str, list[Instance]] = {}
    for part in parts:
        for instance in part.errors:
            by_error.setdefault(instance.error, []).append(instance)
    return [
        {
            "id": error,
            "name": error_name(error),
            "count": len(found),
            "learners": sorted({instance.learner for instance in found}),
            "evidence": [_shown(instance) for instance in _varied(found)],
        }
        for error, found in sorted(by_error.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    ]


def _varied(found: list[Instance]) -> list[Instance]:
    """The plainest instance of each learner first, then others, up to the number shown."""
    by_learner: dict[str, list[Instance]] = {}
    for instance in found:
        by_learner.setdefault(instance.learner, []).append(instance)
    plain = [plainest(each) for each in list(by_learner.values())[:EVIDENCE]]
    others = [instance for instance in reversed(found) if instance not in plain]
    return [*plain, *others][:EVIDENCE]


def _groups(parts: Sequence[LearnerPart]) -> list[dict[str, Any]]:
    """Learners who hold the same idea, with an equation to start from; never by score, and never for slips."""
    groups: dict[str, list[tuple[str, Held]]] = {}
    for part in parts:
        for held in part.held:
            groups.setdefault(held.errors[0], []).append((part.code, held))
    return [
        {
            "error": error,
            "name": error_name(error),
            "learners": [code for code, _ in members],
            "starter": starter(error, members[0][1].latest),
            "or": _or(members),
            "belief": _belief(error),
            "evidence": [_shown(held.plainest) for _, held in members],
        }
        for error, members in sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    ]


def _belief(error: str) -> dict[str, Any] | None:
    found = beliefs().get(error)
    return None if found is None else asdict(found)


def _or(members: list[tuple[str, Held]]) -> list[dict[str, Any]]:
    """The other errors that may be behind it, each with whom it is not told apart of."""
    others: dict[str, list[str]] = {}
    for code, held in members:
        for error in held.errors[1:]:
            others.setdefault(error, []).append(code)
    return [{"error": error, "name": error_name(error), "learners": codes} for error, codes in others.items()]


def _shown(instance: Instance) -> dict[str, Any]:
    return {
        "code": instance.learner,
        "equation": instance.equation,
        "line": instance.line,
        "said": instance.said,
        "stated": instance.stated,
        "file": instance.file,
        "turn": instance.turn,
    }


def starter(error: str, seen: Instance) -> str:
    """An equation to begin a re-teaching group with, as JSON writes it: of the stage the error was seen on, its numbers
    showing it again."""
    number = seen.stage if 1 <= seen.stage <= len(stages()) else STAGE_OF.get(error, TWO_STEPS)
    seed = sum(map(ord, seen.equation))  # the same logs give the same page
    drawn = [task.equation for task in draw(number, seed, DRAWN)]
    fitting = [equation for equation in drawn if equation.text() != seen.equation]
    revealing = [equation for equation in fitting if error in wrong_answers(equation)]
    return (revealing or fitting or drawn)[0].text()
