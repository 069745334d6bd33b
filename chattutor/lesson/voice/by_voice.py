"""A lesson by voice: what the tutor says is shown and spoken, what the learner says is heard or typed.

Microphone and keyboard are open in the same session. Whatever goes wrong with the sound is told in one line, and the
lesson goes on by keyboard; Enter tries the microphone again. A hearing in doubt is only marked so: what is asked back,
and when typing is offered, is the tutor's own business, and never depends on what would be right.
"""

import re
from collections.abc import Iterable
from threading import Thread
from types import TracebackType

from chattutor.lesson.keyboard import Keyboard
from chattutor.lesson.ports import Face, UtteranceSource
from chattutor.lesson.voice.hearing import Attention
from chattutor.lesson.voice.language_builder import Languages
from chattutor.lesson.voice.languages import WORD
from chattutor.lesson.voice.lesson_acceptance import doubt_of
from dialogue.turn_record import Answered
from dialogue.tutor import expecting
from dialogue.tutor.core.state import Turn, Utterance
from dialogue.understanding.numbers import NUMBER_WORDS
from speech.hearings import Failed, Heard, Hearing
from speech.language import Language
from speech.recognition.hands_free import BROKEN_OFF, QUIET, HandsFree

EARLY = 3  # numbers that a learner has confirmed, before one that was heard well is taken without asking
SLOWER = 0.75  # of the usual pace, where it was asked for
OTHERS = 1  # other meanings offered once a read-back was refused: at most two read-backs a turn
RETRY = 3.0  # seconds after which a microphone that failed is tried again
ASKED = 2  # silences in a row that the tutor asks about; then it waits, for nobody is there or somebody is thinking
BUILDING = 0.5  # seconds between two looks at whether a language is built
NO_VOICE = "The tutor cannot be heard ({reason}). Read the screen; you can still speak."
VOICE_AGAIN = "The tutor can be heard again."
NO_EARS = "The tutor cannot hear you ({reason}). It tries again every few seconds; type for now. Your work is safe."
EARS_AGAIN = "The tutor can hear you again."
NO_WORDS = "I heard something, but no words. Please say it again."
STILL_NO_WORDS = "I heard something again, but no words. Come nearer to the microphone, or make the room quieter."
AGAIN_NO_WORDS = "No words again."
LEARNING = "Preparing to recognise answers, one time only ({left} parts left). Type for now, or wait."
LEARNING_ALOUD = "I am getting ready to listen. Wait a little, I will say when I am."
LEARNT = "I am listening now."
SENTENCE_ENDS = (".", "?", "!", ":")
PATH = re.compile(r"\S*[/\\]\S+[^\s,.;]")
A_PATH = "a folder on this machine"


