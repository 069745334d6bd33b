"""What a review of many sessions keeps beside the logs, so that a second look need not read them again.

Two files in the folder that was reviewed, for its owner's eyes, made anew whenever they do not fit: a line for each
log (its name, size and times, and its digest) and for each learner's errors (what they were found to repeat), and the
class page for exactly these files. They hold learners' words, as the logs do: erasing takes them away, and nothing is
lost with them. Made only where there are many logs.
"""

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from json.encoder import encode_basestring_ascii
from pathlib import Path
from typing import BinaryIO

import chattutor
import dialogue
from chattutor.common.exits import CannotGoOn
from chattutor.session_logs.file_stamps import Stamp
from chattutor.session_logs.folder import DIGESTS, PAGE
from chattutor.session_logs.signed_lines import Signer, signer
from chattutor.session_logs.writer import FILE_MODE

MANY = 1000  # logs; fewer are read again in no time
NO_LINK = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
FRESH = os.O_WRONLY | os.O_CREAT | os.O_EXCL | NO_LINK
HEAD = 200  # bytes of a first line at most


def code_key() -> str:
    """Another one for every version of the program: what is kept by one is not used by another."""
    found = []
    for package in (chattutor, dialogue):
        for home, _, names in os.walk(os.path.dirname(str(package.__file__))):
            for name in names:
                if name.endswith((".py", ".toml")):
                    state = os.stat(os.path.join(home, name))
                    found.append(f"{home}/{name} {state.st_size} {state.st_mtime_ns}")
    return sha256("\n".join([chattutor.__version__, *sorted(found)]).encode()).hexdigest()


def key(stamp: Stamp) -> bytes:
    """What a digest is kept under: the log's name in the folder, its size and its times."""
    name, size, changed, touched = stamp
    return f"{encode_basestring_ascii(name)} {size} {changed} {touched}".encode()


def findings_key(found: object) -> bytes:
    """What is kept under for what was found about this."""
    return b"=" + sha256(repr(found).encode("utf-8", "backslashreplace")).hexdigest().encode()


class Keeper:
    """Keeps and finds what was kept, by this version of the program and signed by this computer."""

    def __init__(self, signer: Signer) -> None:
        self.signed = signer.signed
        self.code = f"{code_key()} {signer.name}"
        self._signer = signer

    def lines(self, folder: Path) -> dict[bytes, bytes]:
        """What is kept, as JSON, by key; nothing where there is nothing, or it is another version's or computer's."""
        found: dict[bytes, bytes] = {}
        with _reading(folder / DIGESTS) as source:
            if source is not None and source.readline(HEAD).strip() == self.code.encode():
                found.update(filter(None, map(self._signer.read, source)))
        return found

    def page(self, folder: Path, mark: str) -> bytes | None:
        """The class page kept for exactly these files, as JSON, if there is one."""
        with _reading(folder / PAGE) as source:
            if source is not None:
                head, kept = source.readline(HEAD), source.read()
                if head == self._head(mark, kept):
                    return kept
        return None

    def keep_page(self, folder: Path, mark: str, found: bytes) -> None:
        """Keep the class page."""
        with keeping(folder / PAGE, self._head(mark, found).decode().strip()) as out:
            if out is not None:
                out.write(found)

    def _head(self, mark: str, kept: bytes) -> bytes:
        return b"%s %s\n" % (mark.encode(), self._signer.mark(kept))


def keeper() -> Keeper | None:
    """None where this computer can keep no key, and so nothing that is to be trusted."""
    try:
        return Keeper(signer())
    except CannotGoOn:
        return None


@contextmanager
def keeping(path: Path, head: str) -> Iterator[BinaryIO | None]:
    """A file to fill, which takes its place only once it is whole; None where none can be made. Two reviewers at once
    each make their own, and the later one stays."""
    beside = path.with_name(f"{path.name}.{secrets.token_hex(4)}")
    try:
        out = open(os.open(beside, FRESH, FILE_MODE), "wb")  # noqa: SIM115 - closed below, whatever happens
    except OSError:
        yield None  # a folder that may only be read: the next look takes as long
        return
    try:
        with out:
            out.write(head.encode() + b"\n")
            yield out
        os.replace(beside, path)
    except OSError:
        return  # a full disk: nothing is kept
    finally:
        with suppress(OSError):
            beside.unlink()


@contextmanager
def _reading(path: Path) -> Iterator[BinaryIO | None]:
    try:
        source = open(os.open(path, os.O_RDONLY | NO_LINK), "rb")  # noqa: SIM115 - closed below
    except OSError:
        yield None
        return
    with source:
        yield source
