"""When a turn brought nothing, and it is time to go a rung of help down."""

from dialogue.acts import Ask, Refused
from dialogue.tutor.core.events import Event, EventKind
from dialogue.tutor.core.state import Phase, State
from dialogue.verbalising.sayings import Reply

PATIENCE = 8  # turns on one line that bring nothing, after which each further one goes one rung down (a choice)
OFFERED: frozenset[EventKind] = frozenset(
    {"move level", "move part", "line broken", "line level", "sum wrong", "value wrong"}
)  # work
LISTENS: frozenset[Phase] = frozenset({"done", "between", "paused"})  # nobody is hurried there


def is_stuck(before: State, after: State, replies: tuple[Reply, ...], first: Event) -> bool:
    """Whether a turn brought nothing and it is time to go a rung down: too many such turns on one line, or the very
    words of the two turns before would come a third time. Silence is never hurried, and who wants no hint gets none."""
    if after.phase in LISTENS or first.kind in {"silence", "distress"} or after.place != before.place:
        return False
    if isinstance(first.act, Refused) and first.act.of == Ask("hint"):
        return False
    if after.phase == "offer stop" != before.phase:  # whether to stop is asked before anything else
        return False
    if len(after.board) > before.deepest or len(after.solved) > len(before.solved):
        return False
    if brought(before, after, first) and before.idle < 2 * PATIENCE:
        return False
    patience = 2 * PATIENCE if first.kind in OFFERED else PATIENCE
    return before.idle >= patience or heard_twice(before, replies)


def brought(before: State, after: State, first: Event) -> bool:
    """Whether a turn brought something on the way to the next line."""
    if first.kind in {"value right", "described", "described part", "line kept", "value of other side"}:
        return True
    moved = after.pending is not None and after.pending != before.pending and first.kind != "move level"
    return moved or (first.kind == "answer" and after.guess is not None and after.guess != before.guess)


def heard_twice(before: State, replies: tuple[Reply, ...]) -> bool:
    """Whether a text of these was in both of the last two turns."""
    return len(before.said) > 1 and any(text in before.said[0] and text in before.said[1] for text in texts(replies))


def texts(replies: tuple[Reply, ...]) -> tuple[str, ...]:
    """The words of the replies, but for the line."""
    return tuple(reply.text for reply in replies if reply.key != "line")
