"""When a session was held, although the clock of a computer may have been wrong then; and the days that a review is
of.
"""

from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from chattutor.session_logs.reader import read_session
from chattutor.session_logs.transcript import local

# no lesson was held before there was this program: a clock that says so is wrong
FIRST = datetime(2020, 1, 1, tzinfo=UTC)


def held_at(path: Path, created: str, now: datetime) -> datetime | None:
    """The earliest time that can be trusted of what a session log has: when it says that it was begun, else when its
    turns were, else when its file was last changed; None where each is in the future or before this program was."""
    if (begun := _trusted(created, now)) is not None:
        return begun
    session = read_session(path)
    stamps = [turn.at for turn in session.turns] + ([session.end.at] if session.end else [])
    return _earliest(_trusted(stamp, now) for stamp in stamps) or changed_at(path, now)


def changed_at(path: Path, now: datetime) -> datetime | None:
    """When a file was last changed, if that can be trusted."""
    try:
        return _within(datetime.fromtimestamp(path.lstat().st_mtime, UTC), now)
    except (OSError, ValueError, OverflowError):
        return None


def _trusted(stamp: str, now: datetime) -> datetime | None:
    try:
        found = datetime.fromisoformat(stamp)
    except ValueError:
        return None
    return _within(found if found.tzinfo else found.replace(tzinfo=UTC), now)


def _within(found: datetime, now: datetime) -> datetime | None:
    return found if FIRST <= found <= now else None


def _earliest(found: Iterable[datetime | None]) -> datetime | None:
    return min((each for each in found if each is not None), default=None)


class Days(NamedTuple):
    """From one day to another, both in it, as YYYY-MM-DD on the clock of this place; empty: no bound."""

    since: str = ""
    until: str = ""

    def hold(self, created: str) -> bool:
        """Whether a session of this time is of these days."""
        return self == EVERY_DAY or self.since <= local(created)[:10] <= (self.until or "9")


EVERY_DAY = Days()
