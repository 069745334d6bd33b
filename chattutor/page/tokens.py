"""Who a browser is, as a signed cookie that survives a restart of the server: no table of visitors is kept."""

import hmac
import time
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import sha256
from typing import Literal, TypeAlias, get_args

from chattutor.session_logs.learner_code import CODE

Role: TypeAlias = Literal["here", "learner", "teacher"]

HOURS = 14  # a cookie lasts for a school day and its evening


@dataclass(frozen=True, slots=True)
class Visitor:
    """``here``: opened from the address that the command printed; ``learner``: with a code; ``teacher``."""

    role: Role
    code: str = ""


class Tokens:
    """Gives out tokens and reads them back; ``room`` sets those of one class apart from those of another."""

    def __init__(self, secret: bytes, room: str = "", clock: Callable[[], float] = time.time) -> None:
        self._secret, self._room, self._clock = secret, room, clock

    def give(self, visitor: Visitor) -> str:
        """A token for the visitor, in letters that a cookie may hold."""
        body = f"{visitor.role}.{visitor.code}.{int(self._clock()) + HOURS * 3600}"
        return f"{body}.{self._mac(body)}"

    def read(self, token: str, role: Role) -> Visitor | None:
        """The visitor of this role that the token was given to; None for any other text."""
        body, _, mac = token.rpartition(".")
        parts = body.split(".")
        if not token.isascii() or not hmac.compare_digest(mac, self._mac(body)) or len(parts) != 3:
            return None
        kind, code, until = parts
        if kind != role or kind not in get_args(Role) or not until.isdecimal() or int(until) < self._clock():
            return None
        return Visitor(role, code) if not code or CODE.fullmatch(code) else None

    def _mac(self, body: str) -> str:
        return hmac.new(self._secret, f"{self._room}|{body}".encode(), sha256).hexdigest()
