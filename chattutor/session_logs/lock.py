"""Whether a log is being written now: a lock on a file beside it, by filelock, on every system it knows.

The log itself is never locked, for on Windows nobody could read it then. Best effort: file systems without locks just
do not know. A lock ends with its process; the file that it leaves is taken away by whoever looks next.
"""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from filelock import BaseFileLock

ENDING = ".lock"
FOLDER = f".going-on{ENDING}"  # of a learner's folder, while one sitting resumes another
MODE = 0o600
WAIT, LOOK = 2.0, 0.01  # seconds: how long a log waits for somebody who only looks; how often it tries
GLANCE = 0.1  # seconds: how long somebody else may look before a log counts as being written
LONGEST = 60.0  # seconds that one window waits for another


def beside(path: Path) -> Path:
    """The lock file of a log."""
    return path.with_name(f".{path.name}{ENDING}")


def is_lock(path: Path) -> bool:
    """Whether a file is only a lock."""
    return path.name.startswith(".") and path.name.endswith(ENDING)


def hold(path: Path) -> "BaseFileLock | None":
    """Mark a log as being written until it is let go or this process dies; None where there are no locks."""
    lock = _lock(beside(path))
    try:
        return lock if lock.acquire(timeout=WAIT, poll_interval=LOOK) else None
    except (OSError, NotImplementedError):  # a share without locks: every sitting has a file of its own anyway
        return None


def let_go(lock: "BaseFileLock | None") -> None:
    """The log is no longer written."""
    if lock is not None:
        lock.release()
        with suppress(OSError):
            Path(lock.lock_file).unlink()


def in_use(path: Path) -> bool:
    """Whether a living process writes the log; said of it too where only others may open its lock."""
    at = beside(path)
    if not at.is_file() or at.is_symlink():
        return False
    lock = _lock(at)
    try:
        lock.acquire(timeout=GLANCE, poll_interval=LOOK)
    except NotImplementedError:
        return False
    except OSError:  # Timeout is one
        return at.exists()
    let_go(lock)
    return False


@contextmanager
def alone(folder: Path, name: str = FOLDER) -> Iterator[None]:
    """One process at a time, where the folder can be locked; whoever comes second waits."""
    lock = _lock(folder / name)
    try:
        lock.acquire(timeout=LONGEST, poll_interval=LOOK)
    except (OSError, NotImplementedError):  # whoever writes in it finds out why
        yield
        return
    try:
        yield
    finally:
        lock.release()


def _lock(path: Path) -> "BaseFileLock":
    from filelock import FileLock  # only now: most commands lock nothing

    return FileLock(path, mode=MODE, thread_local=False)
