"""The class page as data: the JSON of ``chattutor review --json``, from which the terminal and HTML pages are drawn."""

from collections import Counter
from dataclasses import asdict
from typing import Any

from chattutor.review.error_patterns import Idea, ideas, plainest, slips
from chattutor.review.evidence import OUTCOMES, Evidence, Instance, Learner
from chattutor.review.phrasing import error_name, error_names
from chattutor.review.see_first import latest_lesson, see_first
from chattutor.review.starters import starter
from chattutor.review.two_at_once import two_at_once
from dialogue.algebra.misconceptions.beliefs import beliefs

EVIDENCE = 5  # instances shown of one error
NOTHING = OUTCOMES[-1]


def class_page(evidence: Evidence) -> dict[str, Any]:
    """Who to see first and why, stages by independence, errors, groups to re-teach, the unsure pile, not attempted."""
    learners = [evidence.learners[code] for code in sorted(evidence.learners)]
    first = see_first(learners)
    seen = {row["code"] for row in first}
    return {
        "learners": [_learner(learner) for learner in learners],
        "see_first": first,
        "others": [learner.code for learner in learners if learner.code not in seen],
        "two_at_once": two_at_once(learners),
        "errors": _errors(learners),
        "groups": _groups(learners),
        "unsure": [_shown(instance) for learner in learners for instance in learner.unsure],
        "not_attempted": [
            {"code": learner.code, "equations": left} for learner in learners if (left := _not_attempted(learner))
        ],
        "sessions": evidence.sessions,
        "turns": evidence.turns,
        "files_with_faults": [{"file": file, "problem": problem} for file, problem in evidence.faulty],
    }


def _learner(learner: Learner) -> dict[str, Any]:
    held = ideas(learner)
    return {
        "code": learner.code,
        "sessions": learner.sessions,
        "turns": learner.turns,
        "spoken_turns": learner.spoken,
        "last": learner.last,
        "stages": _stages(learner),
        "patterns": sorted(idea.error for idea in held if not idea.mended),
        "mended": [error_names(idea.errors) for idea in held if idea.mended],
        "ideas": [{"errors": list(idea.errors), "equations": idea.equations, "mended": idea.mended} for idea in held],
        "slips": len(slips(learner)),
        "self_corrections": learner.corrected,
        "note": learner.note,
    }


def _stages(learner: Learner) -> dict[str, dict[str, Any]]:
    """Of each stage: how its latest attempted equation went, how the best did, and how many went each way. "0": not
    of a stage."""
    stages: dict[str, dict[str, Any]] = {}
    counting = (tried for tried in learner.tried.values() if tried.counts)
    for tried in sorted(counting, key=lambda one: (one.stage, one.when)):
        row = stages.setdefault(str(tried.stage), {"now": NOTHING, "best": NOTHING, "counts": Counter()})
        row["counts"][tried.outcome] += 1
        row["best"] = min(row["best"], tried.outcome, key=OUTCOMES.index)
        if tried.worked_on:
            row["now"] = tried.outcome
    return {number: {"now": row["now"], "best": row["best"], **row["counts"]} for number, row in stages.items()}


def _not_attempted(learner: Learner) -> list[str]:
    when = latest_lesson(learner)
    tried = [one for one in learner.tried.values() if one.when == when and one.counts]
    return [one.equation for one in tried if one.outcome == "not attempted"]


def _errors(learners: list[Learner]) -> list[dict[str, Any]]:
    by_error: dict[str, list[Instance]] = {}
    for learner in learners:
        for instance in learner.errors:
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


def _groups(learners: list[Learner]) -> list[dict[str, Any]]:
    """Learners who hold the same idea, with an equation to start from; never by score, and never for slips."""
    groups: dict[str, list[tuple[str, Idea]]] = {}
    for learner in learners:
        for idea in ideas(learner):
            if not idea.mended:
                groups.setdefault(idea.error, []).append((learner.code, idea))
    return [
        {
            "error": error,
            "name": error_name(error),
            "learners": [code for code, _ in members],
            "starter": starter(error, members[0][1].seen[-1]),
            "or": _or(members),
            "belief": _belief(error),
            "evidence": [_shown(plainest(idea.seen)) for _, idea in members],
        }
        for error, members in sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    ]


def _belief(error: str) -> dict[str, Any] | None:
    found = beliefs().get(error)
    return None if found is None else asdict(found)


def _or(members: list[tuple[str, Idea]]) -> list[dict[str, Any]]:
    """The other errors that may be behind it, each with whom it is not told apart of."""
    others: dict[str, list[str]] = {}
    for code, idea in members:
        for error in idea.errors[1:]:
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
