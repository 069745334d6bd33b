"""Whether a log is being written now. Advisory and best effort: file systems without locks just do not know."""

import os
import sys
from pathlib import Path

if sys.platform == "win32":

    def hold(handle: int) -> None:
        """Nothing: there is no advisory lock here."""

    def in_use(path: Path) -> bool:
        """Never known here."""
        return False

else:
    import fcntl

    def hold(handle: int) -> None:
        """Mark the open file as being written, until it is closed or its process dies."""
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return  # a share without locks: every sitting has a file of its own anyway

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
