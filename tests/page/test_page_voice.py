"""Speaking in the page: real Chromium with a microphone that plays a file, the real recogniser, the real voice."""

import threading
import time
import wave
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from browser import CHROMIUM, needs_chromium
from playwright.sync_api import Browser, Page, Playwright, expect
from served import Served, begun, say

from chattutor.lesson.voice.languages import language_after
from chattutor.page.browser_sound import GONE, SILENT, BrowserLoudspeaker, BrowserMicrophone, as_wav
from chattutor.session_logs.reader import read_session
from speech.audio.shaping import trimmed
from speech.audio.sound import RATE, Sound
from speech.errors import NoLoudspeaker, NoMicrophone
from speech.hearings import Decision, Heard
from speech.recognition.ensemble import Ensemble
from speech.recognition.hands_free import LOST, HandsFree
from speech.recognition.moonshine.moonshine import MoonshineRecogniser
from speech.synthesis.espeak import EspeakSpeaker

pytestmark = pytest.mark.timeout(120)

SAID = "subtract two from both sides"
LEAD, AFTER = 9.0, 30.0  # seconds of a quiet room before what is said, and after it


def _room(seconds: float) -> Any:
    return np.random.default_rng(0).standard_normal(round(seconds * RATE)).astype(np.float32) * 0.0005


@pytest.fixture(scope="module")
def speaking(play: Playwright, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """A browser whose microphone hears a quiet room, then somebody who says one thing, and after a while again."""
    path = tmp_path_factory.mktemp("said") / "said.wav"
    said = EspeakSpeaker().sound(SAID, 0.9).samples * 0.6
    path.write_bytes(as_wav(Sound(np.concatenate([_room(LEAD), said, _room(AFTER), said, _room(AFTER)]))))
    flags = ["--no-sandbox", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream"]
    found = play.chromium.launch(
        executable_path=CHROMIUM, args=[*flags, f"--use-file-for-fake-audio-capture={path}%noloop"]
    )
    yield found
    found.close()


def _state(page: Page, state: str, seconds: float = 30) -> None:
    page.wait_for_selector(f"#voice[data-state={state}]", timeout=seconds * 1000)


def _interrupt(page: Page) -> None:
    """Press the key until the tutor listens: it may be about to say the next thing."""
    deadline = time.monotonic() + 30
    while page.locator("#voice[data-state=listening]").count() == 0:
        assert time.monotonic() < deadline
        page.keyboard.press("Escape")
        page.wait_for_timeout(300)


@needs_chromium
def test_a_turn_by_voice_and_one_typed_meanwhile(speaking: Browser, served: Served, tmp_path: Path) -> None:
    page = speaking.new_page(viewport={"width": 1280, "height": 720})
    begun(page, served)
    button = page.locator("#microphone")
    expect(button).to_have_text("Use the microphone")
    button.click()
    _state(page, "speaking")
    assert page.evaluate("document.documentElement.scrollHeight <= innerHeight")
    button.click()
    _interrupt(page)
    page.wait_for_selector("body[data-turn='1']", timeout=60_000)
    expect(page.locator("#heard")).to_contain_text(f"I heard: {SAID}")
    _state(page, "speaking")
    say(page, "yes")  # typed while the tutor speaks: it stops, and goes on from there
    _state(page, "speaking")
    _interrupt(page)
    button.click()
    _state(page, "off", 3)
    (path,) = (tmp_path / "logs").rglob("*.jsonl")
    said = [turn.said for turn in read_session(path).turns if turn.said]
    assert [each.text for each in said] == [SAID, "yes"]
    assert [each.channel for each in said] == ["spoken", "typed"]
    assert not list(tmp_path.rglob("*.wav"))


@needs_chromium
def test_a_second_window_is_told_that_the_voice_is_in_use(speaking: Browser, served: Served) -> None:
    context = speaking.new_context()
    page = context.new_page()
    begun(page, served)
    page.click("#microphone")
    _state(page, "speaking")
    other = context.new_page()
    other.goto(served.origin + "/lesson")
    other.wait_for_selector("html.scripted")
    other.click("#microphone")
    expect(other.locator("#sound-notice")).to_contain_text("in another window")
    _state(other, "off")
    context.close()


@needs_chromium
def test_a_microphone_that_is_refused_is_told(chromium: Browser, served: Served) -> None:
    page = chromium.new_page()
    begun(page, served)
    page.click("#microphone")
    expect(page.locator("#sound-notice")).to_contain_text("Type instead.")
    _state(page, "off")
    page.close()


@needs_chromium
@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000])
def test_the_microphone_becomes_sixteen_kilohertz(chromium: Browser, served: Served, rate: int) -> None:
    """A tone within speech is kept, one that would be folded down is gone; pieces make no difference."""
    page = chromium.new_page()
    begun(page, served)
    loudness = page.evaluate(
        """async ([rate, tones]) => {
            const { Resampler } = await import("/static/capture.js");
            return tones.map(tone => {
                const made = new Resampler(rate), out = [];
                for (let at = 0; at < rate; at += 128)
                    out.push(...made.take(Float32Array.from({ length: 128 }, (_, n) =>
                        Math.sin(2 * Math.PI * tone * (at + n) / rate))));
                const inside = out.slice(800, -800);
                return [out.length, Math.sqrt(inside.reduce((sum, x) => sum + x * x, 0) / inside.length)];
            });
        }""",
        [rate, [300, 3_000, 11_000]],
    )
    for (count, level), kept in zip(loudness, (True, True, rate == 16_000), strict=True):
        assert abs(count - RATE) < 64
        if kept and rate == 16_000 and level < 0.5:  # 11 kHz cannot be in sound of 16 kHz
            continue
        assert level == pytest.approx(2**-0.5, rel=0.02) if kept else level < 0.01
    page.close()


