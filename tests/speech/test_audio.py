"""Reading, trimming and cutting sound: real files, real samples."""

import math
import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from speech.audio.endpoint import Endpointer, Heed, Pauses
from speech.audio.shaping import at_speed, cut_off, padded, prepared, trimmed
from speech.audio.sound import RATE, Sound, levels, read_audio, resampled
from speech.audio.upper_half import widened
from speech.errors import UnreadableAudio

RECORDINGS = Path(__file__).parent / "recordings"
Say = Callable[[str], Sound]


def tone(seconds: float, hertz: float = 440.0, rate: int = RATE, loud: float = 0.3) -> np.ndarray:
    return (loud * np.sin(2 * math.pi * hertz * np.arange(int(seconds * rate)) / rate)).astype(np.float32)


def written(path: Path, samples: np.ndarray, rate: int, width: int, channels: int) -> Path:
    whole = np.repeat(samples[:, None], channels, axis=1)
    data = (whole * 127 + 128).astype("<u1") if width == 1 else (whole * 32767).astype("<i2")
    with wave.open(str(path), "wb") as file:
        file.setparams((channels, width, rate, 0, "NONE", ""))
        file.writeframes(data.tobytes())
    return path


def quiet(seconds: float) -> np.ndarray:
    return (np.random.default_rng(1).standard_normal(int(seconds * RATE)) * 3e-4).astype(np.float32)


@pytest.mark.parametrize(
    ("rate", "width", "channels"), [(16_000, 2, 1), (8_000, 1, 1), (48_000, 2, 2), (44_100, 2, 1), (22_050, 1, 2)]
)
def test_any_wav_becomes_16_khz_mono(tmp_path: Path, rate: int, width: int, channels: int) -> None:
    sound = read_audio(written(tmp_path / "a.wav", tone(1, rate=rate), rate, width, channels))
    assert sound.seconds == pytest.approx(1, abs=0.001)
    assert np.max(np.abs(sound.samples)) == pytest.approx(0.3, abs=0.03)
    spectrum = np.abs(np.fft.rfft(sound.samples))
    assert abs(int(np.argmax(spectrum)) - 440) <= 1  # a second long: one bin a hertz


def test_recordings_of_people_are_read() -> None:
    files = sorted(RECORDINGS.glob("*.wav"))
    assert len(files) == 4
    assert all(0.2 < read_audio(file).seconds < 1.0 for file in files)


def test_an_eight_bit_file_of_nothing_is_silence(tmp_path: Path) -> None:
    assert len(trimmed(read_audio(written(tmp_path / "s.wav", np.zeros(RATE), RATE, 1, 1))).samples) == 0


