"""How a class and each learner went over the weeks, as data: lessons, minutes worked, stages, ideas, where they stuck.

Weeks begin on Monday, half-terms when the teacher said (``half_terms.py``). Minutes count from a session's first turn
to its last, long pauses left out: they say when there was work, and are no measure of effort.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any

from chattutor.review.error_patterns import ideas, repeated_errors
from chattutor.review.evidence import Evidence, Learner, Sitting, Tried
from chattutor.review.half_terms import HalfTerm, spans
from chattutor.review.phrasing import error_name, error_names
from chattutor.review.see_first import MANY_CALLS, QUESTIONS, STUCK
from chattutor.session_logs.transcript import local
from dialogue.algebra.misconceptions.consistency import ARITHMETIC

IN_A_ROW = 3  # equations of a stage right without help and wrong steps: the stage is gained (common practice)


def over_time(evidence: Evidence, told: Sequence[HalfTerm] = ()) -> dict[str, Any]:
    """The class by half-term and week, and a row a learner. ``told``: the half-terms that a teacher set."""
    learners = [evidence.learners[code] for code in sorted(evidence.learners)]
    weeks = sorted({week(sitting.when) for learner in learners for sitting in learner.lessons})
    return {
        "half_terms": [
            {"name": each.name, **_span(learners, (each.first, each.last))} for each in spans(_days(learners), told)
        ],
        "weeks": [_week(learners, monday) for monday in weeks],
        "learners": [learner_row(learner) for learner in learners],
    }


def learner_row(learner: Learner) -> dict[str, Any]:
    """One learner over all the days there are."""
    held = ideas(learner)
    return {
        "code": learner.code,
        "lessons": len(learner.lessons),
        "minutes": minutes(learner.lessons),
        "gained": [stage for stage, _ in gained(learner)],
        "here": [error_names(idea.errors) for idea in held if not idea.mended],
        "gone": _gone(learner, {error for idea in held if not idea.mended for error in idea.errors}),
        "stuck": stuck_points(learner),
        "equations": sum(one.worked_on for one in learner.tried.values() if one.counts),
        "alone": sum(one.outcome == "independent" for one in learner.tried.values()),
    }


def minutes(lessons: Iterable[Sitting]) -> int:
    """Minutes worked."""
    return round(sum(sitting.seconds for sitting in lessons) / 60)


def gained(learner: Learner) -> list[tuple[int, str]]:
    """Each stage that was right so often in a row, with the day of it, in order."""
    runs: dict[int, int] = {}
    found: dict[int, str] = {}
    for one in learner.tried.values():
        if one.counts and one.worked_on and one.stage:
            runs[one.stage] = runs.get(one.stage, 0) + 1 if one.outcome == "independent" else 0
            if runs[one.stage] >= IN_A_ROW:
                found.setdefault(one.stage, day(one.when))
    return sorted(found.items())


def stuck_points(learner: Learner) -> list[dict[str, Any]]:
    """Where the learner stayed long or asked for help again and again, the longest first."""
    hard = [one for one in learner.tried.values() if one.mark.longest >= STUCK or one.mark.calls >= MANY_CALLS]
    hard.sort(key=lambda one: -(one.mark.longest + one.mark.calls))
    return [_stuck(one) for one in hard]


def day(when: str) -> str:
    """The day of a time of a log, on the clock of this place."""
    return local(when)[:10]


def week(when: str) -> str:
    """The Monday of its week."""
    try:
        found = date.fromisoformat(day(when))
    except ValueError:
        return ""
    return (found - timedelta(days=found.weekday())).isoformat()


def _days(learners: Sequence[Learner]) -> list[str]:
    found = {day(sitting.when) for learner in learners for sitting in learner.lessons}
    return sorted(each for each in found if week(each))


def _stuck(one: Tried) -> dict[str, Any]:
    mark = one.mark
    return {"day": day(one.when), "line": mark.line or one.equation, "where": QUESTIONS.get(mark.phase, "one question"),
            "turns": mark.longest, "calls": mark.calls, "said": mark.said}  # fmt: skip


def _week(learners: Sequence[Learner], monday: str) -> dict[str, Any]:
    try:
        last = (date.fromisoformat(monday) + timedelta(days=6)).isoformat()
    except ValueError:
        last = monday
    return {"week": monday, **_span(learners, (monday, last))}


def _span(learners: Sequence[Learner], days: tuple[str, str]) -> dict[str, Any]:
    """What the class did from one day to another."""
    first, last = days
    sittings = [(learner, each) for learner in learners for each in learner.lessons if first <= day(each.when) <= last]
    tried = [
        one
        for learner in learners
        for one in learner.tried.values()
        if one.counts and one.worked_on and first <= day(one.when) <= last
    ]
    seen: dict[str, set[str]] = {}
    for learner in learners:
        for each in learner.errors:
            if each.error not in ARITHMETIC and first <= day(each.when) <= last:
                seen.setdefault(each.error, set()).add(learner.code)
    return {
        "from": first,
        "to": last,
        "learners": len({learner.code for learner, _ in sittings}),
        "lessons": len(sittings),
        "minutes": minutes(each for _, each in sittings),
        "equations": len(tried),
        "alone": sum(one.outcome == "independent" for one in tried),
        "gained": sum(first <= when <= last for learner in learners for _, when in gained(learner)),
        "errors": [
            {"name": error_name(error), "learners": len(codes)}
            for error, codes in sorted(seen.items(), key=lambda pair: (-len(pair[1]), pair[0]))
        ],
    }


def _gone(learner: Learner, here: set[str]) -> list[str]:
    """Ideas that were held once and are not now: mended, or not seen again in all that came after."""
    wrong = [(each.equation, each.errors) for each in learner.errors]
    ends = [place for place in range(1, len(wrong) + 1) if place == len(wrong) or _new_day(learner, place)]
    held = {errors.split()[0] for end in ends for errors in repeated_errors(tuple(wrong[:end]))}
    return [error_name(error) for error in sorted(held - here - ARITHMETIC) if _rested(learner, error)]


def _new_day(learner: Learner, place: int) -> bool:
    return day(learner.errors[place].when) != day(learner.errors[place - 1].when)


def _rested(learner: Learner, error: str) -> bool:
    """Whether the learner worked on something since the error was last seen."""
    last = max((each.number for each in learner.errors if error in each.errors), default=-1)
    return any(one.number > last and one.worked_on for one in learner.tried.values())