@pytest.mark.parametrize(("pause", "lost"), [(-0.6, True), (0.15, False), (0.25, False), (0.4, False)])
def test_an_answer_that_follows_at_once_is_heard_from_its_first_sound(pause: float, lost: bool) -> None:
    """What was begun while the tutor spoke is heard by its end only, and that is never believed."""
    kept: list[Sound] = []
    microphone, said = BrowserMicrophone(), trimmed(EspeakSpeaker().sound(SAID, 0.9)).samples * 0.6
    quiet = _room(6.0)

    sound = np.concatenate([quiet[: max(0, round(pause * RATE))], said[max(0, round(-pause * RATE)) :], quiet])

    def plays(sounds: Iterator[Sound], interrupted: threading.Event, begun: Any) -> None:
        list(sounds)
        threading.Timer(0.05, _captured, [microphone, sound]).start()

    ensemble = Ensemble(MoonshineRecogniser(), str)
    with HandsFree(ensemble, EspeakSpeaker(), keep=kept.append, capture=lambda: microphone, player=plays) as tutor:
        assert tutor.open() is None
        assert tutor.say("What do you do next?") is None
        heard = tutor.listen(language_after("move", "n"))
    assert (LOST in heard.evidence) is lost
    if lost:
        assert heard.decision is not Decision.ACCEPT
    else:
        assert isinstance(heard.event, Heard)
        assert heard.event.text == SAID
        assert kept[0].seconds > len(said) / RATE


def _captured(microphone: BrowserMicrophone, samples: Any) -> None:
    for at in range(0, len(samples), 640):
        microphone.put(Sound(samples[at : at + 640]).pcm())


def test_a_browser_that_plays_nothing_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("chattutor.page.browser_sound.PATIENCE", 0.1)
    sent: list[Any] = []
    speaker = BrowserLoudspeaker(sent.append)
    with pytest.raises(NoLoudspeaker, match=SILENT):
        speaker.play(iter([Sound(_room(0.1))]), threading.Event(), lambda: None)
    assert sent[0] == {"what": "sound", "id": 1} and sent[1][:4] == b"RIFF"


def test_playing_ends_when_the_last_sentence_has(monkeypatch: pytest.MonkeyPatch) -> None:
    begun: list[float] = []
    speaker = BrowserLoudspeaker(lambda message: None)
    thread = threading.Thread(
        target=speaker.play, args=(iter([Sound(_room(0.1))] * 2), threading.Event(), lambda: begun.append(1.0))
    )
    thread.start()
    for what, number in (("played", "1"), ("began", 1), ("played", 1), ("began", 2)):
        speaker.told(what, number)
    time.sleep(0.1)
    assert thread.is_alive() and begun
    speaker.told("played", 2)
    thread.join(2)
    assert not thread.is_alive()


def test_a_microphone_is_whole_bounded_and_ends(tmp_path: Path) -> None:
    microphone = BrowserMicrophone()
    for number in range(2_000):
        microphone.put(np.full(10, number, "<i2").tobytes())
    with microphone as entered:
        assert round(float(entered.read()[0]) * 32_768) == 500  # the oldest were dropped
        assert sum(map(len, entered.blocks(0.05))) == 800
        entered.drop()
        microphone.put(None)
        with pytest.raises(NoMicrophone, match=GONE):
            entered.read()
    with pytest.raises(NoMicrophone), microphone:
        pass


def test_wav_is_wav(tmp_path: Path) -> None:
    sound = Sound(_room(0.5))
    (tmp_path / "a.wav").write_bytes(as_wav(sound))
    with wave.open(str(tmp_path / "a.wav")) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        assert file.readframes(file.getnframes()) == sound.pcm()
