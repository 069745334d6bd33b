"""Which sessions were erased from a folder, so that a copy on a stick is not brought back.

``DIR/.erased`` has a line for each: a hash of its id, which is random and names nobody. It stays when all else of a
learner is gone.
"""

import os
from collections.abc import Iterable
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from chattutor.common.exits import CannotGoOn
from chattutor.common.files import content
from chattutor.session_logs.folder import ERASED, files

MOST = 64_000_000  # bytes: a million sessions
MODE = 0o600
ADD = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


def hashed(name: str) -> str:
    """What stands for a session in the list."""
    return sha256(name.encode("utf-8", "replace")).hexdigest()


def put_down(folder: Path, names: Iterable[str]) -> None:
    """These sessions are erased. Raises OSError."""
    lines = "".join(f"{hashed(name)}\n" for name in names)
    if not lines:
        return
    handle = os.open(folder / ERASED, ADD, MODE)
    try:
        os.write(handle, lines.encode())
        os.fsync(handle)
    finally:
        os.close(handle)


def erased_from(folder: Path) -> set[str]:
    """The hashes of all that was erased from a folder, from those in it and those it is part of. Raises LogTrouble."""
    above = [home / ERASED for home in folder.resolve().parents]
    found: set[str] = set()
    for path in [*above, *(path for path in files(folder) if path.name == ERASED)]:
        with suppress(CannotGoOn):  # there is none, or it cannot be read
            found.update(content(path, MOST).decode("ascii", "replace").split())
    return found
