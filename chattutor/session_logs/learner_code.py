"""Learner codes: who a log belongs to, without a name, and safe as a folder's name on any system."""

import re

from chattutor.common.exits import LogTrouble

CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")
RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))}
)  # names that Windows keeps for devices: learn.microsoft.com, "Naming Files, Paths, and Namespaces"


def learner_code(text: str) -> str:
    """The code, if it is one. Raises LogTrouble."""
    if not CODE.fullmatch(text) or text.lower() in RESERVED:
        raise LogTrouble(
            "A learner's code is 1 to 32 letters, digits, - or _, and begins with a letter or digit (not a name)."
        )
    return text
