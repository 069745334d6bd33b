"""Building what can be heard, once, in a process beside the lesson: the lesson waits only for what it needs next.

A large language takes many seconds and much memory to compile; a process of its own gives both back, and keeps the
lesson awake. What it has built it puts into the cache, from where the lesson loads it.
"""

import subprocess
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Protocol, get_args

from chattutor.lesson.voice.languages import kept, language_after, sentences_after
from dialogue.acts import Expecting
from speech.language import Language

FIRST: tuple[Expecting, ...] = ("yesno", "balance", "term", "operations", "value", "move")  # as a lesson needs them
MOST_LOADED = 6  # in memory: loading one holds Python's lock, which stops the microphone for some tenths of a second
MODULE = "chattutor.lesson.voice.language_builder"


def wanted() -> tuple[Expecting, ...]:
    """Every language that a lesson listens for, in the order in which one needs them."""
    rest = set(get_args(Expecting)) - set(FIRST)
    return (*FIRST, *sorted(rest))


class Languages(Protocol):
    """Where a lesson by voice gets its languages from."""

    def language(self, expecting: Expecting, letter: str) -> Language | None:
        """What can be heard after this question; None while it is still being built."""

    def left(self) -> int:
        """How many are still to be built."""

    def close(self) -> None:
        """Stop building."""


class Builder:
    """The languages of a lesson. Their sentences, where a recogniser is held to those, come from ``folder``; those that
    are not there yet are being built."""

    def __init__(self, folder: Path, sentences: bool = True) -> None:
        self._folder, self._sentences = folder, sentences
        self._process: subprocess.Popen[bytes] | None = None
        self._loaded: dict[tuple[Expecting, str], Language] = {}

    def begin(self) -> int:
        """Build what is missing, in the background; how many languages that is."""
        missing = [one for one in wanted() if self._sentences and not kept(one, self._folder)]
        if missing:
            self._start(missing)
        return len(missing)

    def _start(self, what: Iterable[Expecting]) -> None:
        command = [sys.executable, "-m", MODULE, str(self._folder), *what]
        self._process = subprocess.Popen(  # noqa: S603 - this program itself
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )

    def language(self, expecting: Expecting, letter: str) -> Language | None:
        """What can be heard after this question; None while it is still being built.

        Built here and now where the process has ended without it, as where the cache cannot be written to.
        """
        asked = (expecting, letter)
        loaded = self._loaded.get(asked)
        if loaded is None:
            if self._building() and not kept(expecting, self._folder):
                return None
            language = language_after(*asked, folder=self._folder)
            if self._sentences:
                language.sentences()
            while len(self._loaded) >= MOST_LOADED:
                self._loaded.pop(next(iter(self._loaded)), None)
            self._loaded[asked] = language
            return language
        return loaded

    def left(self) -> int:
        """How many are still to be built."""
        return sum(not kept(one, self._folder) for one in wanted()) if self._building() else 0

    def _building(self) -> bool:
        return self._process is not None and self._process.poll() is None

    def close(self) -> None:
        """Stop building; what is whole by now is kept."""
        if self._process is not None and self._building():
            self._process.terminate()
            self._process.wait(5)


def usable(folder: Path) -> tuple[Path, str]:
    """A folder that can be written to: this one, or else one that is gone after the lesson; and why, in words."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            return folder, ""
    except OSError as error:
        return Path(tempfile.mkdtemp(prefix="chattutor-")), str(error.strerror)


def main(folder: Path, what: Iterable[str]) -> None:
    """Build these, one after another."""
    for one in wanted():
        if one in what:
            sentences_after(one, folder=folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
