"""One or two recognisers that vote on what was meant, and the decision how far to believe them."""

from collections import Counter
from collections.abc import Callable, Hashable
from concurrent.futures import ThreadPoolExecutor

from speech.audio.sound import Sound
from speech.doubt import CLEAR, DOUBT, NARROW, Doubt, Evidence, SecondEar, Witnesses, decide
from speech.errors import SpeechError
from speech.events import Decision, Event, Failed, Heard, Hearing, Silence
from speech.language import Automaton
from speech.ports import Recogniser

Meaning = Callable[[str], Hashable | None]  # the same value for texts that mean the same; None: not understood


class Ears:
    """Hears with `first`, and with `second` where there is one; `meaning` is the caller's.

    What is voted on is the meaning, so that "take three from both sides" and "take away three from both sides"
    agree. A second ear that fails is left out for the rest; the first goes on alone, with more doubt.
    """

    def __init__(
        self, first: Recogniser, meaning: Meaning, second: Recogniser | None = None, doubt: Doubt = DOUBT
    ) -> None:
        self._first, self._second = first, second
        self._meaning, self._doubt = meaning, doubt
        self._narrow = False
        self._worker = ThreadPoolExecutor(1, "second-ear")  # the ears hear at the same time, on two processors

    @property
    def name(self) -> str:
        """The recognisers in use."""
        return self._first.name if self._second is None else f"{self._first.name} with {self._second.name}"

    def listen_for(self, language: Automaton) -> None:
        """Listen for this language. Raises `EngineUnavailable` or `EngineFailed` when the first ear cannot."""
        self._first.listen_for(language)
        self._narrow = len(language.vocabulary) < NARROW
        if self._second is not None:
            try:
                self._second.listen_for(language)
            except SpeechError:
                self._second = None

    def hear(self, sound: Sound) -> Hearing:
        """Recognise one utterance and decide how far to believe it."""
        waiting = None if self._second is None else self._worker.submit(self._second.hear, sound)
        event = self._first.hear(sound)
        other = None if waiting is None else waiting.result()
        if not isinstance(event, Heard):
            return Hearing(event, Decision.ASK_AGAIN, "nothing was recognised", self.name)
        if isinstance(other, Failed):
            self._second, other = None, None
        return self._voted(event, other)

    def _voted(self, first: Heard, second: Event | None) -> Hearing:
        decodings = (first.text, *first.alternatives)
        meanings = [self._meaning(text) for text in decodings]
        other = self._meaning(second.text) if isinstance(second, Heard) else None
        agreeing = [meaning == meanings[0] for meaning in meanings]
        if isinstance(second, Heard) and other is not None and other != meanings[0]:
            clear = meanings[0] is not None and all(agreeing) and first.confidence >= CLEAR
            chosen, meant = (first, meanings[0]) if clear else (second, other)
            kind, confidence = SecondEar.DIFFERS, second.confidence
        else:
            meant = self._most(meanings)
            text = decodings[meanings.index(meant)]
            chosen = first if meant == meanings[0] else Heard(text, first.confidence, decodings)
            agreeing = [meaning == meant for meaning in meanings]
            kind = _second(second, other)
            confidence = second.confidence if isinstance(second, Heard) and other is not None else first.confidence
        if meant is None:
            return Hearing(chosen, Decision.ASK_AGAIN, "it was not understood", self.name)
        witnesses = Witnesses.ALL if all(agreeing) else Witnesses.SOME if sum(agreeing) > 1 else Witnesses.NONE
        narrow = self._narrow or len(chosen.text.split()) == 1
        evidence = Evidence(kind, witnesses, confidence, first.confidence, narrow)
        unanimous = witnesses is Witnesses.ALL and kind in (SecondEar.AGREES, SecondEar.ABSENT)
        return Hearing(chosen, decide(evidence, self._doubt), str(evidence), self.name, unanimous)

    def _most(self, meanings: list[Hashable | None]) -> Hashable | None:
        """What most decodings mean, the first of them where there is no most; None when none was understood."""
        counts = Counter(meaning for meaning in meanings if meaning is not None)
        if not counts:
            return None
        best, count = counts.most_common(1)[0]
        return meanings[0] if counts[meanings[0]] == count else best


def _second(event: Event | None, other: Hashable | None) -> SecondEar:
    """Called where the second ear does not differ: it agrees, or understood nothing, or is not there."""
    if event is None:
        return SecondEar.ABSENT
    return SecondEar.NOTHING if isinstance(event, Silence) or other is None else SecondEar.AGREES
