"""Choosing among hypotheses, and how far to believe the choice."""

from dataclasses import dataclass, replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from speech.audio.sound import Sound
from speech.hearings import Decision, Heard, Hypothesis
from speech.language import Language
from speech.recognition.ensemble import Ensemble
from speech.recognition.hypothesis_belief import WEIGHTS, HypothesisEvidence, understood
from speech.registry import Availability


@dataclass
class Told:
    """A recogniser that hears what it is told to."""

    event: Heard
    name: str = "told"
    held_to_sentences: bool = False

    def availability(self) -> Availability:
        return Availability(True, "told")

    def listen_for(self, language: Language) -> None:
        """Nothing depends on it."""

    def hear(self, sound: Sound) -> Heard:
        return self.event


MEANINGS = {"take three": "-3", "take away three": "-3", "take four": "-4", "add one": "+1"}


def one(text: str, score: float, *scores: float) -> Hypothesis:
    return Hypothesis(text, score, score, scores or (score, score, score))


def heard(*hypotheses: Hypothesis, dictation: Hypothesis | None = None) -> Heard:
    return Heard(hypotheses[0].text, hypotheses=hypotheses, dictation=dictation, seconds=1.0)


def test_the_best_that_is_understood_is_chosen_and_the_others_are_kept_in_order() -> None:
    hypotheses = [
        one("cake three", -1.0),
        one("take three", -2.0),
        one("take four", -4.0),
        one("take away three", -5.0),
    ]
    best = understood(heard(*hypotheses, one("add one", -6.0), dictation=one("Cake three.", -1.0)), MEANINGS.get)
    assert best is not None
    assert best.hypothesis.text == "take three"
    assert best.others == ("take four", "add one")
    evidence = best.evidence
    assert (evidence.gap, evidence.lead, evidence.behind) == (1.0, 2.0, 1.0)
    assert not evidence.agrees
    assert not evidence.differs


def test_nothing_understood_is_nothing_chosen() -> None:
    assert understood(heard(one("what a day", -1.0)), MEANINGS.get) is None


def test_what_leads_at_one_speed_only_is_hardly_believed() -> None:
    steady = understood(heard(one("take three", -2.0), one("take four", -3.0)), MEANINGS.get)
    shaky = understood(heard(one("take three", -2.0, 1.0, -3.0, -4.0), one("take four", -2.5)), MEANINGS.get)
    assert steady is not None
    assert shaky is not None
    assert (steady.evidence.versions, shaky.evidence.versions) == (1.0, 1 / 3)
    assert shaky.evidence.least_lead == -1.5
    assert shaky.evidence.belief() < steady.evidence.belief()


def test_decisions_by_the_evidence() -> None:
    clear = HypothesisEvidence()
    assert clear.decision() is Decision.ACCEPT
    assert replace(clear, certainty=0.5, lead=3.0).decision() is Decision.READ_BACK
    assert replace(clear, lead=0.2, least_lead=-0.5, versions=2 / 3, odd=1.5).decision() is Decision.READ_BACK
    assert replace(clear, single=True).decision() is Decision.ACCEPT
    assert replace(clear, single=True, least_lead=0.9).decision() is Decision.READ_BACK
    assert replace(clear, agrees=False, differs=True, gap=12.0, behind=6.0).decision() is not Decision.ACCEPT
    assert replace(clear, agrees=False, gap=15.0, lead=0.0, behind=10.0, pace=2.0).decision() is Decision.ASK_AGAIN


shares = st.floats(0, 20)


@settings(deadline=None)
@given(shares, shares, shares, shares, st.floats(0, 1), shares)
def test_more_evidence_is_never_believed_less(
    gap: float, lead: float, behind: float, pace: float, versions: float, more: float
) -> None:
    evidence = HypothesisEvidence(gap, lead, lead, behind, True, False, False, pace, versions)
    for better in (
        replace(evidence, gap=max(0.0, gap - more)),
        replace(evidence, lead=lead + more),
        replace(evidence, least_lead=lead + more),
        replace(evidence, behind=max(0.0, behind - more)),
        replace(evidence, versions=min(1.0, versions + more)),
    ):
        assert 0 <= evidence.belief() <= better.belief() <= 1
    assert replace(evidence, agrees=False, differs=True).belief() < evidence.belief()
    assert len(evidence.known()) == len(WEIGHTS)


def test_words_in_no_saying_are_passed_on_as_written_and_never_believed() -> None:
    """What somebody else must hear may be said in any words."""
    said = heard(one("take three", -20.0), dictation=one("My brother hits me.", -2.0))
    ensemble = Ensemble(Told(said), MEANINGS.get)
    hearing = ensemble.hear(Sound(np.zeros(10, np.float32)))
    assert isinstance(hearing.event, Heard)
    assert (hearing.event.text, hearing.decision) == ("My brother hits me.", Decision.ASK_AGAIN)
    nearer = Ensemble(Told(heard(one("take three", -9.0), dictation=one("Take free.", -2.0))), MEANINGS.get)
    assert nearer.hear(Sound(np.zeros(10, np.float32))).event.text == "take three"  # type: ignore[union-attr]
