"""A whole turn by voice: the tutor speaks, the microphone is deaf meanwhile, then one utterance is heard.

Half-duplex: what the microphone takes while the tutor speaks, and for 0.3 s after, is dropped, so that the
tutor never hears itself. A key (`interrupt`) stops it in mid-sentence. Sound lives in memory and is forgotten
once recognised; only a caller who passes `keep` ever gets it.
"""

import threading
from collections.abc import Callable, Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from types import TracebackType

import numpy as np

from speech.audio.devices import Microphone, microphone_availability, play
from speech.audio.endpoint import Endpointer, Heed, Pauses
from speech.audio.sound import Sound, levels
from speech.ears import Ears
from speech.errors import SpeechError
from speech.events import Decision, Failed, Hearing, Silence
from speech.language import Automaton
from speech.ports import Availability, Speaker

GUARD = 0.3  # seconds after the tutor's last sound that are not listened to
BROKEN_OFF = "listening was broken off"
QUIET = "nothing was said"
EARLY = 0.25  # seconds of pause after which recognition begins, while the end of the turn is still waited for


class HandsFree:
    """Listens through a microphone, speaks through a loudspeaker. Use as a context manager.

    `level` is told the loudness (decibels below full scale) as it is captured; `keep` gets every utterance,
    and must only be given where the learner was told so.
    """

    def __init__(
        self,
        ears: Ears,
        speaker: Speaker,
        pauses: Pauses | None = None,
        level: Callable[[float], None] | None = None,
        keep: Callable[[Sound], None] | None = None,
    ) -> None:
        self._ears, self._speaker = ears, speaker
        self._endpointer = Endpointer(pauses or Pauses())
        self._level, self._keep = level, keep
        self._interrupted = threading.Event()
        self._broken_off = threading.Event()
        self._microphone: Microphone | None = None
        self._worker = ThreadPoolExecutor(1, "recogniser")  # the ears are used from this one thread alone
        self._listening_for: str | None = None

    @property
    def name(self) -> str:
        """Named after its ears."""
        return f"voice ({self._ears.name})"

    def __enter__(self) -> "HandsFree":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._close()
        self._worker.shutdown()

    def availability(self) -> Availability:
        """Whether a microphone delivers sound."""
        return microphone_availability()

    def interrupt(self) -> None:
        """Stop the tutor in mid-sentence; may be called from another thread."""
        self._interrupted.set()

    def break_off(self) -> None:
        """Stop listening, as where the learner typed instead; may be called from another thread."""
        self._broken_off.set()

    def ready_for(self, languages: Iterable[Automaton]) -> None:
        """Load languages beforehand, in the background, so that the first turn of each is not waited for."""
        for language in languages:
            self._worker.submit(self._ears.listen_for, language)
            self._listening_for = None  # whatever was listened for, it is another now

    def say(self, text: str, rate: float = 1.0) -> Failed | None:
        """Say it, deaf meanwhile and a little after. A failure is returned: the text is on the screen anyway."""
        self._interrupted.clear()
        try:
            sound = self._speaker.sound(text, rate)
            if len(sound.samples):
                play(sound, self._interrupted)
        except SpeechError as error:
            return Failed(str(error))
        self._deafen(0.0 if self._interrupted.is_set() else GUARD)
        return None

    def _deafen(self, seconds: float) -> None:
        if self._microphone is None:
            return
        self._microphone.drop()
        try:
            for _ in self._microphone.blocks(seconds):
                pass
        except SpeechError:
            self._close()  # the next turn opens it again, or says what is wrong

    def listen(self, language: Automaton) -> Hearing:
        """Wait for one utterance. Whatever goes wrong comes back as `Failed`; the next turn tries again."""
        try:
            if self._listening_for != language.digest:
                self._worker.submit(self._ears.listen_for, language).result()
                self._listening_for = language.digest
            if self._microphone is None:
                self._microphone = Microphone().__enter__()
            return self._turn(self._microphone)
        except SpeechError as error:
            self._close()
            return Hearing(Failed(str(error)), Decision.ASK_AGAIN, engine=self.name)

    def _turn(self, microphone: Microphone) -> Hearing:
        ears = self._endpointer
        ears.reset()
        early: Future[Hearing] | None = None
        self._broken_off.clear()
        while True:
            block = microphone.read()
            if self._broken_off.is_set():
                return Hearing(Silence(0.0), Decision.ASK_AGAIN, BROKEN_OFF, self.name)
            if self._level is not None:
                self._level(float(np.max(levels(block), initial=-100.0)))
            heed = ears.feed(block)
            if heed is Heed.QUIET:
                return Hearing(Silence(ears.pauses.patience), Decision.ASK_AGAIN, QUIET, self.name)
            if heed is Heed.ENDED:
                sound = ears.take()
                if self._keep is not None:
                    self._keep(sound)
                return (early or self._worker.submit(self._ears.hear, sound)).result()
            if ears.paused < EARLY:
                early = None  # speech went on: what was recognised early is not the whole of it
            elif early is None:
                early = self._worker.submit(self._ears.hear, ears.so_far())

    def _close(self) -> None:
        microphone, self._microphone = self._microphone, None
        if microphone is not None:
            microphone.close()
