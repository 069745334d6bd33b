"""Whether a log is being written now. Advisory and best effort: file systems without locks just do not know."""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

LOOKS, LOOK = 100, 0.01  # how often, and after how many seconds again, while another process looks whether it is held

if sys.platform == "win32":

    def hold(handle: int) -> None:
        """Nothing: there is no advisory lock here."""

    def in_use(path: Path) -> bool:
        """Never known here."""
        return False

    @contextmanager
    def alone(folder: Path) -> Iterator[None]:
        """Never certain here."""
        yield

else:
    import fcntl

    def hold(handle: int) -> None:
        """Mark the open file as being written, until it is closed or its process dies."""
        for _ in range(LOOKS):
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                time.sleep(LOOK)
            except OSError:
                return  # a share without locks: every sitting has a file of its own anyway
            else:
                return

    def in_use(path: Path) -> bool:
        """Whether a living process holds the file."""
        try:
            handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW)
        except OSError:
            return False
        try:
            fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
        except BlockingIOError:
            return True
        except OSError:
            return False
        finally:
            os.close(handle)
        return False

    @contextmanager
    def alone(folder: Path) -> Iterator[None]:
        """One process at a time, where the folder can be locked; whoever comes second waits."""
        try:
            handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        except OSError:  # whoever writes in it finds out why
            yield
            return
        try:
            with suppress(OSError):
                fcntl.flock(handle, fcntl.LOCK_EX)
            yield
        finally:
            os.close(handle)
