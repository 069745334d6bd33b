"""What a class page needs of one learner, as plain data: found where the learner's sessions are, and sent elsewhere.

A page is put together of these alone, so that learners can be looked at on many computers.
"""

from collections import Counter
from typing import Any

from msgspec import Struct

from chattutor.review.error_patterns import ideas, plainest, slips
from chattutor.review.evidence import OUTCOMES, Instance, Learner
from chattutor.review.phrasing import error_names
from chattutor.review.see_first import ToSee, latest_lesson, to_see
from chattutor.review.two_at_once import two_at_once

NOTHING = OUTCOMES[-1]


class Held(Struct, frozen=True):
    """An idea that is not mended: its errors, the plainest turn that shows it, and the latest."""

    errors: tuple[str, ...]
    plainest: Instance
    latest: Instance


class LearnerPart(Struct, frozen=True):
    """One learner: the row of the page, why to see them first, and what goes into the page's lists."""

    row: dict[str, Any]
    first: ToSee | None
    twins: tuple[dict[str, Any], ...]
    errors: tuple[Instance, ...]
    held: tuple[Held, ...]
    unsure: tuple[Instance, ...]
    not_attempted: tuple[str, ...]

    @property
    def code(self) -> str:
        """The learner's code."""
        return str(self.row["code"])


def part_of(learner: Learner) -> LearnerPart:
    """What one learner showed."""
    held = [Held(idea.errors, plainest(idea.seen), idea.seen[-1]) for idea in ideas(learner) if not idea.mended]
    return LearnerPart(
        _row(learner), to_see(learner), tuple(two_at_once(learner)), tuple(learner.errors), tuple(held),
        tuple(learner.unsure), tuple(_not_attempted(learner)),
    )  # fmt: skip


def _row(learner: Learner) -> dict[str, Any]:
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
