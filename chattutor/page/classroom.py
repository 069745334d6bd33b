"""A class that joins over the local network: its join code of the day, and a PIN for each learner.

Both are computed from the secret of this computer, so that they are the same after a restart and stand in no file. A
join code keeps strangers out of the room; a PIN keeps learners out of each other's lessons. Tries are few.
"""

import hmac
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from pathlib import Path

from chattutor.exchange.name_list import names_in
from chattutor.exchange.roster import LETTERS
from chattutor.page.request_guard import Rates

JOIN_LENGTH, PIN_LENGTH = 6, 4
TRIES, WAIT = 5, 30.0  # PINs of a learner tried at one device, and seconds until the next: 10,000 take three days
DEVICE_TRIES, DEVICE_WAIT = 20, 3.0  # of one address, which a class may share


@dataclass(slots=True)
class Classroom:
    """``keys`` are class lists; with any, only the learners in them may join. ``origins``: the class's addresses."""

    secret: bytes
    origins: frozenset[str] = frozenset()
    keys: tuple[Path, ...] = ()
    today: Callable[[], date] = date.today
    _pins: Rates = field(default_factory=lambda: Rates(TRIES, 1 / WAIT))
    _devices: Rates = field(default_factory=lambda: Rates(DEVICE_TRIES, 1 / DEVICE_WAIT))

    @property
    def join(self) -> str:
        """The join code of today."""
        mac = self._mac(f"join {self.today().isoformat()}")
        return "".join(LETTERS[byte % len(LETTERS)] for byte in mac[:JOIN_LENGTH])

    def pin(self, code: str) -> str:
        """A learner's PIN."""
        return f"{int.from_bytes(self._mac(f'pin {code}')[:8]) % 10**PIN_LENGTH:0{PIN_LENGTH}}"

    def listed(self) -> dict[str, str]:
        """Code to name of everybody in the class lists. Raises LogTrouble."""
        return {code: name for key in self.keys for code, name in names_in(key).names.items()}

    def may_try(self, code: str, device: str) -> bool:
        """Whether one more try is allowed, which is then counted."""
        return self._devices.allow(device) and self._pins.allow(f"{code} {device}")

    def lets_in(self, join: str, code: str, pin: str) -> bool:
        """Whether the join code, the learner's code and the PIN belong together. Raises LogTrouble."""
        same = (_same(join.strip().lower(), self.join), _same(pin.strip(), self.pin(code)))
        return all(same) and (not self.keys or code in self.listed())

    def _mac(self, what: str) -> bytes:
        return hmac.new(self._key(), what.encode(), sha256).digest()

    def _key(self) -> bytes:
        return hmac.new(self.secret, b"class", sha256).digest()  # never that of the cookies


def _same(given: str, right: str) -> bool:
    return given.isascii() and hmac.compare_digest(given, right)
