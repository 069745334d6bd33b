"""Two learners under one code: sessions of one code that went on at the same time, and what differs between them.

A learner who opens a second window beside the first looks the same from here: a teacher says which it is.
"""

from datetime import datetime, timedelta
from itertools import combinations
from typing import Any

from chattutor.review.evidence import Learner, Sitting, Tried

TOGETHER = timedelta(seconds=60)  # that two sessions went on at the same time, at the least (a choice)


def two_at_once(learner: Learner) -> list[dict[str, Any]]:
    """A row for each two of a code's sessions that went on together: their ids, when, and the equations that both had,
    with how each went."""
    return [
        {"code": learner.code, "sessions": [one.id, other.id], "when": max(one.when, other.when),
         "equations": _both(learner, one, other)}
        for one, other in combinations(learner.lessons, 2)
        if _together(one, other)
    ]  # fmt: skip


def _together(one: Sitting, other: Sitting) -> bool:
    if other.before == one.id or one.before == other.id or not (one.turns and other.turns):
        return False
    try:
        begins = max(datetime.fromisoformat(one.when), datetime.fromisoformat(other.when))
        ends = min(datetime.fromisoformat(one.until), datetime.fromisoformat(other.until))
        return ends - begins >= TOGETHER
    except (ValueError, TypeError):
        return False


def _both(learner: Learner, one: Sitting, other: Sitting) -> list[dict[str, Any]]:
    """The equations of both sessions that were worked on in both."""
    first, second = (_worked_on(learner, each.id) for each in (one, other))
    return [{"equation": text, "went": [first[text].outcome, second[text].outcome]} for text in first if text in second]


def _worked_on(learner: Learner, lesson: str) -> dict[str, Tried]:
    return {one.equation: one for (name, _), one in learner.tried.items() if name == lesson and one.worked_on}
