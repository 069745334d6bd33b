"""Whole turns by voice, nothing replaced: sound is played into a microphone, and text comes out.

The microphone is PulseAudio's (virtual_microphone.py); capture, endpointing, recognition and playing are ours.
"""

import threading
import time
import wave
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from virtual_microphone import VirtualMicrophone, virtual_microphone

from speech.audio.devices import Microphone, loudspeaker_availability, microphone_availability, play
from speech.audio.endpoint import Pauses
from speech.audio.shaping import trimmed
from speech.audio.sound import RATE, Sound, levels
from speech.errors import NoLoudspeaker, NoMicrophone
from speech.hearings import Decision, Failed, Heard, Silence
from speech.language import Language, choice, compiled, only, phrase
from speech.recognition.ensemble import Ensemble
from speech.recognition.hands_free import ECHO, LOST, HandsFree, likeness
from speech.recognition.moonshine.moonshine import MoonshineRecogniser
from speech.recognition.pocketsphinx import PocketsphinxRecogniser
from speech.synthesis.espeak import EspeakSpeaker
from speech.synthesis.speakers import SilentSpeaker

Say = Callable[[str], Sound]


def saved(path: Path, sound: Sound) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, RATE, 0, "NONE", ""))
        file.writeframes(sound.pcm())
    return path


@pytest.fixture
def tutor(microphone: VirtualMicrophone) -> Iterator[HandsFree]:
    ensemble = Ensemble(PocketsphinxRecogniser(), str)
    with HandsFree(ensemble, EspeakSpeaker(), Pauses(patience=3)) as running:
        yield running


def test_speech_into_the_microphone_comes_out_as_text(
    microphone: VirtualMicrophone, tutor: HandsFree, anything: Language, say: Say, tmp_path: Path
) -> None:
    # three whose words are far from each other in this voice: what is tried here is the way through the microphone
    said = ["divide both sides by three", "add four to both sides", "multiply by six"]
    tutor.listen(anything)  # the room is measured, the model loaded: nothing is said
    heard = []
    for number, text in enumerate(said):
        path = saved(tmp_path / f"{number}.wav", say(text))
        threading.Timer(0.5, microphone.say, [path, False]).start()
        heard.append(tutor.listen(anything))
    texts = [one.event.text if isinstance(one.event, Heard) else str(one.event) for one in heard]
    assert sum(one == two for one, two in zip(texts, said, strict=True)) >= 2, texts


@pytest.mark.flaky(reruns=1)  # in real time: a busy machine swallows sound
def test_a_fragment_waits_for_the_rest_and_a_whole_answer_does_not(
    microphone: VirtualMicrophone, anything: Language, say: Say, tmp_path: Path
) -> None:
    """Nothing is lost where a learner thinks in the middle for a second; nobody waits so long after a whole move."""
    ensemble = Ensemble(MoonshineRecogniser(), str, whole=lambda text: text.endswith("six"))
    first, rest = trimmed(say("multiply by")), trimmed(say("six"))
    gap = np.zeros(RATE, np.float32)
    path = saved(tmp_path / "thinking.wav", Sound(np.concatenate([first.samples, gap, rest.samples])))
    with HandsFree(ensemble, SilentSpeaker(), Pauses(patience=3)) as tutor:
        tutor.listen(anything)  # the room is measured, the model loaded: nothing is said
        playing = threading.Timer(0.5, microphone.say, [path, True])
        playing.start()
        heard = tutor.listen(anything)
        ended = time.monotonic()
        playing.join()
        assert isinstance(heard.event, Heard)
        assert heard.event.text == "multiply by six", heard
        assert heard.whole
        assert time.monotonic() - ended < 1.0  # playing, which ends with the last word and the player's own buffer


def test_silence_is_told(tutor: HandsFree, anything: Language) -> None:
    hearing = tutor.listen(anything)
    assert hearing.event == Silence(3)
    assert hearing.decision is Decision.ASK_AGAIN


