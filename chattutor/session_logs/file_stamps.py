"""The session logs and notes of a folder with what tells that one was changed: its size and times."""

import os
import stat
import time
from collections.abc import Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from chattutor.session_logs.folder import MAX_DEPTH, NOTES, check_folder

YOUNG = 2_000_000_000  # ns; a file changed this lately could change again and show the same times


class Stamp(NamedTuple):
    """A file by its name in the folder, its size in bytes, and its times of change in nanoseconds (nobody can set the
    second)."""

    name: str
    size: int
    changed: int
    touched: int

    @property
    def settled(self) -> bool:
        """Whether a later change would show."""
        return max(self.changed, self.touched) < time.time_ns() - YOUNG


def stamps(folder: Path) -> tuple[list[Stamp], list[Stamp]]:
    """Session logs by their names, and teachers' notes, in order of path; a folder that cannot be opened counts as a
    log that cannot be read, so that whoever reads them says so. Raises LogTrouble."""
    check_folder(folder)
    logs: list[Stamp] = []
    notes: list[Stamp] = []
    for name, entry in _below(str(folder), "", MAX_DEPTH):
        try:
            found = entry.stat(follow_symlinks=False)
        except OSError:
            continue  # gone since the folder was read
        if stat.S_ISREG(found.st_mode) or isinstance(entry, Path):
            kept = notes if entry.name == NOTES else logs
            kept.append(Stamp(name, found.st_size, found.st_mtime_ns, found.st_ctime_ns))
    return logs, notes


def fingerprint(found: Iterable[Stamp], with_key: str) -> str:
    """A text that differs for other files, for a change to one, and for another key."""
    parts = [with_key]
    for name, size, changed, touched in found:
        parts += (name, f"{size} {changed} {touched}")
    return sha256("\0".join(parts).encode("utf-8", "surrogateescape")).hexdigest()


def _below(folder: str, within: str, depth: int) -> Iterator[tuple[str, "os.DirEntry[str] | Path"]]:
    """What may be a log or notes, by its name in the folder, as ``folder.files`` would find it; strings and not paths,
    of which tens of thousands would take a second. A path is a folder that cannot be opened."""
    try:
        with os.scandir(folder) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except OSError:
        yield within.rstrip(os.sep), Path(folder)
        return
    for entry in entries:
        if entry.is_dir(follow_symlinks=False):
            if depth:
                yield from _below(entry.path, f"{within}{entry.name}{os.sep}", depth - 1)
        elif entry.name.endswith(".jsonl") or entry.name == NOTES:
            yield within + entry.name, entry
