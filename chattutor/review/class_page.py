"""The class page as data: the JSON of ``chattutor review --json``, from which the terminal and HTML pages are drawn."""

from collections import Counter
from typing import Any

from chattutor.review.error_patterns import patterns
from chattutor.review.evidence import Evidence, Instance, Learner, Tried
from chattutor.review.phrasing import counted, on_board
from chattutor.review.starters import starter
from dialogue.algebra.misconceptions import error_table

SEE_FIRST = 5
EVIDENCE = 5  # instances shown of one error


def class_page(evidence: Evidence) -> dict[str, Any]:
    """Who to see first and why, stages by independence, errors, groups to re-teach, the unsure pile, not attempted."""
    learners = [evidence.learners[code] for code in sorted(evidence.learners)]
    return {
        "learners": [_learner(learner) for learner in learners],
        "see_first": _see_first(learners),
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


def error_name(error: str) -> str:
    """The error in plain teachers' words."""
    entry = error_table().get(error)
    return entry.name if entry else error


def _learner(learner: Learner) -> dict[str, Any]:
    return {
        "code": learner.code,
        "sessions": learner.sessions,
        "turns": learner.turns,
        "spoken_turns": learner.spoken,
        "last": learner.last,
        "stages": _stages(learner),
        "patterns": sorted(patterns(learner)),
        "self_corrections": learner.corrected,
        "note": learner.note,
    }


def _stages(learner: Learner) -> dict[str, dict[str, Any]]:
    """Of each stage: how its latest attempted equation went, and how many went each way. "0": not of a stage."""
    stages: dict[str, dict[str, Any]] = {}
    counting = (tried for tried in learner.tried.values() if tried.counts)
    for tried in sorted(counting, key=lambda one: (one.stage, one.when)):
        row = stages.setdefault(str(tried.stage), {"now": "not attempted", "counts": Counter()})
        row["counts"][tried.outcome] += 1
        if tried.touched or tried.solved:
            row["now"] = tried.outcome
    return {number: {"now": row["now"], **row["counts"]} for number, row in stages.items()}


def _not_attempted(learner: Learner) -> list[str]:
    latest = _latest(learner)
    tried = [one for one in learner.tried.values() if one.when == latest and one.counts]
    waiting = [one for one in tried if one.outcome == "not attempted"]
    return [one.equation for one in waiting]


def _see_first(learners: list[Learner]) -> list[dict[str, str]]:
    """Up to five, the most pressing reason first: something an adult should hear; and of the latest lesson, a pattern,
    stuck, shown."""
    reasons: list[tuple[int, int, str, str, str, str]] = []
    for learner in learners:
        repeated = _lately(learner)
        when = _latest(learner)
        latest = [tried for tried in learner.tried.values() if tried.when == when and tried.counts]
        unfinished = [tried for tried in latest if tried.outcome == "not yet"]
        shown = [tried for tried in latest if tried.outcome == "shown"]
        if learner.to_tell:
            text = "Said something an adult should hear about: follow your safeguarding procedure"
            reasons.append((0, 0, learner.code, text, "", ""))
        elif repeated:
            error, found = max(repeated.items(), key=lambda pair: len(pair[1]))
            equations = len({instance.equation for instance in found})
            text = f"{error_name(error)}, on {equations} equations"
            reasons.append((1, -len(found), learner.code, text, found[-1].line, found[-1].said))
        elif unfinished:
            text = f"Did not finish {len(unfinished)} of {_tried(latest)}, last"
            reasons.append((2, -len(unfinished), learner.code, text, unfinished[-1].equation, ""))
        elif shown:
            text = f"Was shown a step on {len(shown)} of {_tried(latest)}"
            reasons.append((3, -len(shown), learner.code, text, "", ""))
    notes = {learner.code: learner.note for learner in learners}
    return [_first(*row[2:], notes[row[2]]) for row in sorted(reasons)[:SEE_FIRST]]


def _first(code: str, why: str, line: str, said: str, note: str) -> dict[str, str]:
    """``reason`` is the whole sentence; the rest are its parts, for pages that set equations."""
    seen = (f": {on_board(line)}" if line else "") + (f" then “{said}”" if said else "")
    reason = f"{why}{seen}." + (f" Note: {note}" if note else "")
    return {"code": code, "reason": reason, "why": why, "line": line, "said": said, "note": note}


def _lately(learner: Learner) -> dict[str, list[Instance]]:
    """The patterns that the latest lesson showed again."""
    when = _latest(learner)
    return {error: found for error, found in patterns(learner).items() if found and found[-1].when >= when}


def _latest(learner: Learner) -> str:
    """When the latest lesson began; a lesson gone on with began with its first sitting."""
    return max((tried.when for tried in learner.tried.values()), default="")


def _tried(latest: list[Tried]) -> str:
    return counted(sum(tried.touched or tried.solved for tried in latest), "equation")


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
    """The latest instance of each learner first, then others, up to the number shown."""
    latest = {instance.learner: instance for instance in found}
    others = [instance for instance in reversed(found) if instance is not latest[instance.learner]]
    return [*latest.values(), *others][:EVIDENCE]


def _groups(learners: list[Learner]) -> list[dict[str, Any]]:
    """Learners who show the same pattern, with an equation to start from; never by score."""
    groups: dict[str, list[tuple[str, Instance]]] = {}
    for learner in learners:
        for error, found in patterns(learner).items():
            groups.setdefault(error, []).append((learner.code, found[-1]))
    return [
        {
            "error": error,
            "name": error_name(error),
            "learners": [code for code, _ in members],
            "starter": starter(error, members[0][1]),
        }
        for error, members in sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    ]


def _shown(instance: Instance) -> dict[str, Any]:
    return {
        "code": instance.learner,
        "equation": instance.equation,
        "line": instance.line,
        "said": instance.said,
        "file": instance.file,
        "turn": instance.turn,
    }
