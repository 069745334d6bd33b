"""The pre-check that places a newcomer: it finds out and does not teach, so it goes on at the first sign.

An answer is taken with the same words whether it is right or wrong and is not put in; a step that breaks the balance,
or a wish for help, ends the equation.
"""

from dataclasses import replace

from dialogue.tutor.advance import Advanced
from dialogue.tutor.questions import begin_task
from dialogue.tutor.saying import Saying
from dialogue.tutor.state import State
from dialogue.tutor.table import CHECKING


def without_teaching(before: State, advanced: Advanced) -> Advanced:
    """The turn as it is in the pre-check; any other turn as it was."""
    after, _, events = advanced
    if before.task.purpose != "place" or after.phase == "done" or after.place != before.place:
        return advanced
    if any(event.kind in {"hint", "stuck"} for event in events):
        return _over(after, advanced, "for later")
    if after.phase in CHECKING:  # an answer stands on the board, or was given
        fits = after.guess is not None and after.guess == after.task.equation.solution().value
        solved = (*after.solved, after.place) if fits else after.solved
        return _over(replace(after, solved=solved), advanced, "noted")
    if any(event.judgement is not None and event.judgement.balanced is False for event in events):
        return _over(after, advanced, "noted")
    return advanced


def _over(state: State, advanced: Advanced, key: str) -> Advanced:
    return Advanced(begin_task(state, state.place + 1), (Saying(key),), advanced.events)
