"""One recogniser for all who speak in the page: questions to it wait in a queue, and it works in a process of its own.

So forty learners need one network in memory, not forty, and what is being heard holds up nobody's typing.
"""

import multiprocessing
import threading
from concurrent.futures import CancelledError, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import TYPE_CHECKING

from chattutor.page import hearing_process
from chattutor.page.hearing_process import STOP_WORDS
from dialogue.acts import Expecting
from speech.audio.sound import Sound
from speech.hearings import Failed, HearingResult
from speech.language import Language, sayings
from speech.recognition.moonshine.model_files import availability
from speech.registry import Availability

if TYPE_CHECKING:
    from speech.language import Automaton

STOPPED = "the recogniser stopped; it is started again for the next thing said"


class SharedHearing:
    """The queue and its process, which begins with the first question. From any thread."""

    def __init__(self) -> None:
        self._queue = ThreadPoolExecutor(1, "hearing")
        self._lock = threading.Lock()
        self._process: BaseProcess | None = None
        self._line: Connection | None = None

    def hear(self, asked: tuple[str, str], sound: Sound) -> HearingResult:
        """What was said after this question; waits for its turn."""
        try:
            found = self._queue.submit(self._ask, asked, sound.pcm()).result()
        except (RuntimeError, CancelledError):  # the server is ending
            return Failed(STOPPED)
        return found if found is not None else Failed(STOPPED)

    def get_ready(self, asked: tuple[str, str]) -> None:
        """Have what is needed after this question made, before anybody answers; does not wait."""
        with suppress(RuntimeError):  # the server is ending
            self._queue.submit(self._ask, asked, None)

    def close(self) -> None:
        """End the process."""
        self._queue.shutdown(wait=False, cancel_futures=True)
        with self._lock:
            if self._process is not None:
                self._process.terminate()
                self._process.join(5)

    def _ask(self, asked: tuple[str, str], data: bytes | None) -> HearingResult | None:
        try:
            line = self._begun()
            line.send((asked, data))
            found: HearingResult | None = line.recv()
        except (EOFError, OSError):
            self._line = None
            return Failed(STOPPED)
        return found

    def _begun(self) -> Connection:
        if self._line is None:
            with self._lock:
                context = multiprocessing.get_context("spawn")
                self._line, other = context.Pipe()
                self._process = context.Process(target=hearing_process.main, args=(other,), daemon=True)
                self._process.start()
                other.close()
        return self._line


@dataclass(frozen=True)
class _Named(Language):
    """A language by its name alone; what can be said is known in the other process."""

    asked: tuple[str, str] = STOP_WORDS


def named_language(*asked: str) -> Language:
    """The language after this question, for a `SharedRecogniser`."""
    expecting, letter = asked
    return _Named(sayings(()), _none, (expecting, letter))


def _none() -> "Automaton":
    raise NotImplementedError("a recogniser that needs sentences is never shared")


class SharedRecogniser:
    """A learner's end of the queue; a `Recogniser`."""

    name = "moonshine"
    held_to_sentences = False

    def __init__(self, hearing: SharedHearing) -> None:
        self._hearing = hearing
        self._asked: tuple[str, str] = STOP_WORDS

    def availability(self) -> Availability:
        """Whether its packages are here."""
        return availability()

    def listen_for(self, language: Language) -> None:
        """One of those that `named_language` gives."""
        assert isinstance(language, _Named)
        self._asked = language.asked

    def hear(self, sound: Sound) -> HearingResult:
        """Recognise one utterance."""
        return self._hearing.hear(self._asked, sound)


class NamedLanguages:
    """The languages of a lesson; a `Builder` that has nothing to build."""

    def __init__(self, hearing: SharedHearing) -> None:
        self._hearing = hearing
        self._last: Language | None = None

    def language(self, expecting: Expecting, letter: str) -> Language:
        """What can be heard after this question, which is got ready meanwhile."""
        asked = (expecting, letter)
        if not isinstance(self._last, _Named) or self._last.asked != asked:
            self._last = named_language(*asked)
            self._hearing.get_ready(asked)
        return self._last

    def left(self) -> int:
        """How many are still to be built."""
        return 0

    def close(self) -> None:
        """Nothing."""
