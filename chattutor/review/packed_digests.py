"""A digest as JSON, to hand from process to process and to keep: by msgspec where it is installed."""

import json
from collections.abc import Callable
from functools import cache
from typing import Any

from chattutor.session_logs.digest import Digest, SeenTask


def packed(found: Digest) -> bytes:
    """The digest as JSON on one line."""
    return _ways()[0](found)


def unpacked(kept: bytes) -> Digest:
    """The digest that was packed. Raises ValueError, TypeError or RecursionError for anything else."""
    return _ways()[1](kept)


@cache
def _ways() -> tuple[Callable[[Digest], bytes], Callable[[bytes], Digest]]:
    try:
        import msgspec
    except ImportError:
        return _plainly_packed, _plainly_unpacked
    encode, decode = msgspec.json.Encoder().encode, msgspec.json.Decoder(Digest).decode

    def pack(found: Digest) -> bytes:
        try:
            return encode(found)
        except (msgspec.MsgspecError, UnicodeEncodeError, OverflowError):  # half a surrogate pair, or a number too long
            return _plainly_packed(found)

    def unpack(kept: bytes) -> Digest:
        try:
            return decode(kept)
        except (msgspec.MsgspecError, UnicodeDecodeError):
            return _plainly_unpacked(kept)

    return pack, unpack


def _plainly_packed(found: Digest) -> bytes:
    return json.dumps(found, separators=(",", ":")).encode()


def _plainly_unpacked(kept: bytes) -> Digest:
    given: list[Any] = json.loads(kept)
    found = Digest(*given)
    return found._replace(
        given=_tuples(found.given),
        marks=_tuples(found.marks),
        seen=tuple(SeenTask(*each)._replace(errors=tuple(each[-1])) for each in found.seen),
        problems=tuple(found.problems),
    )


def _tuples(rows: Any) -> Any:
    return tuple(map(tuple, rows))
