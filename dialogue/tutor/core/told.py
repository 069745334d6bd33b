"""What was told before in a lesson, so that the same answer never comes twice in the same words while there are
others."""

from collections.abc import Iterable, Set

from dialogue.tutor.core.state import State
from dialogue.verbalising.sayings import Reply, Saying

ANSWERS = ("answer ", "why ", "heard ", "you ", "yes, ", "no, ")  # how the keys of answers and of feelings begin
TO_A_QUESTION = ("answer ", "why ", "yes, ")  # and of those to a question, or of how an answer went
FELT_TOO, SLIP_TOO = ", felt", ", slip"  # how keys end of what is told of a step to whoever is upset beside it
ASIDE_FOR = 2  # turns for which it is remembered that something of a person's own was said (a choice)
CAME_TO = frozenset({"answer too big", "answer too small", "answer fails"})  # these tell what the sides came to

TO_THE_POINT = {"answer both sides": frozenset({"answer only written", "yes, alike"})}  # of two, the one that is kept


def is_answered_better(key: str, others: Set[str]) -> bool:
    """Whether one answer is not wanted beside others of the same turn."""
    if key == "answer missed":
        return any(other.startswith(TO_A_QUESTION) for other in others - {key})
    return not others.isdisjoint(TO_THE_POINT.get(key, ()))


def is_told(key: str) -> bool:
    """Whether a wording answers a question, or a feeling."""
    return key.startswith(ANSWERS)


def answers_in(replies: Iterable[Reply]) -> tuple[str, ...]:
    """The answers among the replies, by their keys; what was told to a feeling counts as told at all."""
    return tuple(reply.key.removesuffix(FELT_TOO).removesuffix(SLIP_TOO) for reply in replies if is_told(reply.key))


def was_left_out(state: State) -> bool:
    """Whether something of a person's own was said, or asked, just before this turn."""
    return state.aside_at is not None and 0 < state.turn + 1 - state.aside_at <= ASIDE_FOR


def told_least(state: State, *ways: Saying) -> Saying:
    """Of several ways to answer, the first of those that were told least often in this lesson."""
    return min(ways, key=lambda way: state.told.count(way.key))
