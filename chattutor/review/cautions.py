"""What is said to a teacher who opens learners' records for the first time; remembered in the person's own folder.

Common practice with records of children, no source: it defers to the school's policy and to local law.
"""

import os
import sys
from importlib.resources import files
from pathlib import Path

from chattutor.session_logs.folder import own_folder

SAID = "cautions-said"


def caution(folder: Path) -> None:
    """Say the cautions to a person at a terminal who has not been told; where that cannot be remembered, they are
    said again next time."""
    if not sys.stderr.isatty() or os.path.exists(own_folder() / SAID):
        return
    text = files("chattutor.review").joinpath("cautions.txt").read_text("utf-8")
    print("\n" + text.replace("%s", str(folder)), end="", file=sys.stderr, flush=True)
    _remember()


def _remember() -> None:
    home = own_folder()
    try:
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(home / SAID, os.O_WRONLY | os.O_CREAT, 0o600))
    except OSError:
        return
