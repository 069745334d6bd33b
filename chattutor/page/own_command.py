"""This program's own commands, run for the teacher's pages: in a process of their own, so that no lesson waits for
them, and so that a page and the terminal never differ."""

import re
import subprocess
import sys
from typing import NamedTuple

from chattutor.common.exits import CannotGoOn

HEAD, MORE = re.compile(r"^chattutor[a-z ]*: "), " 'chattutor "  # of a sentence, and what to type for help
SECONDS = 240
MOST = 2_000_000  # characters of what one prints; a page with more cannot be read


class CommandDone(NamedTuple):
    """How a command ended: its exit code, what it printed, and what it told the person."""

    code: int
    printed: bytes
    told: str

    @property
    def text(self) -> str:
        """What it printed, as text."""
        return self.printed.decode("utf-8", "replace")[:MOST]


def own_command(*words: str, given: str = "") -> CommandDone:
    """``chattutor WORDS`` to its end, with this standard input. Raises CannotGoOn where it takes too long."""
    try:
        done = subprocess.run(  # noqa: S603 - this program itself
            [sys.executable, "-m", "chattutor", *words],
            input=given.encode("utf-8", "replace"), capture_output=True, timeout=SECONDS, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired as error:
        raise CannotGoOn("That took too long and was stopped. Try it at the command line.") from error
    told = HEAD.sub("", done.stderr.decode("utf-8", "replace").strip())
    return CommandDone(done.returncode, done.stdout, told.partition(MORE)[0])
