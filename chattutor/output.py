"""What goes out on standard output, whatever a system's own encoding is."""

import sys
from typing import Literal


def in_utf8(otherwise: Literal["backslashreplace", "replace"] = "backslashreplace") -> None:
    """Write UTF-8; what cannot be written (half a surrogate pair out of a log) is escaped, or replaced."""
    sys.stdout.reconfigure(encoding="utf-8", errors=otherwise)  # type: ignore[union-attr]  # is a TextIOWrapper
