"""One or two recognisers that vote on what was meant, and the decision how far to believe them."""

from collections import Counter
from collections.abc import Callable, Hashable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import NamedTuple

from speech.audio.sound import Sound
from speech.errors import SpeechError
from speech.hearings import Decision, Decoding, Failed, Heard, Hearing, HearingResult
from speech.language import Language
from speech.recognition.acceptance import (
    CLEAR,
    CLOSE,
    HIGHEST_LEAD,
    LOWEST_LEAD,
    NARROW,
    THRESHOLDS,
    HearingEvidence,
    SecondOpinion,
    Thresholds,
    belief,
    decision_on,
    solid,
)
from speech.recognition.hypothesis_belief import MeaningOf, understood
from speech.recognition.recogniser import Recogniser

FAR = 8.0  # by which dictation fits better where no hypothesis fits (natural logarithm)
UNANIMOUS = 2.0  # lead from which a hypothesis has no rival (natural logarithm)
LEAST_WITNESSES = 2  # a decoding alone does not agree with anything


class Ensemble:
    """Hears with `first`, and with `second` where there is one; `meaning` is the caller's.

    What is voted on is the meaning, so that "take three from both sides" and "take away three from both sides"
    agree. A second recogniser that fails is left out for the rest; the first goes on alone, with more doubt.
    """

    def __init__(
        self,
        first: Recogniser,
        meaning: MeaningOf,
        second: Recogniser | None = None,
        doubt: Thresholds = THRESHOLDS,
        whole: Callable[[str], bool] | None = None,
        certainty: Callable[[str], float] | None = None,
        usual: Callable[[str], float] | None = None,
        urgent: Callable[[str], bool] | None = None,
    ) -> None:
        """`whole` tells whether a text is all of an answer, `certainty` (0 to 1) how sure its meaning is, `usual`
        (above 0, to 1) how usual it is as an answer, and `urgent` whether it must be passed on however it was heard."""
        self._usual, self._urgent = usual, urgent or (lambda text: False)
        self._first, self._second = first, second
        self._whole, self._certainty = whole or (lambda text: True), certainty or (lambda text: 1.0)
        self._meaning, self._doubt = meaning, doubt
        self._narrow = False
        self._worker = ThreadPoolExecutor(1, "second-recogniser")  # they hear at the same time, on two processors

    @property
    def name(self) -> str:
        """The recognisers in use."""
        return self._first.name if self._second is None else f"{self._first.name} with {self._second.name}"

    @property
    def held_to_sentences(self) -> bool:
        """Whether one of them hears only sentences of an automaton."""
        return self._first.held_to_sentences or (self._second is not None and self._second.held_to_sentences)

    def listen_for(self, language: Language) -> None:
        """Listen for this language. Raises `EngineUnavailable` or `EngineFailed` when the first recogniser cannot."""
        self._first.listen_for(language)
        self._narrow = self._first.held_to_sentences and len(language.sentences().vocabulary) < NARROW
        if self._second is not None:
            try:
                self._second.listen_for(language)
            except SpeechError:
                self._second = None

    def hear(self, sound: Sound) -> Hearing:
        """Recognise one utterance and decide how far to believe it."""
        hearing = self._hear(sound)
        return replace(hearing, whole=isinstance(hearing.event, Heard) and self._whole(hearing.event.text))

    def _hear(self, sound: Sound) -> Hearing:
        waiting = None if self._second is None else self._worker.submit(self._second.hear, sound)
        event = self._first.hear(sound)
        other = None if waiting is None else waiting.result()
        if not isinstance(event, Heard):
            return Hearing(event, Decision.ASK_AGAIN, "nothing was recognised", self.name)
        if isinstance(other, Failed):
            self._second, other = None, None
        if event.hypotheses:
            return self._chosen(event)
        return self._voted(event, other)

    def _chosen(self, heard: Heard) -> Hearing:
        """Of a recogniser that gives hypotheses, the likeliest that is understood. Where none comes near what it writes
        unguided, that was said, in words that are in no saying: it may matter, and is never taken for an answer."""
        written = heard.dictation
        if written is not None and written.text:
            far = written.sound - heard.hypotheses[0].sound > FAR
            if far or self._urgent(written.text):
                event = replace(heard, text=written.text, hypotheses=())
                return Hearing(event, Decision.ASK_AGAIN, "no hypothesis fits" if far else "it may matter", self.name)
        best = understood(heard, self._meaning, self._usual, self._certainty)
        if best is None:
            return Hearing(heard, Decision.ASK_AGAIN, "it was not understood", self.name)
        event = heard if best.hypothesis.text == heard.text else replace(heard, text=best.hypothesis.text)
        sure = best.evidence.agrees and best.evidence.lead >= UNANIMOUS
        return Hearing(event, best.evidence.decision(), str(best.evidence), self.name, sure, best.others)

    def _voted(self, first: Heard, second: HearingResult | None) -> Hearing:
        other = self._meaning(second.text) if isinstance(second, Heard) else None
        evidence, meant, text = weighed(first, self._meaning, self._narrow)
        chosen = first if text == first.text else Heard(text, first.confidence)
        if isinstance(second, Heard) and other is not None and other != meant:
            evidence = replace(evidence, second=SecondOpinion.DIFFERS, fit=second.confidence)
            if not (meant is not None and solid(evidence) and belief(evidence) >= CLEAR):
                chosen, meant = second, other
        elif second is not None:
            kind = SecondOpinion.NOTHING if other is None else SecondOpinion.AGREES
            evidence = replace(evidence, second=kind, fit=second.confidence if isinstance(second, Heard) else 0.0)
        if meant is None:
            return Hearing(chosen, Decision.ASK_AGAIN, "it was not understood", self.name)
        unanimous = evidence.agreeing == 1 and evidence.lead >= CLOSE
        unanimous = unanimous and evidence.second in (SecondOpinion.AGREES, SecondOpinion.ABSENT)
        return Hearing(chosen, decision_on(evidence, self._doubt), str(evidence), self.name, unanimous)


