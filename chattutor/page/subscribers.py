"""The windows that look at each lesson, and what is waiting to be sent to each."""

import asyncio
from collections import defaultdict
from typing import Any, TypeAlias

MOST_WAITING = 64  # messages for a window that takes none; more than that, and it is let go
MOST_WINDOWS = 6  # of one learner
CHANGED: dict[str, Any] = {"what": "changed"}  # never sent itself: the lesson as it then stands is

Mailbox: TypeAlias = asyncio.Queue[dict[str, Any] | None]


class Subscribers:
    """Use it in the event loop alone."""

    def __init__(self) -> None:
        self._boxes: dict[str, set[Mailbox]] = defaultdict(set)

    def join(self, code: str) -> Mailbox | None:
        """A mailbox for one more window of the learner; None where there are too many."""
        if len(self._boxes[code]) >= MOST_WINDOWS:
            return None
        box: Mailbox = asyncio.Queue(MOST_WAITING)
        self._boxes[code].add(box)
        return box

    def leave(self, code: str, box: Mailbox) -> None:
        """The window has gone."""
        self._boxes[code].discard(box)
        if not self._boxes[code]:
            del self._boxes[code]

    def tell(self, code: str) -> None:
        """Have every window of the learner show the lesson anew."""
        for box in self._boxes.get(code, ()):
            post(box, CHANGED)

    def watched(self, code: str) -> bool:
        """Whether any window of the learner is open."""
        return bool(self._boxes.get(code))


def post(box: Mailbox, message: dict[str, Any] | None) -> None:
    """Put a message in; a window that takes none is told to end instead (None)."""
    if box.full():
        while not box.empty():
            box.get_nowait()
        message = None
    box.put_nowait(message)
