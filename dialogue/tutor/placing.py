"""What counts of a turn in the pre-check: a question beside a step or an answer is no wish for help, and what was only
guessed at beside it is never judged wrong."""

from dialogue.acts import Act, Ask, Interpretation, Say
from dialogue.tutor.assess import decide
from dialogue.tutor.core.events import Event, Judged
from dialogue.tutor.core.state import State, Utterance
from dialogue.tutor.ordering import CONTENT


def in_precheck(state: State, said: Utterance, acts: tuple[Act, ...], found: Interpretation | None) -> tuple[Act, ...]:
    """The acts that are heard where the lesson finds out what somebody does alone; elsewhere all of them."""
    if state.task.purpose != "place" or found is None:
        return acts
    if state.phase == "reconsider" and acts == (Say("stuck"),):
        return (Say("no"),)  # asked whether to keep a move: no help was asked for
    if not found.sure and "?" in said.text and acts and all(map(_is_help, acts)):
        return (Ask("meaning"),)
    asks = any(isinstance(act, (*CONTENT, Ask)) and not _is_help(act) for act in acts)
    kept = tuple(act for act in acts if not (asks and _is_help(act)))
    guessed = found.guessed
    doubtful = [act for act in kept if guessed and isinstance(act, CONTENT) and _is_wrong(decide(state, act))]
    return tuple(act for act in kept if act not in doubtful) or kept


def _is_help(act: Act) -> bool:
    return act == Say("stuck") or (isinstance(act, Ask) and act.what in {"hint", "answer"})


def _is_wrong(event: Event) -> bool:
    return isinstance(event, Judged) and event.judgement.balanced is False
