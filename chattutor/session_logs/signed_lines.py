"""Lines that a review keeps, each signed with a key of this computer: what somebody else wrote is not used."""

from collections.abc import Iterator
from hashlib import blake2b
from pathlib import Path

from chattutor.common.exits import CannotGoOn
from chattutor.common.files import opened
from chattutor.common.secret import kept_secret
from chattutor.session_logs.folder import own_folder

MOST = 4_000_000_000  # bytes of digests; they are read a line at a time
LONGEST = 4_000_000  # bytes of one line
MARK = 32  # hex digits of a signature


class Signer:
    """Signs lines with a secret, and reads back those that it signed."""

    def __init__(self, secret: bytes) -> None:
        self._secret = secret
        self.name = blake2b(b"name", key=secret, digest_size=8).hexdigest()  # which key it is, without telling it

    def signed(self, key: bytes, kept: bytes) -> bytes:
        """A line, with its end."""
        body = b"%s\t%s" % (key, kept)
        return b"%s\t%s\n" % (body, self.mark(body))

    def read(self, line: bytes) -> tuple[bytes, bytes] | None:
        """The key and what was kept under it; None for a line that is not ours."""
        body, tab, mark = line.rstrip(b"\n").rpartition(b"\t")
        key, between, kept = body.partition(b"\t")
        return (key, kept) if tab and between and mark == self.mark(body) else None

    def mark(self, body: bytes) -> bytes:
        """The signature of some bytes."""
        return blake2b(body, key=self._secret, digest_size=MARK // 2).hexdigest().encode()


def signer() -> Signer:
    """With the key of this computer. Raises CannotGoOn where none can be kept."""
    return Signer(kept_secret(own_folder() / "review.key"))


def unsigned(path: Path) -> Iterator[int]:
    """The numbers of the lines of a kept file that this computer did not sign; none where another one did."""
    try:
        ours, source = signer(), opened(path, MOST)
    except CannotGoOn:
        return
    with source:
        if not source.readline(LONGEST).rstrip().endswith(ours.name.encode()):
            return  # another version's, or another computer's: never used here
        number = 1
        while line := source.readline(LONGEST):
            number += 1
            if ours.read(line) is None:
                yield number
