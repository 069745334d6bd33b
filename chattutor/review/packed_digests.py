"""A digest as JSON, to hand from process to process and to keep."""

import msgspec

from chattutor.session_logs.digest import Digest

_decode = msgspec.json.Decoder(Digest).decode


def packed(found: Digest) -> bytes:
    """The digest as JSON on one line."""
    return msgspec.json.encode(found)


def unpacked(kept: bytes) -> Digest:
    """The digest that was packed. Raises ValueError or RecursionError for anything else."""
    return _decode(kept)
