"""A lesson by voice: what the tutor says is shown and spoken, what the learner says is heard or typed.

Microphone and keyboard are open in the same session. Whatever goes wrong with the sound is told in one line, and the
lesson goes on by keyboard. A hearing in doubt is only marked so: what is asked back, and when typing is offered, is the
tutor's own business, and never depends on what would be right.
"""

from collections.abc import Callable
from threading import Thread
from types import TracebackType

from chattutor.lesson.keyboard import Keyboard
from chattutor.lesson.ports import Ears, Face
from chattutor.voice.hearing import Attention
from chattutor.voice.languages import language_of
from dialogue.language.numerals import NUMBER_WORDS
from dialogue.meaning import Expecting
from dialogue.tutor import expecting
from dialogue.tutor.state import Doubt, Said, Turn
from speech.events import Decision, Failed, Heard, Hearing
from speech.hands_free import BROKEN_OFF, HandsFree
from speech.language import Automaton

EARLY = 3  # numbers that a learner has confirmed, before one that was heard well is taken without asking
SLOWER = 0.75  # of the usual pace, where it was asked for
DOUBTS: dict[Decision, Doubt] = {
    Decision.ACCEPT: "none",
    Decision.READ_BACK: "read back",
    Decision.ASK_AGAIN: "ask again",
}
NO_VOICE = "The tutor cannot be heard ({reason}). Read the screen; you can still speak."
NO_EARS = "The tutor cannot hear you ({reason}). Type from here on; nothing is lost."

Expected = tuple[Expecting, str]


class ByVoice:
    """Ears and face of a lesson at once, around the face that draws it. Leave the context to close the microphone."""

    def __init__(self, face: Face, attention: Attention, lines: Ears, open_voice: Callable[[], HandsFree]) -> None:
        self._face, self._attention = face, attention
        self._voice = open_voice()
        self._keyboard = Keyboard(lines, self._key)
        self._languages: dict[Expected, Automaton] = {}
        self._deaf = self._mute = False
        self._confirmed = 0
        self._attention.expecting = "yesno"  # before the first question only "shall we go on?" is asked

    def __enter__(self) -> "ByVoice":
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._voice.__exit__(kind, error, at)

    def _key(self) -> None:
        self._voice.interrupt()
        self._voice.break_off()

    # -- the face

    def notice(self, text: str) -> None:
        """Show it and say it."""
        self._face.notice(text)
        self._say(text)

    def show(self, turn: Turn) -> None:
        """Show the turn, then say it; the language of the answer is loaded meanwhile."""
        self._face.show(turn)
        self._attention.expecting, self._attention.letter = expecting(turn.state), turn.state.letter
        if turn.record.get("phase") == "confirm" and turn.record.get("event") == "yes":
            self._confirmed += 1
        if not self._deaf:
            Thread(target=self._get_ready, name="language", daemon=True).start()
        rate = SLOWER if turn.record.get("event") == "slower" else 1.0
        for reply in turn.replies:
            if self._keyboard.waiting():
                return  # something was typed meanwhile
            self._say(reply.spoken, rate)

    def _get_ready(self) -> None:
        self._voice.ready_for([self._language()])

    def _language(self) -> Automaton:
        expected = (self._attention.expecting, self._attention.letter)
        if expected not in self._languages:
            self._languages[expected] = language_of(*expected)
        return self._languages[expected]

    def _say(self, text: str, rate: float = 1.0) -> None:
        if self._mute or not text:
            return
        failed = self._voice.say(text, rate)
        if failed is not None:
            self._mute = True
            self._face.notice(NO_VOICE.format(reason=failed.reason))

    # -- the ears

    def listen(self) -> Said | None:
        """The next thing typed or said, empty for silence; None once nothing more can come."""
        while True:
            if (typed := self._keyboard.take()) is not None:
                return typed
            if self._deaf:
                return self._keyboard.wait()
            hearing = self._voice.listen(self._language())
            if (typed := self._keyboard.take()) is not None:
                return typed
            if isinstance(hearing.event, Failed):
                self._deaf = True
                self._face.notice(NO_EARS.format(reason=hearing.event.reason))
            elif hearing.evidence != BROKEN_OFF:  # by a line that said nothing
                return self._heard(hearing)

    def _heard(self, hearing: Hearing) -> Said:
        if not isinstance(hearing.event, Heard):
            return Said("", "spoken")
        text = hearing.event.text
        doubt = DOUBTS[hearing.decision]
        if doubt == "none" and self._confirmed < EARLY and not NUMBER_WORDS.isdisjoint(text.split()):
            doubt = "read back"
        return Said(text, "spoken", doubt)
