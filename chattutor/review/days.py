"""The days that a review is of."""

from typing import NamedTuple

from chattutor.session_logs.transcript import local


class Days(NamedTuple):
    """From one day to another, both in it, as YYYY-MM-DD on the clock of this place; empty: no bound."""

    since: str = ""
    until: str = ""

    def hold(self, created: str) -> bool:
        """Whether a session of this time is of these days."""
        return self == ALL or self.since <= local(created)[:10] <= (self.until or "9")


ALL = Days()