def test_the_tutor_is_heard_in_the_room_but_does_not_hear_itself(
    microphone: VirtualMicrophone, anything: Language, say: Say, tmp_path: Path
) -> None:
    recording = microphone.record_tutor(tmp_path / "tutor.wav")
    path = saved(tmp_path / "echo.wav", say("subtract nine from both sides"))
    with HandsFree(Ensemble(PocketsphinxRecogniser(), str), EspeakSpeaker(), Pauses(patience=2)) as tutor:
        assert tutor.listen(anything).event == Silence(2)
        microphone.say(path, wait=False)  # as loud as an echo can be: the very words, while the tutor speaks
        assert tutor.say("What will you do to both sides? Take your time and think it over.") is None
        assert tutor.listen(anything).event == Silence(2)
    recording.terminate()
    recording.wait(10)
    with wave.open(str(tmp_path / "tutor.wav")) as file:
        rate, channels = file.getframerate(), file.getnchannels()
        samples = np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").astype(np.float32) / 32768
    assert np.sum(levels(samples[::channels]) > -40) * 160 / rate > 1.5


@pytest.mark.flaky(reruns=1)  # in real time: a busy machine swallows sound
def test_what_asks_whether_anybody_is_there_gives_way_to_who_speaks(
    microphone: VirtualMicrophone, anything: Language, say: Say, tmp_path: Path
) -> None:
    text = "divide both sides by three"
    path = saved(tmp_path / "over.wav", say(text))
    asks = "Are you thinking, or stuck, or can you not hear me? Take all the time that you like."
    with HandsFree(Ensemble(PocketsphinxRecogniser(), str), EspeakSpeaker(), Pauses(patience=2)) as tutor:
        assert tutor.listen(anything).event == Silence(2)
        said = threading.Timer(0.5, microphone.say, [path, False])
        started = time.monotonic()
        assert tutor.say(asks, begun=said.start, yields=True) is None
        assert time.monotonic() - started < EspeakSpeaker().sound(asks).seconds - 1
        heard = tutor.listen(anything)
        assert isinstance(heard.event, Heard)
        assert heard.event.text == text
        assert LOST not in heard.evidence
        assert tutor.say(asks, yields=True) is None  # nobody speaks: it is said to its end
        assert tutor.listen(anything).event == Silence(2)


@pytest.mark.flaky(reruns=1)  # in real time: a busy machine swallows sound
def test_the_end_of_what_was_begun_over_the_tutor_is_not_believed(
    microphone: VirtualMicrophone, anything: Language, say: Say, tmp_path: Path
) -> None:
    speech = trimmed(say("divide both sides by three")).samples
    path = saved(tmp_path / "over.wav", Sound(np.tile(speech, 2)))
    with HandsFree(Ensemble(MoonshineRecogniser(), str), EspeakSpeaker(), Pauses(patience=2)) as tutor:
        assert tutor.listen(anything).event == Silence(2)
        said = threading.Timer(0.1, microphone.say, [path, False])
        assert tutor.say("What do you do next?", begun=said.start) is None
        heard = tutor.listen(anything)
        assert isinstance(heard.event, Heard)
        assert heard.decision is not Decision.ACCEPT
        assert LOST in heard.evidence


def test_a_key_interrupts_the_tutor(microphone: VirtualMicrophone) -> None:
    text = "This is a very long sentence, and it goes on, and on, until somebody stops it. " * 3
    with HandsFree(Ensemble(PocketsphinxRecogniser(), str), EspeakSpeaker()) as tutor:
        whole = EspeakSpeaker().sound(text).seconds
        threading.Timer(0.8, tutor.interrupt).start()
        started = time.monotonic()
        assert tutor.say(text) is None
        assert time.monotonic() - started < whole / 2


