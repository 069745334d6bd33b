"""The session logs and notes of a folder with what tells that one was changed: its size and times."""

import os
import stat
import time
from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from chattutor.logs.folder import NOTES, files

YOUNG = 2_000_000_000  # ns; a file changed this lately could change again and show the same times


class Stamp(NamedTuple):
    """A file, its size in bytes, and its times of change in nanoseconds (the second is not for anybody to set)."""

    path: Path
    size: int
    changed: int
    touched: int

    @property
    def settled(self) -> bool:
        """Whether a later change would show."""
        return max(self.changed, self.touched) < time.time_ns() - YOUNG


def stamps(folder: Path) -> tuple[list[Stamp], list[Stamp]]:
    """Session logs by their names, and teachers' notes, in order of path. Raises LogTrouble."""
    logs: list[Stamp] = []
    notes: list[Stamp] = []
    for path in files(folder):
        name = path.name
        if not (name.endswith(".jsonl") or name == NOTES):
            continue
        try:
            found = os.lstat(path)
        except OSError:
            continue  # gone since the folder was read
        if stat.S_ISREG(found.st_mode):
            kept = notes if name == NOTES else logs
            kept.append(Stamp(path, found.st_size, found.st_mtime_ns, found.st_ctime_ns))
    return logs, notes


def fingerprint(found: Iterable[Stamp], with_key: str) -> str:
    """Another one for any other files, any change to one, or any other key."""
    whole = sha256(with_key.encode())
    for path, size, changed, touched in found:
        whole.update(f"\0{path}\0{size}\0{changed}\0{touched}".encode("utf-8", "surrogateescape"))
    return whole.hexdigest()
