"""One step of the state machine: an event through the table, its effect, and the next phase."""

from dataclasses import replace
from typing import cast

from dialogue.tutor.activities import balance_scene, compare_routes, diagnosis, reasons, slip_game
from dialogue.tutor.activities.reasons import CREDITED, CREDITED_MOVES
from dialogue.tutor.assess import decide
from dialogue.tutor.core.events import Advanced, Effect, Event
from dialogue.tutor.core.state import Phase, State
from dialogue.tutor.core.table import ASK, BACK, DECIDED, DEFAULTS, ROWS, SAME, row_for
from dialogue.tutor.moves import checking, hints, solving, talking

MODULES = (solving, checking, talking, slip_game, hints, reasons, compare_routes, balance_scene, diagnosis)
NAMES = {"ask_again", *(row.effect for _, _, row in ROWS), *(row.effect for row in DEFAULTS.values())}

NOT_HEARD = frozenset({"unclear", "unheard", "doubtful", "no", "silence"})  # these leave the doubts in a row counted


def _effect(name: str) -> Effect:
    return next(cast(Effect, getattr(module, name)) for module in MODULES if hasattr(module, name))


EFFECTS: dict[str, Effect] = {name: _effect(name) for name in sorted(NAMES)}


def advance(state: State, event: Event) -> Advanced:
    """The event through the table. Total: every phase and event has an answer."""
    row = row_for(state.phase, event.kind)
    after, said = EFFECTS[row.effect](state, event)
    if event.kind != "silence":
        after = replace(after, silences=0)
    if event.kind not in NOT_HEARD:
        after = replace(after, doubts=0)
    if row.next != BACK:
        chosen = {SAME: state.phase, ASK: after.phase, DECIDED: after.phase}.get(row.next, row.next)
        return Advanced(replace(after, phase=cast(Phase, chosen)), said, (event,))
    so_far = Advanced(replace(after, phase=state.back, held=None), said, (event,))
    match row.effect:
        case "heard_right":
            return _then(so_far, _held(state, so_far.state))
        case "heard_reason":
            return _credit(_then(so_far, _held(state, so_far.state)), event)
        case "listen_again":
            return _then(so_far, _instead(event, so_far.state))
    return so_far


def _then(so_far: Advanced, event: Event) -> Advanced:
    state, said, events = advance(so_far.state, event)
    return Advanced(state, (*so_far.said, *said), (*so_far.events, *events))


def _held(before: State, state: State) -> Event:
    """The held meaning, judged only now: a wrong step confirmed stays wrong."""
    assert before.held is not None
    return decide(state, before.held)


def _instead(event: Event, state: State) -> Event:
    """What was said instead of yes or no; what was heard in doubt stays in doubt."""
    if event.meaning is None or event.kind == "doubtful":
        return event
    return decide(state, event.meaning)


def _credit(so_far: Advanced, event: Event) -> Advanced:
    """A right step said where a reason was asked for counts; anything else there was the reason."""
    if event.meaning is None or event.kind == "doubtful":
        return so_far
    further = decide(so_far.state, event.meaning)
    wanted = CREDITED_MOVES if so_far.state.phase in {"move", "mend"} else CREDITED
    return _then(so_far, further) if further.kind in wanted else so_far