@pytest.mark.flaky(reruns=1)  # in real time: a busy machine swallows sound
def test_a_word_said_over_the_tutor_stops_it(microphone: VirtualMicrophone, say: Say, tmp_path: Path) -> None:
    text = "This is a very long sentence, and it goes on, and on, until somebody stops it. " * 4
    stops = only(compiled(choice(phrase("stop"), phrase("stop it"), phrase("please stop"))))
    path = saved(tmp_path / "stop.wav", say("please stop"))
    ensemble = Ensemble(PocketsphinxRecogniser(), lambda text: "stop")
    with HandsFree(ensemble, EspeakSpeaker(), stops=stops) as tutor:
        assert tutor.open() is None
        whole = sum(EspeakSpeaker().sound(one).seconds for one in text.split(". "))
        started = time.monotonic()
        said = threading.Timer(0.8, microphone.say, [path, False])
        assert tutor.say(text, begun=said.start) is None
        assert time.monotonic() - started < whole / 2


def test_the_tutors_own_voice_is_known_in_the_room(say: Say) -> None:
    tutor = EspeakSpeaker().sound("What will you do to both sides? Tell me in your own words.").samples
    room = np.random.default_rng(2).standard_normal(3000) * np.exp(-np.arange(3000) / 600) * 0.05  # invented
    room[0] = 1.0
    echo = np.convolve(np.concatenate([np.zeros(RATE // 10), tutor]), room)[: len(tutor)].astype(np.float32)
    learner = say("stop it").samples
    for end in range(RATE, len(tutor), RATE // 2):
        assert likeness(echo[end - RATE // 2 : end], tutor[:end]) > ECHO
        assert likeness(learner, tutor[:end]) < ECHO
    assert likeness(learner, tutor[:0]) == 0.0


def test_sound_is_kept_only_when_asked(
    microphone: VirtualMicrophone, answers: Language, say: Say, tmp_path: Path
) -> None:
    kept: list[Sound] = []
    meter: list[float] = []
    path = saved(tmp_path / "seven.wav", say("twenty seven"))
    ensemble = Ensemble(PocketsphinxRecogniser(), str)
    with HandsFree(ensemble, SilentSpeaker(), level=meter.append, keep=kept.append) as tutor:
        threading.Timer(0.8, microphone.say, [path, False]).start()
        assert isinstance(tutor.listen(answers).event, Heard)
    assert len(kept) == 1
    assert kept[0].seconds < 4
    assert max(meter) > -30
    assert min(meter) < -60


def test_playing_takes_as_long_as_the_sound(microphone: VirtualMicrophone) -> None:
    play(Sound(np.zeros(RATE // 10, np.float32)))
    started = time.monotonic()
    assert play(Sound(np.zeros(RATE, np.float32)))
    assert time.monotonic() - started > 0.9


def test_unplugging_in_mid_sentence_is_told_in_one_line(anything: Language, say: Say, tmp_path: Path) -> None:
    path = saved(tmp_path / "long.wav", Sound(np.tile(say("add nine to both sides").samples, 4)))
    with virtual_microphone() as doomed, HandsFree(Ensemble(PocketsphinxRecogniser(), str), SilentSpeaker()) as tutor:
        threading.Timer(0.5, doomed.say, [path, False]).start()
        threading.Timer(2.0, doomed.unplug).start()
        hearing = tutor.listen(anything)
        assert isinstance(hearing.event, Failed)
        assert "unplugged" in hearing.event.reason
        again = tutor.listen(anything)  # nothing can be opened now: told at once, and no loop
        assert isinstance(again.event, Failed)
        assert "type instead" in again.event.reason


def test_without_devices_each_port_says_so_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PULSE_SERVER", "unix:/nowhere")
    monkeypatch.setenv("ALSA_CONFIG_PATH", "/nowhere")
    with pytest.raises(NoMicrophone, match="connect a microphone"), Microphone():
        pass
    with pytest.raises(NoLoudspeaker, match="connect loudspeakers"):
        play(Sound(np.zeros(RATE, np.float32)))
    assert not microphone_availability().ok
    assert not loudspeaker_availability().ok
    with HandsFree(Ensemble(PocketsphinxRecogniser(), str), EspeakSpeaker()) as tutor:
        told = tutor.say("hello")
        assert isinstance(told, Failed)
        assert "read the screen" in told.reason
