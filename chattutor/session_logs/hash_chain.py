"""The chain that ties the lines of a file together.

``chain`` comes last in each line and is the sha256 (FIPS 180-4), shortened to 32 hex digits, of the chain before it
and of the bytes of its own line up to it. A line changed, taken out or put in breaks it. It has no key: it finds
accidents and careless edits, and somebody who rewrites the whole file with a program can forge it.
"""

import json
import re
from hashlib import sha256
from typing import Any

import msgspec

CHAIN = re.compile(rb',"chain":"([0-9a-f]{32})"\}\n?\Z')
HEAD, END = b',"chain":"', len(b',"chain":"') + 32 + len(b'"}')


class NotALine(ValueError):
    """Bytes that are not a line of a file of ours; the message says why."""


def chained(body: msgspec.Struct | dict[str, Any], before: str) -> tuple[bytes, str]:
    """The line as bytes with its line end, and its chain."""
    try:
        start = msgspec.json.encode(body)[:-1]
    except UnicodeEncodeError:  # half a surrogate pair, of a keyboard in another encoding: it has no bytes
        text = json.dumps(msgspec.to_builtins(body), ensure_ascii=False, separators=(",", ":"))
        start = text.encode("utf-8", "replace")[:-1]
    chain = link(start, before)
    return b'%s,"chain":"%s"}\n' % (start, chain.encode()), chain


def link(start: bytes, before: str) -> str:
    """The chain of a line whose bytes up to the chain are ``start``."""
    return sha256(before.encode() + start).hexdigest()[:32]


def split(line: bytes) -> tuple[bytes, str]:
    """A line's bytes up to its chain, and the chain written in it. Raises NotALine."""
    found = CHAIN.search(line)
    if found is None:
        raise NotALine("it has no chain at its end")
    return line[: found.start()], found.group(1).decode()


def all_chained(lines: list[bytes], longest: int) -> bool:
    """Whether every line, without its line end, is no longer than that and has the right chain at its end."""
    chain = b""
    for line in lines:
        if line[-END : len(HEAD) - END] != HEAD or line[-2:] != b'"}' or len(line) >= longest:
            return False
        if sha256(chain + line[:-END]).hexdigest()[:32].encode() != (chain := line[-34:-2]):
            return False
    return True
