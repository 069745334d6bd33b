"""Equations that find out what a learner does alone, and do not teach.

The pre-check that places a newcomer goes on at the first sign: an answer is taken with the same words whether it is
right or wrong and is not put in; a step that breaks the balance, or a wish for help, ends the equation. The exit
equation of a lesson has no hints: who wishes for help is asked to try alone, and who wishes again is let go.
"""

from dataclasses import replace

from dialogue.tutor.advance import Advanced
from dialogue.tutor.events import Event
from dialogue.tutor.questions import begin_task, prompted
from dialogue.tutor.saying import Saying
from dialogue.tutor.state import State
from dialogue.tutor.table import CHECKING, OPEN

HELP = frozenset({"hint", "stuck", "example"})


def without_teaching(before: State, advanced: Advanced) -> Advanced:
    """The turn as it is in the pre-check and on an exit equation; any other turn as it was."""
    after, _, events = advanced
    if before.task.exit and before.phase in OPEN and any(event.kind in HELP for event in events):
        return _alone(before, events)
    if before.task.purpose != "place" or after.phase == "done" or after.place != before.place:
        return advanced
    if any(event.kind in HELP - {"example"} for event in events):
        return _over(after, advanced, "for later")
    if after.phase in CHECKING:  # an answer stands on the board, or was given
        fits = after.guess is not None and after.guess == after.task.equation.solution().value
        solved = (*after.solved, after.place) if fits else after.solved
        return _over(replace(after, solved=solved), advanced, "noted")
    if any(event.judgement is not None and event.judgement.balanced is False for event in events):
        return _over(after, advanced, "noted")
    return advanced


def _alone(state: State, events: tuple[Event, ...]) -> Advanced:
    if state.rung == 0:
        return Advanced(replace(prompted(state), rung=1), (Saying("try alone first"),), events)
    return _over(state, Advanced(state, (), events), "for later")


def _over(state: State, advanced: Advanced, key: str) -> Advanced:
    return Advanced(begin_task(state, state.place + 1), (Saying(key),), advanced.events)