class FirstVote(NamedTuple):
    """What the first recogniser alone speaks for: what most of its decodings mean, and the first text that means it."""

    evidence: HearingEvidence
    meant: Hashable | None
    text: str


def weighed(first: Heard, meaning: MeaningOf, narrow: bool = False) -> FirstVote:
    """Weigh one hearing; `narrow` tells that the language holds fewer than `NARROW` words."""
    decodings = first.decodings or (Decoding(first.text),)
    texts = {text for one in decodings for text in (one.text, *(rival for rival, _ in one.rivals)) if text}
    meanings = {text: meaning(text) for text in texts} | {"": None}
    means = [meanings[one.text] for one in decodings]
    meant = _most(means)
    words = len(first.text.split())
    evidence = HearingEvidence(
        SecondOpinion.ABSENT,
        agreeing=sum(each == meant for each in means) / max(LEAST_WITNESSES, len(means)),
        lead=sum(_lead(one, meant, meanings) for one in decodings) / len(decodings),
        confidence=first.confidence,
        covered=first.covered,
        words=words,
        narrow=narrow,
    )
    return FirstVote(evidence, meant, first.text if meant is None else decodings[means.index(meant)].text)


def _most(meanings: list[Hashable | None]) -> Hashable | None:
    """What most decodings mean, the first of them where there is no most; None when none was understood."""
    counts = Counter(meaning for meaning in meanings if meaning is not None)
    if not counts:
        return None
    best, count = counts.most_common(1)[0]
    return meanings[0] if counts[meanings[0]] == count else best


def _lead(decoding: Decoding, meant: Hashable | None, meanings: Mapping[str, Hashable | None]) -> float:
    """How much better what is meant fits than anything else that is understood."""
    worse = [(meanings[text], by) for text, by in ((decoding.text, 0.0), *decoding.rivals)]
    own = [by for meaning, by in worse if meaning == meant]
    others = [by for meaning, by in worse if meaning not in (meant, None)]
    if not own:
        return LOWEST_LEAD
    return min(max(min(others) - min(own), LOWEST_LEAD), HIGHEST_LEAD) if others else HIGHEST_LEAD
