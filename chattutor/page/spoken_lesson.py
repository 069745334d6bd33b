"""A lesson in the page that is spoken for as long as the microphone is on: ``ByVoice`` with the browser's sound.

It runs in a thread of its own, and says what it heard to the same lesson that the page types into. Whatever is typed
meanwhile stops the voice, and the answer to it is spoken too.
"""

import argparse
import queue
import threading
from collections.abc import Callable
from typing import Any

from chattutor.common.exits import CannotGoOn
from chattutor.lesson.voice.by_voice import ByVoice
from chattutor.lesson.voice.hearing import Attention, ensemble_of
from chattutor.lesson.voice.language_builder import Languages
from chattutor.lesson.voice.voice_setup import equipment
from chattutor.page.browser_sound import BrowserLoudspeaker, BrowserMicrophone
from chattutor.page.hearing_process import STOP_WORDS
from chattutor.page.open_lessons import OpenLesson
from chattutor.page.shared_hearing import NamedLanguages, SharedHearing, SharedRecogniser, named_language
from dialogue.tutor.core.state import Turn, Utterance
from speech.audio.endpoint import Pauses
from speech.errors import SpeechError
from speech.recognition.hands_free import HandsFree
from speech.registry import choose_engine
from speech.synthesis.speakers import speakers

NUDGE = Utterance("the lesson has moved on")  # known by identity; never said to the tutor


class Lines:
    """What interrupts: never words, which the page types into the lesson itself."""

    def __init__(self) -> None:
        self._waiting: queue.Queue[Utterance | None] = queue.Queue()

    def put(self, said: Utterance | None) -> None:
        """From any thread; None ends it."""
        self._waiting.put(said)

    def listen(self) -> Utterance | None:
        """The next one."""
        return self._waiting.get()


class PageNotices:
    """A face that shows nothing but notices: the page draws the lesson itself."""

    def __init__(self, send: Callable[[dict[str, Any] | bytes], None]) -> None:
        self._send = send

    def notice(self, text: str, aloud: str | None = None) -> None:
        """Show it beside the microphone's button."""
        self._send({"what": "notice", "text": text})

    def show(self, turn: Turn) -> None:
        """Nothing."""


class SpokenLesson:
    """The voice of one lesson. ``send`` and ``changed`` are called from its thread, everything else from elsewhere;
    ``options`` are those of ``chattutor lesson``."""

    def __init__(
        self,
        lesson: OpenLesson,
        send: Callable[[dict[str, Any] | bytes], None],
        changed: Callable[[], None],
        options: argparse.Namespace,
        hearing: SharedHearing | None = None,
    ) -> None:
        self._lesson, self._send, self._changed, self._options = lesson, send, changed, options
        self._hearing = hearing
        self.microphone, self.loudspeaker = BrowserMicrophone(), BrowserLoudspeaker(send)
        self._lines = Lines()
        self._hands_free: HandsFree | None = None
        self._state = ""
        self._ended = False
        self._thread = threading.Thread(target=self._run, name=f"voice of {lesson.code}", daemon=True)

    def start(self) -> None:
        """Begin to speak and listen."""
        self._thread.start()

    def nudge(self) -> None:
        """Something was typed: stop speaking and listening, and go on from where the lesson is now."""
        self._lines.put(NUDGE)

    def hush(self) -> None:
        """Stop the tutor in mid-sentence, and listen."""
        if self._hands_free is not None:
            self._hands_free.interrupt()

    def end(self) -> None:
        """The microphone is off, or the page has gone."""
        self._ended = True
        self.microphone.put(None)
        self.loudspeaker.end()
        self._lines.put(None)

    def _tell(self, state: str) -> None:
        if state != self._state:
            self._state = state
            self._send({"what": "voice", "state": state})

    def _play(self, *of: Any) -> bool:
        self._tell("speaking")
        return self.loudspeaker.play(*of)

    def _run(self) -> None:
        self._tell("preparing")
        face = PageNotices(self._send)
        try:
            attention, self._hands_free, builder = self._equipment()
            with ByVoice(face, attention, self._lines, self._hands_free, builder, self._options.pace) as voice:
                self._hold(voice)
        except CannotGoOn as trouble:
            face.notice(trouble.sentence)
        self._tell("off")

    def _equipment(self) -> tuple[Attention, HandsFree, Languages]:
        """The browser's sound, and a recogniser: the one that all share, where there is one. Raises CannotGoOn."""
        if self._hearing is None:
            return equipment(
                self._options.model,
                self._options.silence,
                lambda text: None,  # which recogniser it is and how to install others is for the terminal
                capture=lambda: self.microphone,
                player=self._play,
                level=self._listens,
            )
        try:
            voice = choose_engine(speakers())
        except SpeechError as error:
            raise CannotGoOn(f"{error}.") from error
        attention = Attention()
        hands_free = HandsFree(
            ensemble_of(attention, SharedRecogniser(self._hearing)),
            voice.engine,
            Pauses(after=self._options.silence),
            self._listens,
            stops=named_language(*STOP_WORDS),
            capture=lambda: self.microphone,
            player=self._play,
        )
        return attention, hands_free, NamedLanguages(self._hearing)

    def _listens(self, level: float) -> None:
        self._tell("listening")

    def _hold(self, voice: ByVoice) -> None:
        shown: Turn | None = None
        while not self._ended:
            with self._lesson.lock:
                turns, at, root = self._lesson.shown, self._lesson.turn.state.turn, self._lesson.root
            if shown is not turns[-1]:
                shown = turns[-1]
                for turn in turns:
                    voice.show(turn)
            if self._lesson.over or (said := voice.listen()) is None:
                return
            if said is NUDGE:
                continue
            if self._lesson.say(said, at, root) == "taken":
                self._changed()
