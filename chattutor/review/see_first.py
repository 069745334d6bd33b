"""Whom to see first, and why, in the learner's own words; and everybody else, so that nobody is left out.

Four kinds, and one before them: something an adult should hear. All but that one are of a learner's latest lesson.
"""

from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple, TypeAlias

from chattutor.review.error_patterns import Idea, ideas, plainest
from chattutor.review.evidence import Learner, Tried
from chattutor.review.phrasing import counted, error_names, on_board

SeeFirstKind: TypeAlias = Literal["to tell", "idea", "stuck", "little", "guesses"]
HEADINGS: dict[SeeFirstKind, str] = {
    "to tell": "Said something an adult should hear",
    "idea": "Holds an idea",
    "stuck": "Is stuck",
    "little": "Did little or nothing",
    "guesses": "Guesses instead of undoing",
}
STUCK = 5  # turns in a row at one question (a choice)
MANY_CALLS = 3  # for help on one equation that was not got right alone (a choice)
LITTLE = 3  # steps and answers of a lesson that are little (a choice)
LEFT = frozenset({"not yet", "not attempted"})
TWICE = 2  # equations: left unfinished, shown, or guessed
QUESTIONS = {  # phases of the tutor, for a teacher
    "operations": "what happens to the unknown",
    "first": "which operation to undo first",
    "move": "what to do to both sides",
    "left": "what the left side becomes",
    "right": "what the right side becomes",
    "line": "what the line becomes",
    "check left": "putting the answer in",
    "check right": "putting the answer in",
    "count": "how many numbers solve it",
    "mend": "mending one side",
    "reconsider": "whether to keep a step",
    "spot": "finding the tutor's slip",
    "compare": "comparing two ways",
}


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a learner is to be seen first; ``weight`` orders those of one kind, the most pressing first."""

    kind: SeeFirstKind
    why: str
    line: str = ""
    said: str = ""
    weight: int = 0
    idea: Idea | None = None


class ToSee(NamedTuple):
    """A learner who is to be seen first: the kind's place among the kinds, how pressing (the least first), the row."""

    kind: int
    pressing: int
    row: dict[str, Any]


def to_see(learner: Learner) -> ToSee | None:
    """The kind, the reason, and what else there is; None for a learner who is getting on."""
    reasons = reasons_for(learner)
    if not reasons:
        return None
    return ToSee(list(HEADINGS).index(reasons[0].kind), -reasons[0].weight, _row(learner, reasons))


def reasons_for(learner: Learner) -> list[Reason]:
    """All the reasons there are, the most pressing first; none for a learner who is getting on."""
    if learner.to_tell:
        return [Reason("to tell", f"{HEADINGS['to tell']} about: follow your safeguarding procedure")]
    latest = _latest(learner)
    held = _held(learner, latest_lesson(learner))
    if (idle := _little(learner, latest)) is not None:
        before = [] if held else _held(learner, last_worked(learner))
        earlier = [replace(each, why=f"{each.why}, in an earlier lesson") for each in before]
        return [*held, _asking(learner, latest) or idle, *earlier]
    return [each for each in (*held, _guesses(latest), _stuck(latest, is_named=bool(held))) if each is not None]


def latest_lesson(learner: Learner) -> str:
    """When the latest lesson began; a lesson resumed began with its first sitting."""
    return max((tried.when for tried in learner.tried.values()), default="")


def _latest(learner: Learner) -> list[Tried]:
    when = latest_lesson(learner)
    return [tried for tried in learner.tried.values() if tried.when == when and tried.counts]


def last_worked(learner: Learner) -> str:
    """When the last lesson began in which something was done."""
    return max((tried.when for tried in learner.tried.values() if tried.worked_on), default="")


def _held(learner: Learner, when: str) -> list[Reason]:
    """The ideas that the lesson of that time, or one since, showed again."""
    held = [idea for idea in ideas(learner) if not idea.mended and idea.seen[-1].when >= when]
    found = []
    for idea in sorted(held, key=lambda each: -each.equations):
        seen = plainest(idea.seen)
        why = f"{error_names(idea.errors)}, on {idea.equations} equations"
        found.append(Reason("idea", why, seen.line, seen.said, len(idea.seen), idea))
    return found


