"""The order in which a folder's sessions are taken, for whoever reads all of them, and what was written of them.

The file names' order but for two things: a spoilt copy in a folder that is not its learner's never stands before a
whole one, and a sitting comes after the one it goes on with, also where the clock was set back between them.
"""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Generic, TypeVar

from chattutor.common.exits import LogTrouble
from chattutor.session_logs.file_stamps import Stamp
from chattutor.session_logs.notes import Notes, read_notes

Taken = TypeVar("Taken")


class Sittings(Generic[Taken]):
    """Sessions on their way: each comes out once all that it goes on with has, with the lesson that it is part of."""

    def __init__(self) -> None:
        self._lesson_of: dict[str, str] = {}
        self._early: dict[str, list[tuple[Taken, str]]] = {}  # by the sitting that they go on with

    def take(self, item: Taken, name: str, before: str) -> Iterator[tuple[Taken, str]]:
        """The session of this id, which goes on with another (empty: with none), and those that waited for it; each
        with its lesson: empty for a copy and for what is no session log."""
        if before and before not in self._lesson_of:
            self._early.setdefault(before, []).append((item, name))
            return
        yield from self._out(item, name, before)

    def rest(self) -> Iterator[tuple[Taken, str]]:
        """Those that still wait: there are no more files."""
        while self._early:
            before = next(iter(self._early))
            for item, name in self._early.pop(before):
                yield from self._out(item, name, before)

    def _out(self, item: Taken, name: str, before: str) -> Iterator[tuple[Taken, str]]:
        waiting = [(item, name, before)]
        while waiting:
            item, name, before = waiting.pop(0)
            if not name or name in self._lesson_of:
                yield item, ""
            else:
                self._lesson_of[name] = self._lesson_of.get(before, name)
                yield item, self._lesson_of[name]
            waiting += [(other, its, name) for other, its in self._early.pop(name, ())]


def is_stray(path: str, learner: str, spoilt: bool) -> bool:
    """Whether it is to be taken after all others."""
    return spoilt and os.path.basename(os.path.dirname(path)) != learner


def notes_by_learner(folder: Path, notes: list[Stamp]) -> tuple[dict[str, Notes], list[tuple[str, str]]]:
    """What teachers wrote, by learner; and the names of notes that cannot be read, each with why."""
    found: dict[str, Notes] = {}
    faulty: list[tuple[str, str]] = []
    for stamp in notes:
        home, _, rest = stamp.name.partition(os.sep)
        if rest and os.sep not in rest:
            try:
                found[home] = read_notes(folder, home)
            except LogTrouble as trouble:
                faulty.append((stamp.name, trouble.sentence))
    return found, faulty
