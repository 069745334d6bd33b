"""One or two recognisers that vote on what was meant, and the decision how far to believe them."""

from collections import Counter
from collections.abc import Callable, Hashable

from speech.audio.sound import Sound
from speech.doubt import DOUBT, Doubt, Evidence, SecondEar, Witnesses, decide
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

    @property
    def name(self) -> str:
        """The recognisers in use."""
        return self._first.name if self._second is None else f"{self._first.name} with {self._second.name}"

    def listen_for(self, language: Automaton) -> None:
        """Listen for this language. Raises `EngineUnavailable` or `EngineFailed` when the first ear cannot."""
        self._first.listen_for(language)
        if self._second is not None:
            try:
                self._second.listen_for(language)
            except SpeechError:
                self._second = None

    def hear(self, sound: Sound) -> Hearing:
        """Recognise one utterance and decide how far to believe it."""
        event = self._first.hear(sound)
        if not isinstance(event, Heard):
            decision = Decision.ASK_AGAIN
            return Hearing(event, decision, "nothing was recognised", self.name)
        other = self._second.hear(sound) if self._second is not None else None
        if isinstance(other, Failed):
            self._second, other = None, None
        return self._voted(event, other)

    def _voted(self, first: Heard, second: Event | None) -> Hearing:
        second_heard = second if isinstance(second, Heard) else None
        said = {heard: self._meaning(heard) for heard in (first.text, *first.alternatives)}
        meant = said[first.text]
        other = self._meaning(second_heard.text) if second_heard is not None else None
        chosen, meant = self._chosen(first, meant, second_heard, other, said)
        if meant is None:
            return Hearing(chosen, Decision.ASK_AGAIN, "it was not understood", self.name)
        agreeing = [said[text] == meant for text in (first.text, *first.alternatives)]
        evidence = Evidence(
            _second(second, other, meant),
            Witnesses.ALL if all(agreeing) else Witnesses.SOME if sum(agreeing) > 1 else Witnesses.NONE,
            first.confidence,
            second_heard.confidence if second_heard is not None else 0.0,
        )
        return Hearing(chosen, decide(evidence, self._doubt), str(evidence), self.name)

    def _chosen(
        self,
        first: Heard,
        meant: Hashable | None,
        second: Heard | None,
        other: Hashable | None,
        said: dict[str, Hashable | None],
    ) -> tuple[Heard, Hashable | None]:
        """The hearing to go on with: what most decodings mean, the second ear counting as two of the first's."""
        votes: Counter[Hashable] = Counter()
        for text in (first.text, *first.alternatives):
            if said[text] is not None:
                votes[said[text]] += 1
        if other is not None:
            votes[other] += 2
        if not votes:
            return first, None
        best, count = votes.most_common(1)[0]
        if meant is not None and votes[meant] == count:
            best = meant
        if best == meant:
            return first, meant
        if second is not None and best == other:
            return second, other
        text = next(text for text in first.alternatives if said[text] == best)
        return Heard(text, first.confidence, (first.text, *first.alternatives)), best


def _second(event: Event | None, other: Hashable | None, meant: Hashable) -> SecondEar:
    if event is None:
        return SecondEar.ABSENT
    if isinstance(event, Silence) or other is None:
        return SecondEar.NOTHING
    return SecondEar.AGREES if other == meant else SecondEar.DIFFERS