@pytest.mark.parametrize("content", [b"", b"not audio", b"RIFF\x00\x00\x00\x00WAVE", b"fLaC\x00\x00"])
def test_what_is_no_audio_is_told_in_one_line(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "broken.wav"
    path.write_bytes(content)
    with pytest.raises(UnreadableAudio, match=r"broken\.wav") as caught:
        read_audio(path)
    assert "\n" not in str(caught.value)


def test_missing_empty_and_endless_files_are_told_in_one_line(tmp_path: Path) -> None:
    with pytest.raises(UnreadableAudio, match="check the name"):
        read_audio(tmp_path / "none.wav")
    with pytest.raises(UnreadableAudio, match="no sound"):
        read_audio(written(tmp_path / "empty.wav", np.zeros(0), RATE, 2, 1))
    with pytest.raises(UnreadableAudio, match="ten minutes"):
        read_audio(written(tmp_path / "long.wav", np.zeros(8000 * 601), 8000, 1, 1))


@settings(deadline=None)
@given(st.integers(4000, 48_000), st.integers(200, 4000))
def test_resampling_keeps_length_and_level(rate: int, size: int) -> None:
    samples = tone(size / rate, hertz=200, rate=rate)
    changed = resampled(samples, rate)
    assert len(changed) == max(1, round(len(samples) * RATE / rate))
    assert np.max(np.abs(changed)) < 0.5


def test_trimming_keeps_the_speech_and_drops_the_rest(say: Say) -> None:
    speech = say("divide both sides by seven")
    around = Sound(np.concatenate([quiet(1.5), speech.samples, quiet(2)]))
    assert trimmed(around).seconds == pytest.approx(trimmed(speech).seconds, abs=0.35)


def test_steady_noise_clicks_and_nothing_are_no_speech() -> None:
    click = quiet(1)
    click[8000:8200] = 0.5
    for samples in (np.zeros(0, np.float32), np.zeros(RATE, np.float32), quiet(1), click):
        assert len(trimmed(Sound(samples)).samples) == 0


def upper(sound: Sound) -> float:
    """The share of its power above 4 kHz."""
    power = np.abs(np.fft.rfft(sound.samples)) ** 2
    return float(power[len(power) // 2 + 50 :].sum() / power.sum())


def test_only_a_narrow_band_is_widened() -> None:
    people = read_audio(RECORDINGS / "7_jackson_3.wav")  # recorded at 8 kHz
    assert upper(people) < 1e-4
    assert upper(widened(people)) > 1e-4
    assert cut_off(people) and not cut_off(widened(people)) and not cut_off(Sound(quiet(1)))
    assert upper(Sound(prepared(people))) > 1e-4


def test_a_hiss_gets_an_upper_half_and_a_tone_hardly_any() -> None:
    """An "s" lies above 4 kHz (Jongman, Wayland and Wong 2000, "Acoustic characteristics of English fricatives",
    JASA 108: its peak at 6.8 kHz), a vowel below."""
    spectrum = np.fft.rfft(np.random.default_rng(1).standard_normal(RATE))
    spectrum[np.fft.rfftfreq(RATE, 1 / RATE) > 4000] = 0
    spectrum[np.fft.rfftfreq(RATE, 1 / RATE) < 2500] *= 0.03
    hiss = Sound((0.01 * np.fft.irfft(spectrum)).astype(np.float32))
    low = Sound((tone(1, 300) + 0.003 * hiss.samples).astype(np.float32))
    assert upper(widened(hiss)) > 0.03
    assert upper(widened(low)) < 0.0003


def test_speed_and_padding() -> None:
    sound = Sound(tone(1))
    assert at_speed(sound, 0.5).seconds == pytest.approx(2, abs=0.01)
    assert padded(sound).seconds == pytest.approx(1.2, abs=0.01)
    assert levels(np.zeros(320, np.float32)).tolist() == [-100.0, -100.0]


def fed(endpointer: Endpointer, samples: np.ndarray, block: int = 640) -> tuple[Heed, float]:
    """The first verdict that ends a turn and the seconds fed until then."""
    for at in range(0, len(samples), block):
        heed = endpointer.feed(samples[at : at + block])
        if heed in (Heed.ENDED, Heed.QUIET):
            return heed, (at + block) / RATE
    return heed, len(samples) / RATE


def test_an_utterance_ends_after_the_pause(say: Say) -> None:
    speech = trimmed(say("add nine to both sides")).samples
    heed, at = fed(Endpointer(), np.concatenate([quiet(1), speech, quiet(2)]))
    assert heed is Heed.ENDED
    assert at == pytest.approx(1 + len(speech) / RATE - 0.15 + 0.5, abs=0.2)


def test_a_hesitation_shorter_than_the_pause_does_not_end_it(say: Say) -> None:
    parts = [quiet(1), trimmed(say("take away")).samples, quiet(0.3), trimmed(say("seven")).samples, quiet(1.5)]
    endpointer = Endpointer()
    fed(endpointer, np.concatenate(parts))
    assert endpointer.take().seconds > sum(len(part) for part in parts[1:4]) / RATE - 0.3
    assert fed(Endpointer(Pauses(after=0.25)), np.concatenate(parts))[1] < 2.5


@pytest.mark.parametrize("loud", [0.003, 0.03, 0.3])
def test_ten_minutes_of_noise_end_every_turn(loud: float) -> None:
    """No turn may outlast its maximum, and none may be waited for without end."""
    draw = np.random.default_rng(3)
    endpointer, turns, waited = Endpointer(), 0, 0.0
    for _ in range(600):
        second = (draw.standard_normal(RATE) * loud).astype(np.float32)
        waited += 1
        if endpointer.feed(second) in (Heed.ENDED, Heed.QUIET):
            assert endpointer.take().seconds <= Pauses().longest + 0.01
            turns, waited = turns + 1, 0.0
        assert waited <= 13
    assert turns >= 45


def test_the_longest_turn_is_cut(say: Say) -> None:
    words = np.concatenate([quiet(0.5), *[trimmed(say("one two three")).samples] * 12])
    heed, at = fed(Endpointer(Pauses(longest=4.0)), words)
    assert heed is Heed.ENDED
    assert at == pytest.approx(4.4, abs=0.4)


def test_silence_is_told_after_patience() -> None:
    assert fed(Endpointer(Pauses(patience=2.0)), quiet(5)) == (Heed.QUIET, pytest.approx(2.0, abs=0.05))


def test_who_begins_as_the_patience_ends_is_not_silent(say: Say) -> None:
    speech = trimmed(say("seven")).samples
    for late in (0.02, 0.06, 0.1):
        words = np.concatenate([quiet(2 - late), speech, quiet(3)])
        endpointer = Endpointer(Pauses(patience=2.0))
        assert fed(endpointer, words)[0] is Heed.ENDED, late
        assert endpointer.take().seconds > len(speech) / RATE


@pytest.mark.parametrize("wrong", [{"after": 0.0}, {"after": 13.0}, {"patience": 0.0}, {"least": 0.0}])
def test_senseless_pauses_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="pauses"):
        Pauses(**wrong)