class ByVoice:
    """Input and output of a lesson by voice, around the face that draws it; its context closes the microphone."""

    def __init__(
        self,
        face: Face,
        attention: Attention,
        lines: UtteranceSource,
        voice: HandsFree,
        builder: Languages,
        pace: float = 1.0,
    ) -> None:
        self._face, self._attention, self._voice, self._builder = face, attention, voice, builder
        self._pace = pace
        self._keyboard = Keyboard(lines, self._key)
        self._deaf = self._mute = self._paused = False
        self._told_deaf = False  # and not heard since
        self._noises = self._silences = 0
        self._confirmed = 0
        self._attention.expecting = "yesno"  # before the first question only "shall we go on?" is asked

    def __enter__(self) -> "ByVoice":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._voice.__exit__(kind, error, at)
        self._builder.close()

    def _key(self) -> None:
        self._voice.interrupt()
        self._voice.break_off()

    # -- the face

    def notice(self, text: str, aloud: str | None = None) -> None:
        """Show it and say it, in fewer words where those are given; folders are not spelt out."""
        self._face.notice(text)
        self._say([PATH.sub(A_PATH, aloud or text)])

    def show(self, turn: Turn) -> None:
        """Show the turn, then say it; the language of the answer is loaded meanwhile."""
        self._face.show(turn)
        state, record = turn.state, turn.record
        event = record.event if isinstance(record, Answered) else ""
        self._attention.expecting, self._attention.letter = expecting(state), state.letter
        self._attention.tutor = state.last[-1].text if state.last else ""
        self._paused = state.phase == "paused"
        if isinstance(record, Answered) and record.phase == "confirm" and event == "yes":
            self._confirmed += 1
        if not self._deaf:
            self._voice.open()  # where it cannot be, listening will say so
        self._say([reply.spoken for reply in turn.replies], SLOWER if event == "slower" else 1.0, event == "silence")

    def _get_ready(self) -> None:
        """Load the language of the answer while the tutor speaks."""
        if not self._deaf:
            Thread(target=self._language, name="language", daemon=True).start()

    def _language(self) -> Language | None:
        return self._builder.language(self._attention.expecting, self._attention.letter)

    def _say(self, sentences: Iterable[str], rate: float = 1.0, yields: bool = False) -> None:
        """As one utterance, so that a key stops all of it, or where it yields the learner's voice. A loudspeaker that
        fails is tried again at the next turn."""
        text = " ".join(one if one.endswith(SENTENCE_ENDS) else f"{one}." for one in sentences if one)
        if not text or self._keyboard.waiting():
            return
        failed = self._voice.say(text, rate * self._pace, self._get_ready, WORD not in text.lower(), yields)
        if failed is not None and not self._mute:
            self._face.notice(NO_VOICE.format(reason=failed.reason))
        elif failed is None and self._mute:
            self._face.notice(VOICE_AGAIN)
        self._mute = failed is not None

    # -- what is said

    def listen(self) -> Utterance | None:
        """The next thing typed or said, empty for silence; None once nothing more can come."""
        while not self._keyboard.ended:
            typed = self._keyboard.take(RETRY if self._deaf else 0.0)
            if typed is not None and typed.text:
                self._silences = 0
                return typed
            if self._keyboard.ended or not self._hears_again():
                continue
            language = self._language()
            if language is None:
                if (typed := self._while_building()) is not None:
                    return typed
                continue
            if (heard := self._taken(self._voice.listen(language))) is not None:
                return heard
        return None

    def _while_building(self) -> Utterance | None:
        """Something typed while what can be said is still being learnt; the count is shown as it falls."""
        told = -1
        while self._language() is None:
            if (left := self._builder.left()) != told:
                if told < 0:
                    self.notice(LEARNING.format(left=left), LEARNING_ALOUD)
                else:
                    self._face.notice(LEARNING.format(left=left))
                told = left
            typed = self._keyboard.take(BUILDING)
            if typed is not None or self._keyboard.ended:
                return typed
        self.notice(LEARNT)
        return None

    def _taken(self, hearing: Hearing) -> Utterance | None:
        """What a hearing comes to; None to look and listen again."""
        if isinstance(hearing.event, Failed):
            self._to_keyboard(hearing.event.reason)
            return None
        self._told_deaf = False
        if hearing.evidence == BROKEN_OFF:
            return None
        if isinstance(hearing.event, Heard):
            self._noises = self._silences = 0
            return self._heard(hearing, hearing.event)
        if hearing.evidence != QUIET:  # sound without a word
            self._noises += 1
            self.notice({1: NO_WORDS, 2: STILL_NO_WORDS}.get(self._noises, AGAIN_NO_WORDS))
            return None
        if self._paused or self._silences >= ASKED:
            return None
        self._silences += 1
        return Utterance("", "spoken")

    def _hears_again(self) -> bool:
        """Try a microphone that failed; whether it can be listened to."""
        if self._deaf and self._voice.open() is None:
            self._deaf = False
            self.notice(EARS_AGAIN)
        return not self._deaf

    def _to_keyboard(self, reason: str) -> None:
        self._deaf = True
        if not self._told_deaf:
            self.notice(NO_EARS.format(reason=reason))
        self._told_deaf = True

    def _heard(self, hearing: Hearing, event: Heard) -> Utterance:
        found = self._attention.found(event.text)
        doubt = doubt_of(hearing, event, self._attention.expecting, found)
        if doubt == "none" and self._is_early(event):
            doubt = "read back"
        others = map(self._attention.found, hearing.others[:OTHERS])
        return Utterance(event.text, "spoken", doubt, (found, *others))

    def _is_early(self, event: Heard) -> bool:
        """Whether it is one of the first numbers, and heard by a recogniser that knows little of how sure it is."""
        return not event.hypotheses and self._confirmed < EARLY and not NUMBER_WORDS.isdisjoint(event.text.split())
