"""A whole turn by voice: the tutor speaks, the microphone is deaf meanwhile, then one utterance is heard.

Half-duplex: what the microphone takes while the tutor speaks, and for 0.3 s after, is not listened to, so that the
tutor never hears itself; only short sounds are looked at, for the words that stop it, where it was given any. That
works with headphones: a loudspeaker drowns them. A key (`interrupt`) always stops it in mid-sentence. What is said in
the learner's own time, as "are you there?", gives way to the learner's voice: what was begun over it is heard whole.

Sound lives in memory and is forgotten once recognised; only a caller who passes `keep` ever gets it.
"""

import re
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from time import monotonic
from types import TracebackType

import numpy as np

from speech.audio.devices import Capture, Microphone, Player, microphone_availability, play
from speech.audio.endpoint import Endpointer, Heed, Pauses
from speech.audio.shaping import without_end
from speech.audio.sound import FRAME, RATE, Samples, Sound, levels
from speech.errors import SpeechError
from speech.hearings import Decision, Failed, Heard, Hearing, Silence
from speech.language import Language
from speech.recognition.ensemble import Ensemble
from speech.registry import Availability
from speech.synthesis.speakers import Speaker

GUARD = 0.3  # seconds after the tutor's last sound that are not listened to
BROKEN_OFF = "listening was interrupted"
QUIET = "nothing was said"
EARLY = 0.25  # seconds of pause after which recognition begins, while the end of the turn is still waited for
BURST = Pauses(after=0.2, longest=1.5, patience=3600.0)  # a word or two over the tutor's voice
# Confidence from which a burst stops the tutor. Measured, one recogniser: 21 words that stop, of seven synthetic
# voices, came out at 0.80 or more, as did 5 of 24 sentences about other things: whoever speaks over the tutor may
# well stop it. The tutor's own voice is mistaken too, at 0.94 in 12 of 40 sentences: an echo is known by its likeness
# instead.
STOPS = 0.8
# Loud seconds of somebody else's voice to which the tutor gives way, where it does; half of it as the tutor ends. Of a
# synthetic voice's echo in an invented room 5 windows in 100 of 0.3 s come under ECHO, none of 0.5 s.
OVER = 0.4
BEGUN = 0.1  # seconds at the end of the guard, of which half are loud where somebody is speaking already ...
APART = 12  # ... and quiet frames before it, more than inside a word, where it began after the tutor's last sound
LOST = "its beginning was lost"
REACH = 0.5  # seconds by which an echo may come late: buffers of both devices, and the room
# Likeness from which a sound is an echo. Measured: 41 short bursts of a synthetic voice through an invented room came
# out at 0.21 to 0.80; 21 words of seven other voices, said while it spoke, at 0.04 to 0.16.
ECHO = 0.2
NOTHING = np.zeros(0, np.float32)
SENTENCE = re.compile(r"(?<=[.?!:]) +")  # between two sentences: the first is said while the next is made


