"""What goes out on standard output, whatever a system's own encoding is."""

import json
import sys
from typing import Any, Literal

from chattutor.common.exits import CONTROLS


def in_utf8(otherwise: Literal["backslashreplace", "replace"] = "backslashreplace") -> None:
    """Write UTF-8; what cannot be written (half a surrogate pair out of a log) is escaped, or replaced."""
    sys.stdout.reconfigure(encoding="utf-8", errors=otherwise)  # type: ignore[union-attr]  # is a TextIOWrapper


def json_line(out: dict[str, Any]) -> str:
    """JSON in UTF-8 for a script or a terminal: what would move the cursor or turn the writing round is escaped."""
    return CONTROLS.sub(lambda found: f"\\u{ord(found[0]):04x}", json.dumps(out, ensure_ascii=False))
