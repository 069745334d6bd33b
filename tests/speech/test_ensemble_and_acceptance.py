"""Which engine is chosen and what is said about the others; typed turns; events; the table of doubt."""

from dataclasses import FrozenInstanceError, dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from number_phrases import cardinal

from speech import errors
from speech.errors import EngineUnavailable, SpeechError
from speech.hearings import Decision, Decoding, Failed, Heard, HeardWord, HearingResult, Silence
from speech.language import Language, compiled, only
from speech.recognition.acceptance import NEVER, THRESHOLDS, HearingEvidence, SecondOpinion, belief, decision_on, solid
from speech.recognition.engines import recognisers, second_recogniser
from speech.recognition.ensemble import Ensemble
from speech.registry import Availability, choose_engine
from speech.synthesis.speakers import speakers


@dataclass
class Scripted:
    """A recogniser that hears what it is told to."""

    event: HearingResult
    name: str = "scripted"
    state: Availability = field(default_factory=lambda: Availability(True, "scripted"))
    refuses: bool = False
    held_to_sentences: bool = True

    def availability(self) -> Availability:
        return self.state

    def listen_for(self, language: Language) -> None:
        if self.refuses:
            raise EngineUnavailable("it refuses")

    def hear(self, sound: object) -> HearingResult:
        return self.event


def engine(name: str, lacks: str = "") -> Scripted:
    return Scripted(Silence(), name, Availability(not lacks, lacks or "it works"))


def test_the_first_that_works_is_chosen_and_the_rest_explained() -> None:
    chosen = choose_engine([engine("vosk", "no model"), engine("pocketsphinx"), engine("typed")])
    assert chosen.engine.name == "pocketsphinx"
    assert chosen.passed_over == (("vosk", "no model"), ("typed", "pocketsphinx comes first"))
    assert str(chosen) == "pocketsphinx (it works); not vosk: no model; not typed: pocketsphinx comes first"


def test_what_is_asked_for_comes_first_if_it_works() -> None:
    both = [engine("vosk"), engine("typed")]
    assert str(choose_engine(both, "typed")) == "typed (asked for); not vosk: typed was asked for"
    broken = choose_engine([engine("vosk"), engine("sphinx", "broken")], "sphinx")
    assert (broken.engine.name, broken.passed_over) == ("vosk", (("sphinx", "broken"),))
    assert choose_engine(both, "whisper").passed_over[0] == ("whisper", "no such engine (there are vosk, typed)")


def test_when_none_works_every_reason_is_told() -> None:
    with pytest.raises(EngineUnavailable, match=r"vosk: no model; pyttsx3: no voice"):
        choose_engine([engine("vosk", "no model"), engine("pyttsx3", "no voice")])
    with pytest.raises(EngineUnavailable, match="none is known"):
        choose_engine(list[Scripted]())


