"""Equations given for a purpose: how each is introduced, and those that find out what a learner does alone.

The pre-check that places a newcomer goes on at the first sign: of an answer it is said whether it is right, and it
is not put in. What is wrong may be put right once, after a look at what it comes to; a second wrong step, or a wish for
help, ends the equation. What was asked beside it is answered. The exit equation of a
lesson has no hints: whoever asks for help is asked to try alone, and whoever asks again may leave it.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import get_args

from dialogue.acts import CONTENT, Act, Ask, Comment, Interpretation, Mood, Say
from dialogue.algebra.equation import Equation
from dialogue.algebra.solver import solve_by_steps
from dialogue.tutor.activities.balance_scene import opening
from dialogue.tutor.core.course import kind
from dialogue.tutor.core.events import VERDICTS, Advanced, Event, Judged
from dialogue.tutor.core.mistakes import what_it_comes_to
from dialogue.tutor.core.questions import back_to_work, go_on_to, prompted, solved_here
from dialogue.tutor.core.state import CHECKING, OPEN, State, Task, Utterance
from dialogue.tutor.core.told import is_told
from dialogue.verbalising.sayings import Filling, Saying

KEPT = frozenset({"glossary", "not nearer", *(f"heard {mood}" for mood in get_args(Mood))}) - {"heard bored"}
SEEN = frozenset({"notice", "reason", "rule", "goal"})  # talk that shows what somebody sees
HELP = frozenset({"hint", "stuck", "example", "tell me"})


def in_precheck(
    state: State, said: Utterance, acts: tuple[Act, ...], found: Interpretation | None, is_wrong: Callable[[Act], bool]
) -> tuple[Act, ...]:
    """The acts that are heard where the lesson finds out what somebody does alone; elsewhere all of them. A question
    beside a step or an answer is no wish for help, and what was only guessed at beside it is never judged wrong."""
    if state.task.purpose != "place" or found is None:
        return acts
    if state.phase == "reconsider" and acts == (Say("stuck"),):
        return (Say("no"),)  # asked whether to keep a move: no help was asked for
    if not found.sure and "?" in said.text and acts and all(map(_is_help, acts)):
        return (Ask("meaning"),)
    if acts and all(map(_is_help, acts)) and any(isinstance(act, Comment) and act.kind in SEEN for act in found.acts):
        return (Comment("notice"),)  # "idk. they're stuck together": something seen, to go on from
    asks = any(isinstance(act, (*CONTENT, Ask)) and not _is_help(act) for act in acts)
    kept = tuple(act for act in acts if not (asks and _is_help(act)))
    doubtful = [act for act in kept if found.guessed and isinstance(act, CONTENT) and is_wrong(act)]
    return tuple(act for act in kept if act not in doubtful) or kept


def _is_help(act: Act) -> bool:
    return act == Say("stuck") or (isinstance(act, Ask) and act.what in {"hint", "answer"})


def without_teaching(before: State, advanced: Advanced) -> Advanced:
    """The turn as it is in the pre-check and on an exit equation; any other turn as it was."""
    after, _, events = advanced
    if before.task.exit and before.phase in OPEN and any(event.kind in HELP for event in events):
        return _alone(before, events)
    if before.task.purpose != "place" or after.phase == "done" or after.place != before.place:
        return advanced
    if any(event.kind in HELP - {"example"} for event in events):
        return _over(after, advanced, "for later")
    if after.phase in CHECKING and after.guess is not None:  # an answer stands on the board, or was given
        if after.guess == after.task.equation.solution().value:
            return _over(solved_here(prompted(after) if before.slips else after), advanced, "noted right")
        return _over(after, advanced, "noted wrong") if before.slips else _once_more(after, after.guess, advanced)
    if any(isinstance(event, Judged) and event.judgement.balanced is False for event in events):
        if before.slips:
            return _over(after, advanced, "noted wrong")
        return advanced._replace(state=replace(after, slips=1))
    return advanced


def _alone(state: State, events: tuple[Event, ...]) -> Advanced:
    if state.rung == 0:
        return Advanced(replace(prompted(state), rung=1), (Saying("try alone first"),), events)
    return _over(state, Advanced(state, (), events), "for later")


def _once_more(state: State, guess: Fraction, advanced: Advanced) -> Advanced:
    """A wrong answer: what it comes to, and one more try."""
    again = back_to_work(replace(state, tried=(*state.tried, guess), slips=1))
    said = (what_it_comes_to(state.task.equation, guess), Saying("once more"))
    return Advanced(again, said, advanced.events)


def _over(state: State, advanced: Advanced, key: str) -> Advanced:
    values: dict[str, Filling] = {} if state.guess is None else {"guess": state.guess}
    kept = tuple(saying for saying in advanced.said if _is_answer(saying))[:1]
    wrong = state.guess if key == "noted wrong" else None
    seen = () if wrong is None else (what_it_comes_to(state.task.equation, wrong),)
    return Advanced(go_on_to(state, state.place + 1), (Saying(key, values), *seen, *kept), advanced.events)


def _is_answer(saying: Saying) -> bool:
    """Whether it answers a question or a mood, and is no part of what is judged."""
    asked = is_told(saying.key) and not saying.key.startswith("heard ") and not saying.key.startswith("answer right")
    return (asked and saying.key not in VERDICTS) or saying.key in KEPT


INTRODUCED = {
    "earlier": "give earlier",
    "return": "give return",
    "model": "give after model",
    "last": "give last",
    "exit": "give exit",
}


def introduced(task: Task, before: Task | None, opened: bool) -> tuple[Saying, ...]:
    """What is said before the line. ``before`` is the task before it, None for the first of a lesson; ``opened``:
    whether the plan is an open one, whose equations are chosen one by one."""
    said: list[Saying] = []
    if opened:
        if task.purpose == "place":
            said.append(Saying("next" if before is not None and before.purpose == "place" else "give place"))
        elif before is not None and before.purpose == "place":
            said.append(Saying("placed"))
        elif before is not None and task.purpose not in INTRODUCED:
            said.append(Saying("next"))
    if task.model is not None:
        if before is not None and before.stage:
            said.append(Saying("model after failures", {"kind": kind(before.stage)}))
        said += worked(task.model)
    again = task.purpose == "earlier" and before is not None and before.purpose in {"earlier", "place"}
    if again and not said:
        said.append(Saying("next"))
    elif opened and task.purpose in INTRODUCED and not again:
        said.append(Saying(INTRODUCED[task.purpose]))
    if task.story:
        said.append(Saying("story", {"story": task.story}))
    return (*said, *(opening() if task.scene else ()))


def worked(equation: Equation) -> Iterator[Saying]:
    """An equation worked from start to end, a step a saying: the model that a learner goes back to."""
    yield Saying("model worked", {"other": equation})
    for place, each in enumerate(solve_by_steps(equation)):
        yield Saying("worked then" if place else "worked first", {"step": each.step, "after": each.equation})