class HandsFree:
    """Listens through a microphone, speaks through a loudspeaker. Use as a context manager.

    `level` is told the loudness (decibels below full scale) as it is captured; `keep` gets every utterance,
    and must only be given where the learner was told so; `stops` is the language of the words that stop the tutor;
    `capture` and `player` are this computer's microphone and loudspeaker, unless the sound comes from elsewhere.
    """

    def __init__(
        self,
        ensemble: Ensemble,
        speaker: Speaker,
        pauses: Pauses | None = None,
        level: Callable[[float], None] | None = None,
        keep: Callable[[Sound], None] | None = None,
        stops: Language | None = None,
        capture: Callable[[], Capture] = Microphone,
        player: Player = play,
    ) -> None:
        self._ensemble, self._speaker, self._stops = ensemble, speaker, stops
        self._pauses = pauses or Pauses()
        self._endpointer = Endpointer(replace(self._pauses, after=max(self._pauses.after, self._pauses.fragment)))
        self._level, self._keep = level, keep
        self._interrupted = threading.Event()
        self._broken_off = threading.Event()
        self._capture, self._player = capture, player
        self._microphone: Capture | None = None
        self._played: list[Sound] = []  # of what is being said
        self._began = 0.0
        self._given_way = False  # to the learner, whose first words the endpointer holds
        self._ahead = NOTHING  # what was said so soon after the tutor that it began in the guard
        self._cut = False  # somebody spoke on from before the tutor had ended
        self._worker = ThreadPoolExecutor(1, "recogniser")  # the recognisers are used from this one thread alone

    @property
    def name(self) -> str:
        """Named after its recognisers."""
        return f"voice ({self._ensemble.name})"

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
        """Stop listening, now or as soon as it begins, as where the learner typed instead; may be called from
        another thread."""
        self._broken_off.set()

    def open(self) -> Failed | None:
        """Open the microphone before it is needed, so that a quick answer is heard from its first sound on."""
        try:
            self._opened()
        except SpeechError as error:
            return Failed(str(error))
        return None

    def _opened(self) -> Capture:
        if self._microphone is None:
            self._microphone = self._capture().__enter__()
        return self._microphone

    def say(
        self,
        text: str,
        rate: float = 1.0,
        begun: Callable[[], None] | None = None,
        stoppable: bool = True,
        yields: bool = False,
    ) -> Failed | None:
        """Say it, deaf meanwhile and a little after. A failure is returned: the text is on the screen anyway.

        `begun` is called once it sounds. Where it holds a word that stops it, it must not be `stoppable`. Where it
        `yields`, the learner may speak over it: it ends then, and `listen` hears what was said from its first word.
        """
        self._interrupted.clear()
        self._played.clear()
        self._given_way, self._cut, self._ahead = False, False, NOTHING
        sounds = self._sounds(SENTENCE.split(text), rate)

        def sounding() -> None:
            self._began = monotonic()
            if begun is not None:
                begun()

        try:
            with self._overhearing(stoppable, yields) as stopped:
                self._player(sounds, self._interrupted, sounding)
        except SpeechError as error:
            return Failed(str(error))
        if self._given_way:
            return None
        by_key = self._interrupted.is_set() and not stopped.is_set()
        self._deafen(0.0 if by_key else GUARD)
        return None

    def _sounds(self, sentences: list[str], rate: float) -> Iterator[Sound]:
        for place, sentence in enumerate(sentences, 1):
            sound = self._speaker.sound(sentence, rate)
            if place == len(sentences):
                sound = without_end(sound)  # a voice ends in a pause, in which nobody would be heard
            if len(sound.samples):
                self._played.append(sound)
                yield sound

    @contextmanager
    def _overhearing(self, stoppable: bool, yields: bool) -> Iterator[threading.Event]:
        """While the tutor speaks, a thread waits for the words that stop it, the event telling that they came, or for
        any voice where it `yields`."""
        stopped, over = threading.Event(), threading.Event()
        stops, microphone = self._stops, self._microphone
        if microphone is None or not (yields or (stoppable and stops is not None)):
            yield stopped
            return

        def wait() -> None:
            try:
                if yields:
                    self._give_way(microphone, over)
                elif stops is not None:
                    self._wait_for(stops, microphone, stopped, over)
            except SpeechError:
                return  # the next turn says what is wrong

        thread = threading.Thread(target=wait, name="stops", daemon=True)
        thread.start()
        try:
            yield stopped
        finally:
            over.set()
            thread.join()

    def _wait_for(self, stops: Language, microphone: Capture, stopped: threading.Event, over: threading.Event) -> None:
        endpointer = Endpointer(BURST)
        microphone.drop()
        self._worker.submit(self._ensemble.listen_for, stops).result()
        while not over.is_set():
            if endpointer.feed(microphone.read()) is not Heed.ENDED:
                continue
            whole = endpointer.paused >= BURST.after
            sound = endpointer.take()
            if not whole or self._is_echo(sound):
                continue
            hearing = self._worker.submit(self._ensemble.hear, sound).result()
            if isinstance(hearing.event, Heard) and hearing.unanimous and hearing.event.confidence >= STOPS:
                stopped.set()
                self._interrupted.set()
                return

    def _give_way(self, microphone: Capture, over: threading.Event) -> None:
        """Go on waiting for the learner, and stop the tutor once it is they who speak."""
        endpointer = self._endpointer
        while True:
            last = over.is_set()
            heed = endpointer.feed(microphone.read())
            if heed in (Heed.ENDED, Heed.QUIET):
                endpointer.reset()
            elif endpointer.loud >= (OVER / 2 if last else OVER):
                if not self._is_echo(endpointer.so_far()):
                    self._given_way = True
                    self._interrupted.set()
                    return
                endpointer.reset()
            if last:
                return

    def _is_echo(self, sound: Sound) -> bool:
        if not self._played:
            return False
        played = np.concatenate([each.samples for each in self._played])
        return likeness(sound.samples, played[: round((monotonic() - self._began) * RATE)]) >= ECHO

    def _deafen(self, seconds: float) -> None:
        if self._microphone is None:
            return
        self._microphone.drop()
        try:
            guard = np.concatenate([NOTHING, *self._microphone.blocks(seconds)])
        except SpeechError:
            self._close()  # the next turn opens it again, or says what is wrong
            return
        loud = self._endpointer.loud_frames(guard)
        end = round(BEGUN * 100)
        if len(loud) < end or 2 * int(loud[-end:].sum()) < end:
            return
        quiet = [at for at in range(len(loud) - APART + 1) if not loud[at : at + APART].any()]
        self._cut = not quiet
        if quiet:
            self._ahead = guard[quiet[0] * FRAME :]

    def listen(self, language: Language) -> Hearing:
        """Wait for one utterance. Whatever goes wrong comes back as `Failed`; the next turn tries again.

        A language is loaded here, not while the tutor speaks: loading holds Python's lock, so playback would stutter,
        while the microphone's sound waits in its device."""
        try:
            microphone = self._opened()
            self._worker.submit(self._ensemble.listen_for, language).result()
            return self._turn(microphone)
        except SpeechError as error:
            self._close()
            return Hearing(Failed(str(error)), Decision.ASK_AGAIN, engine=self.name)

    def _turn(self, microphone: Capture) -> Hearing:
        endpointer = self._endpointer
        if not self._given_way:
            endpointer.reset()
        cut, ahead = self._cut, self._ahead
        self._given_way, self._cut, self._ahead = False, False, NOTHING
        early: Future[Hearing] | None = None
        while True:
            block, ahead = np.concatenate([ahead, microphone.read()]), NOTHING
            if self._broken_off.is_set():
                self._broken_off.clear()
                return Hearing(Silence(0.0), Decision.ASK_AGAIN, BROKEN_OFF, self.name)
            if self._level is not None:
                self._level(float(np.max(levels(block), initial=-100.0)))
            heed = endpointer.feed(block)
            if heed is Heed.QUIET:
                endpointer.wait_on()
                return Hearing(Silence(endpointer.pauses.patience), Decision.ASK_AGAIN, QUIET, self.name)
            if heed is Heed.ENDED or self._is_whole(early, endpointer.paused):
                sound = endpointer.take()
                if self._keep is not None:
                    self._keep(sound)
                hearing = (early or self._worker.submit(self._ensemble.hear, sound)).result()
                return _doubted(hearing) if cut else hearing
            if endpointer.paused < EARLY:
                if early is not None:
                    early.cancel()
                early = None  # speech went on: what was recognised early is not the whole of it
            elif early is None:
                early = self._worker.submit(self._ensemble.hear, endpointer.so_far())

    def _is_whole(self, early: Future[Hearing] | None, paused: float) -> bool:
        """Whether a pause is long enough after what was said before it: after a whole answer it may be short."""
        return early is not None and paused >= self._pauses.after and early.done() and early.result().whole

    def _close(self) -> None:
        microphone, self._microphone = self._microphone, None
        if microphone is not None:
            microphone.close()


def _doubted(hearing: Hearing) -> Hearing:
    """Of an utterance whose beginning was not heard: "(subtract nine from both) sides" can sound like "six"."""
    decision = Decision.READ_BACK if hearing.decision is Decision.ACCEPT else hearing.decision
    return replace(hearing, decision=decision, evidence=f"{hearing.evidence}; {LOST}")


def likeness(heard: Samples, played: Samples) -> float:
    """The largest normalised cross-correlation, 0 to 1, of what was heard with what was played up to its end."""
    recent = played[-(len(heard) + round(REACH * RATE)) :]
    energy = float(np.sqrt(np.sum(heard.astype(np.float64) ** 2) * np.sum(recent.astype(np.float64) ** 2)))
    if not energy:
        return 0.0
    size = 1 << (len(heard) + len(recent)).bit_length()
    spectrum = np.fft.rfft(heard, size) * np.conj(np.fft.rfft(recent, size))
    return float(np.abs(np.fft.irfft(spectrum, size)).max()) / energy
