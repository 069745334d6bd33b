"""What a review of many sessions keeps beside the logs, so that a second look need not read them again.

Two files in the folder that was reviewed, for its owner's eyes, made anew whenever they do not fit: a line for each
log (its name, size and times, and its digest), and the class page for exactly these files. They hold learners' words,
as the logs do: erasing takes them away, and nothing is lost with them. Made only where there are many logs.
"""

import json
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from typing import Any, BinaryIO

import chattutor
import dialogue
from chattutor.logs.folder import DIGESTS, PAGE
from chattutor.logs.stamps import Stamp
from chattutor.logs.writer import FILE_MODE
from chattutor.review.digest import NO_LINK

MANY = 1000  # logs; fewer are read again in no time
FRESH = os.O_WRONLY | os.O_CREAT | os.O_EXCL | NO_LINK


def code_key() -> str:
    """Another one for every version of the program: what is kept by one is not used by another."""
    whole = sha256(chattutor.__version__.encode())
    for package in (chattutor, dialogue):
        root = Path(str(package.__file__)).parent
        for path in sorted(each for each in root.rglob("*") if each.suffix in {".py", ".toml"}):
            found = path.stat()
            whole.update(f"{path.relative_to(root)}{found.st_size}{found.st_mtime_ns}".encode())
    return whole.hexdigest()


def key(folder: Path, stamp: Stamp) -> bytes:
    """What a digest is kept under: the log's name in the folder, its size and its times."""
    return json.dumps([os.path.relpath(stamp.path, folder), *stamp[1:]]).encode()


def digests(folder: Path, code: str) -> dict[bytes, bytes]:
    """The digests kept, as JSON, by key; none where there are none, or they are of another version."""
    found: dict[bytes, bytes] = {}
    with _reading(folder / DIGESTS) as source:
        if source is not None and source.readline(200).strip() == code.encode():
            for line in source:
                named, tab, kept = line.rstrip(b"\n").partition(b"\t")
                if tab and line.endswith(b"\n"):
                    found[named] = kept
    return found


def page(folder: Path, mark: str) -> dict[str, Any] | None:
    """The class page kept for exactly these files, if there is one."""
    with _reading(folder / PAGE) as source, suppress(ValueError, RecursionError):
        if source is not None and source.readline(200).strip() == mark.encode():
            kept = json.loads(source.read())
            return kept if isinstance(kept, dict) else None
    return None


def keep_page(folder: Path, mark: str, found: dict[str, Any]) -> None:
    """Keep the class page."""
    with keeping(folder / PAGE, mark) as out:
        if out is not None:
            out.write(json.dumps(found).encode())


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
