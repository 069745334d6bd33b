"""How a command ends: exit codes, and the one error that carries a sentence for the person at the keyboard.

::

    CannotGoOn                   .sentence says what happened and what to do; .code is the exit code
    +-- LogTrouble               a session log cannot be written, read or found (chattutor.session_logs)
    +-- PlanTrouble              the equations for a lesson cannot be used (chattutor.lesson)
"""

import errno
import re

FINE = 0
TROUBLE = 1
USAGE = 2  # argparse's own
INTERRUPTED = 130  # 128 + SIGINT, as shells report it
PIPE_CLOSED = 141  # 128 + SIGPIPE, as shells report it
# characters of C0 and C1 (ECMA-48), and those that order text the other way (Unicode 15, chapter 23.2)
CONTROLS = re.compile("[\x00-\x1f\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]")
FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO})  # of a disk that takes no more


class CannotGoOn(Exception):
    """A command cannot go on; ``sentence`` is shown on one line as it stands."""

    def __init__(self, sentence: str, code: int = TROUBLE) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.code = code


class LogTrouble(CannotGoOn):
    """A session log cannot be written, read or found."""


class PlanTrouble(CannotGoOn):
    """The equations for a lesson cannot be used."""


def plain(text: object) -> str:
    """Text from outside fit for a terminal: whatever is not printable becomes a space."""
    return "".join(each if each.isprintable() else " " for each in str(text))


def reason(error: OSError) -> str:
    """What the operating system says, without its error number."""
    return error.strerror or str(error)