def _stuck(latest: list[Tried], is_named: bool) -> Reason | None:
    """Long at one question, calling for help, or left with several equations unfinished or shown; with what else there
    is to say of wrong steps where no idea is named, which may be an idea that is in no table."""
    hard = [one for one in latest if one.outcome in {"not yet", "shown", "prompted"}]
    at = max(hard, key=lambda one: (one.mark.longest, one.mark.calls), default=None)
    if at is not None and (at.mark.longest >= STUCK or at.mark.calls >= MANY_CALLS):
        mark = at.mark
        where = QUESTIONS.get(mark.phase, "one question")
        why = f"Stayed {counted(mark.longest, 'turn')} at {where}"
        if mark.longest < STUCK:
            why = f"Asked for help {counted(mark.calls, 'time')}, mostly at {where}"
        elif mark.calls:
            why += f", asked for help {counted(mark.calls, 'time')}"
        return Reason("stuck", why, mark.line or at.equation, mark.said, mark.longest + mark.calls)
    for outcome, words in (("not yet", "Did not finish"), ("shown", "Was shown a step on")):
        some = [one for one in latest if one.outcome == outcome]
        tried = sum(one.worked_on for one in latest)
        if len(some) >= TWICE or (some and len(some) == tried and outcome == "shown"):
            last = some[-1]
            wrong = 0 if is_named else sum(one.mark.wrong > 0 for one in latest)
            why = f"{words} {len(some)} of {counted(tried, 'equation')}"
            why += f", wrong steps on {wrong} that no one idea explains" if wrong >= TWICE else ""
            return Reason("stuck", f"{why}, last", last.equation, last.mark.said, len(some))
    return None


def _little(learner: Learner, latest: list[Tried]) -> Reason | None:
    """Hardly a step or an answer in the whole lesson, though equations were there; one that was solved is something."""
    sittings = [one for one in learner.lessons if one.when >= latest_lesson(learner)]
    said = next((one.words for one in reversed(sittings) if one.words), "")
    left = [one for one in latest if _left_lightly(one)]
    done = sum(one.mark.numbers + one.mark.undoing for one in left)
    if len(left) >= TWICE and 2 * done <= len(left) and all(one.outcome != "shown" for one in latest):
        reached = sum(one.mark.longest > 0 for one in latest)
        why = f"Left {len(left)} of {counted(reached, 'equation')} with {_works(done)} among them, last"
        return Reason("little", why, left[-1].equation, left[-1].mark.said or said, len(left) - done)
    work = sum(one.work for one in sittings)
    if not sittings or work >= LITTLE or any(one.mark.solved for one in latest):
        return None
    if work and sum(one.mark.calls for one in latest) >= MANY_CALLS:  # tried, and asked for help: stuck
        return None
    turns = sum(one.turns for one in sittings)
    why = f"Said {counted(turns, 'thing')}, {_works(work)} among them"
    return Reason("little", why if turns else "Said nothing", said=said, weight=LITTLE - work)


def _asking(learner: Learner, latest: list[Tried]) -> Reason | None:
    """Of who did little: that they asked for help again and again, which is no idling."""
    asks = sum(one.mark.asks for one in latest)
    if asks < MANY_CALLS:
        return None
    at = max(latest, key=lambda one: (one.mark.asks, one.mark.longest))
    work = sum(one.work for one in learner.lessons if one.when >= latest_lesson(learner))
    why = f"Asked for help {counted(asks, 'time')}, most at {QUESTIONS.get(at.mark.phase, 'one question')}, "
    why += f"with {_works(work)} besides"
    return Reason("stuck", why, at.mark.line or at.equation, at.mark.said, asks)


def _left_lightly(one: Tried) -> bool:
    """Whether an equation that was reached was left without staying at it and without calling for help much."""
    return one.outcome in LEFT and 0 < one.mark.longest < STUCK and one.mark.calls < MANY_CALLS


def _works(number: int) -> str:
    return counted(number, "step or answer", "steps or answers")


def _guesses(latest: list[Tried]) -> Reason | None:
    some = [one for one in latest if one.by_trial]
    if len(some) < TWICE:
        return None
    at = max(some, key=lambda one: one.mark.numbers)
    why = f"Tried numbers on {counted(len(some), 'equation')} instead of undoing, for example {at.mark.numbers} on"
    return Reason("guesses", why, at.equation, at.mark.said, len(some))


def _row(learner: Learner, reasons: list[Reason]) -> dict[str, Any]:
    """``reason`` is the whole sentence; the rest are its parts, for pages that set equations."""
    first, *others = reasons
    seen = f": {on_board(first.line)}" if first.line else ""
    seen += f"{' then' if first.line else ', last'} “{first.said}”" if first.said else ""
    note = learner.note
    return {
        "code": learner.code,
        "kind": first.kind,
        "reason": f"{first.why}{seen}." + (f" Note: {note}" if note else ""),
        "why": first.why,
        "line": first.line,
        "said": first.said,
        "note": note,
        "idea": list(first.idea.errors) if first.idea else [],
        "also": [each.why.removesuffix(", last").removesuffix(" on") for each in others],
    }