def test_events_are_valid_or_are_not_made() -> None:
    for make in (
        lambda: Heard(" "), lambda: Heard("x", 1.5), lambda: Failed(""), lambda: Failed("two\nlines"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=r"\w"):
            make()
    with pytest.raises(FrozenInstanceError):
        Heard("x").text = "y"  # type: ignore[misc]
    assert Heard("x", 0.5, (Decoding("x"), Decoding("y")), (HeardWord("x", 0, 1, 0.5),)).words[0].end == 1


def test_the_table_of_doubt_is_whole_and_never_trusts_less_evidence_more() -> None:
    assert set(THRESHOLDS) == set(SecondOpinion)
    assert THRESHOLDS[SecondOpinion.AGREES].accept <= THRESHOLDS[SecondOpinion.ABSENT].accept
    assert THRESHOLDS[SecondOpinion.DIFFERS].accept == THRESHOLDS[SecondOpinion.NOTHING].accept == NEVER


shares = st.floats(0, 1)


@given(shares, st.floats(-200, 200), shares, shares, shares, st.floats(0, 300), st.sampled_from(range(1, 12)))
def test_more_evidence_is_never_believed_less(
    agreeing: float, lead: float, confidence: float, covered: float, more: float, further: float, words: int
) -> None:
    evidence = HearingEvidence(SecondOpinion.ABSENT, agreeing, lead, confidence, covered, words)
    for better in (
        replace(evidence, agreeing=max(agreeing, more)),
        replace(evidence, lead=lead + further),
        replace(evidence, confidence=max(confidence, more)),
        replace(evidence, covered=max(covered, more)),
    ):
        assert 0 <= belief(evidence) <= belief(better) <= 1
        assert solid(better) or not solid(evidence)


def decision(second: SecondOpinion = SecondOpinion.ABSENT, **known: Any) -> Decision:
    return decision_on(HearingEvidence(second, **known))


def test_decisions_by_the_evidence() -> None:
    accept, read_back, ask_again = Decision
    assert decision() is accept
    assert decision(confidence=0.9) is accept
    assert decision(agreeing=2 / 3) is accept
    assert decision(agreeing=2 / 3, lead=40.0, confidence=0.9) is read_back
    assert decision(lead=0.0, confidence=0.8) is read_back
    assert decision(confidence=0.6) is accept
    assert decision(confidence=0.59) is read_back
    assert decision(agreeing=1 / 3) is read_back
    assert decision(agreeing=1 / 3, lead=0.0, confidence=0.3) is ask_again
    assert decision(covered=0.79) is read_back  # few words in much sound: most likely about something else
    assert decision(words=1, narrow=True, confidence=0.94) is read_back
    assert decision(words=1, narrow=True, confidence=0.96) is accept
    assert decision(words=4, narrow=True, confidence=0.94) is read_back
    assert decision(SecondOpinion.AGREES, fit=0.5, words=1, narrow=True, confidence=0.89) is read_back
    assert decision(SecondOpinion.AGREES, fit=0.5, words=1, narrow=True, confidence=0.91) is accept
    assert decision(words=1, confidence=0.89, lead=15.0) is read_back
    assert decision(words=1, confidence=0.91, lead=15.0) is accept
    assert decision(words=1, confidence=0.82) is accept
    assert decision(words=1, confidence=0.82, lead=20.0) is read_back
    assert decision(words=1, confidence=0.74) is read_back
    assert decision(SecondOpinion.DIFFERS, fit=0.6) is read_back
    assert decision(SecondOpinion.DIFFERS, fit=0.59) is ask_again
    assert decision(SecondOpinion.NOTHING) is ask_again
    assert decision(SecondOpinion.AGREES, fit=0.5, agreeing=2 / 3, lead=40.0, confidence=0.9) is accept
    assert decision(SecondOpinion.AGREES, fit=0.49) is read_back
    assert decision(SecondOpinion.AGREES, fit=0.39) is ask_again


MEANINGS = {"take three": "-3", "take away three": "-3", "take four": "-4", "add one": "+1"}
WIDE = only(compiled(cardinal()))  # enough words not to be narrow


def hearing(first: HearingResult, second: HearingResult | None = None) -> tuple[str, Decision]:
    ensemble = Ensemble(Scripted(first), MEANINGS.get, None if second is None else Scripted(second, "other"))
    ensemble.listen_for(WIDE)
    result = ensemble.hear(None)  # type: ignore[arg-type]
    return (result.event.text if isinstance(result.event, Heard) else "", result.decision)


SURE = 0.95


def said(*texts: str, sure: float = SURE) -> Heard:
    return Heard(texts[0], sure, tuple(map(Decoding, texts)))


def test_ears_vote_on_the_meaning_not_the_words() -> None:
    first = said("take three", "take away three", "take three")
    assert hearing(first, Heard("take away three", SURE)) == ("take three", Decision.ACCEPT)
    assert hearing(first, Heard("take four", SURE))[1] is Decision.READ_BACK
    assert hearing(first, Heard("blah", SURE))[1] is not Decision.ACCEPT
    assert hearing(first, Silence())[1] is not Decision.ACCEPT


def test_what_is_not_understood_is_asked_again() -> None:
    assert hearing(said("blah", "blah", "blah"))[1] is Decision.ASK_AGAIN
    assert hearing(Silence()) == ("", Decision.ASK_AGAIN)
    assert hearing(Failed("broken")) == ("", Decision.ASK_AGAIN)


def test_the_majority_is_read_back() -> None:
    assert hearing(said("take four", "take three", "take three"), Heard("take three", SURE))[0] == "take three"
    assert hearing(said("take four", "take four", "take four"), Heard("take three", SURE))[0] == "take four"
    assert hearing(said("take four", "take four", "blah"), Heard("take three", SURE))[0] == "take four"
    assert hearing(said("take four", "take four", "blah", sure=0.6), Heard("take three", SURE))[0] == "take three"
    assert hearing(said("take four", "take three", "take three"))[0] == "take three"
    assert hearing(said("blah", "take three", "blah"))[0] == "take three"


def test_a_second_recogniser_that_fails_is_left_out() -> None:
    for broken in (Scripted(Failed("x"), "b"), Scripted(Silence(), "b", refuses=True)):
        ensemble = Ensemble(Scripted(said("take three", "take three", "take three")), MEANINGS.get, broken)
        assert ensemble.name == "scripted with b"
        ensemble.listen_for(WIDE)
        ensemble.hear(None)  # type: ignore[arg-type]
        assert ensemble.name == "scripted"


def test_every_error_is_in_the_tree_at_the_top_of_its_file() -> None:
    tree = errors.__doc__ or ""
    classes = [one for one in vars(errors).values() if isinstance(one, type)]
    assert all(issubclass(one, SpeechError) for one in classes)
    assert [one.__name__ for one in classes if one.__name__ not in tree] == []


def test_moonshine_comes_first_and_every_other_is_explained(tmp_path: Path) -> None:
    chosen = choose_engine(recognisers(environment={}, folders=[tmp_path]))
    assert chosen.engine.name == "moonshine"
    assert [name for name, _ in chosen.passed_over] == ["vosk", "pocketsphinx"]
    assert "alphacephei.com/vosk/models" in str(chosen)
    assert "\n" not in str(chosen)


def test_where_the_wheels_of_moonshine_are_missing_one_line_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("speech.recognition.moonshine.model_files.find_spec", lambda name: None)
    chosen = choose_engine(recognisers(environment={}, folders=[]))
    assert chosen.engine.name == "pocketsphinx"
    assert dict(chosen.passed_over)["moonshine"].startswith("its packages are not installed (pip install onnxruntime")
    assert "\n" not in str(chosen)


def test_the_second_recogniser_is_never_the_first_again() -> None:
    for first in recognisers(environment={}):
        second = second_recogniser(first)
        assert second is None or second.name != first.name


def test_there_is_always_a_voice_that_works() -> None:
    assert speakers()[-1].availability().ok
    assert choose_engine(speakers()).engine.name in {"espeak", "pyttsx3"}
    assert choose_engine(speakers(), "silent").engine.name == "silent"
