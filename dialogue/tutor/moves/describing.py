"""What the table's effects do when the learner tells what happens to the unknown, or names a term of the line."""

from dataclasses import replace

from dialogue.acts import Describe
from dialogue.algebra.operations import Done, operations_on
from dialogue.tutor.core.events import Described, Event, Outcome, Valued
from dialogue.tutor.core.questions import after_operations, back_to_work, operations_kind
from dialogue.tutor.core.state import State
from dialogue.tutor.moves.hints import one_rung_down
from dialogue.tutor.moves.of_factors import as_lots
from dialogue.verbalising.sayings import Saying

HINT_AFTER = 2  # failures to describe what happens to the unknown


def operations_right(state: State, event: Described) -> Outcome:
    """What happens to the unknown, described rightly."""
    if state.rung == 0 and state.tries == 0:
        state = state.counted("operations").counted(operations_kind(operations_on(state.equation)))
    return after_operations(replace(state, tries=0, described=())), (
        Saying("operations right" if len(operations_on(state.equation)) > 1 else "operation right"),
    )


def what_undoes(state: State, event: Described) -> Outcome:
    """What happens to the unknown, told rightly while a move is asked for: what undoes it is the move. Said again, it
    brings nothing new: one rung down."""
    topic = event.told[-1].operand
    if state.phase == "move" and state.topic == topic:
        return one_rung_down(state)
    return back_to_work(replace(state, topic=topic)), (Saying("what undoes that"),)


def operations_begun(state: State, event: Described) -> Outcome:
    """The first of what happens to the unknown: the rest is asked for."""
    topic = event.told[-1].operand
    return replace(state, described=event.told, topic=topic), (Saying("operations begun", {"unknown": state.letter}),)


def operations_unordered(state: State, event: Described) -> Outcome:
    """What is done was told, but not from the unknown outwards: not wrong, and the first is asked for."""
    return replace(state, described=()), (Saying("operations unordered", {"unknown": state.letter}),)


def operations_wrong(state: State, event: Described) -> Outcome:
    """Not what happens to the unknown: again, then a smaller question."""
    state = replace(state, tries=state.tries + 1, described=())
    asked = operations_on(state.equation)
    joined = _joined(state, event.told)
    if joined is not None and any(reply.key == "hint means" for reply in state.last):  # never twice in the same words
        return one_rung_down(replace(state, rung=max(state.rung, 1)))
    if joined is not None and (lots := as_lots(state, joined.action)) is not None:
        return replace(state, topic=joined.operand), (lots,)
    taken = asked and asked[-1].action == "take from"
    return _smaller_or(state, Saying("operations from" if taken else "operations wrong", {"unknown": state.letter}))


def takes_for_a_sum(state: State, act: Describe) -> bool:
    """Whether a number beside the unknown, which multiplies it, is told as added on, or taken off."""
    return _joined(state, act.operations) is not None


def _joined(state: State, told: tuple[Done, ...]) -> Done | None:
    factors = [done.operand for done in operations_on(state.equation) if done.action == "multiply"]
    return next((one for one in told if one.action in {"add", "subtract"} and one.operand in factors), None)


def name_the_operation(state: State, event: Event) -> Outcome:
    """A value where operations were asked for."""
    return state, (Saying("name the operation"),)


def term_named(state: State, event: Valued) -> Outcome:
    """A term of the equation, named as the one to begin with."""
    state = state.counted("first") if state.rung == 0 and state.tries == 0 else state
    state = replace(back_to_work(state), tries=0, topic=event.value)
    return state, (Saying("term named", {"term": event.value}),)


def what_of_the_term(state: State, event: Valued) -> Outcome:
    """A number named where it was asked what is done: what is done with it; told again, it is the one to begin with."""
    if state.topic == event.value:
        return term_named(state, event)
    return replace(state, topic=event.value), (Saying("what of the term", {"term": event.value}),)


def term_unknown(state: State, event: Valued) -> Outcome:
    """No term of the equation: again, then a smaller question."""
    return _smaller_or(replace(state, tries=state.tries + 1), Saying("term unknown", {"unknown": state.letter}))


def _smaller_or(state: State, said: Saying) -> Outcome:
    """After two failures a smaller question; after three the question is answered, for it shows no step."""
    return (state, (said,)) if state.tries < HINT_AFTER else one_rung_down(state)
