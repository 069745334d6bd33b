"""One step of the state machine: an event through the table, its effect, and the next phase."""

from dataclasses import replace
from typing import cast

from dialogue.tutor import checking, effects_steps, effects_talk, hints
from dialogue.tutor.events import Event, decide
from dialogue.tutor.saying import Effect, Outcome, Saying
from dialogue.tutor.state import Phase, State
from dialogue.tutor.table import ASK, BACK, DECIDED, PHASES, ROWS, SAME, row_for

MODULES = (effects_steps, checking, effects_talk, hints)
NAMES = {row.effect for _, _, row in ROWS} | {"nothing", "ask_again", "listen_again"}


def _effect(name: str) -> Effect:
    return next(cast(Effect, getattr(module, name)) for module in MODULES if hasattr(module, name))


EFFECTS: dict[str, Effect] = {name: _effect(name) for name in NAMES}


def advance(state: State, event: Event) -> Outcome:
    """The state after the event and what to say. Total: every phase and event has an answer."""
    row = row_for(state.phase, event.kind)
    before = state
    state, said = EFFECTS[row.effect](state, event)
    if row.next == BACK:
        return _back(before, state, event, said)
    return replace(state, phase=_next(row.next, before, state)), said


def _next(name: str, before: State, after: State) -> Phase:
    if name in {DECIDED, ASK}:
        return after.phase
    if name == SAME:
        return before.phase
    assert name in PHASES
    return name


def _back(before: State, state: State, event: Event, said: tuple[Saying, ...]) -> Outcome:
    """Return to the phase that was left; there, hear what was held, or what was said instead of yes or no."""
    state = replace(state, phase=before.back, held=None)
    meaning = before.held if event.kind == "yes" else event.meaning
    if before.phase == "confirm" and event.kind == "no":
        return state, said
    if (before.phase == "offer stop" and event.kind in {"no", "undo"}) or event.kind == "undo" or meaning is None:
        return state, said
    state, more = advance(state, decide(state, meaning))
    return state, (*said, *more)
