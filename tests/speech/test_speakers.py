"""What every voice must do, with the real engines; and that eSpeak from a wheel needs nothing of the system."""

import json
import subprocess
import sys

import numpy as np
import pytest

from speech.audio.sound import Sound
from speech.errors import EngineFailed, EngineMissing
from speech.synthesis.espeak import EspeakSpeaker
from speech.synthesis.espeak_library import Library, bundled
from speech.synthesis.pyttsx3 import Pyttsx3Speaker
from speech.synthesis.speakers import SilentSpeaker, Speaker


class SpeakerContract:
    """Every voice: the classes below give the engine."""

    engine: type[EspeakSpeaker] | type[Pyttsx3Speaker] | type[SilentSpeaker]
    audible = True

    @pytest.fixture
    def voice(self) -> Speaker:
        made = self.engine()
        assert made.availability().ok, made.availability().reason
        return made

    def test_it_says_what_it_uses(self, voice: Speaker) -> None:
        assert voice.name
        assert voice.availability().reason

    def test_a_sentence_becomes_sound(self, voice: Speaker) -> None:
        sound = voice.sound("What would undo adding three?")
        if self.audible:
            assert 1 < sound.seconds < 4
            assert 0.05 < np.max(np.abs(sound.samples)) <= 1
        else:
            assert sound.seconds == 0

    def test_a_longer_sentence_takes_longer(self, voice: Speaker) -> None:
        short, long = voice.sound("Yes."), voice.sound("Seven x plus three equals twenty four.")
        assert not self.audible or long.seconds > 2 * short.seconds

    @pytest.mark.parametrize("text", ["", " ", "<b>&amp; £ \u00d7 \u2212 7", "\N{SNOWMAN}"])
    def test_odd_text_is_no_trouble(self, voice: Speaker, text: str) -> None:
        try:
            voice.sound(text)
        except EngineFailed as error:
            assert "\n" not in str(error)


class TestEspeak(SpeakerContract):
    engine = EspeakSpeaker

    def test_rate_is_kept_sentence_by_sentence(self, voice: Speaker) -> None:
        texts = ["slower please", "x", "What do you do first?", "divide both sides by two"]
        usual = {text: voice.sound(text).seconds for text in texts}
        for number in range(60):
            text, rate = texts[number % 4], (0.7, 1.0, 1.3)[number % 3]
            share = voice.sound(text, rate).seconds / usual[text]
            assert {0.7: share > 1.3, 1.0: abs(share - 1) < 0.02, 1.3: share < 0.85}[rate], (text, rate, share)

    def test_an_unknown_voice_is_told(self) -> None:
        with pytest.raises(EngineFailed, match="no voice"):
            EspeakSpeaker("martian").sound("hello")

    def test_half_installed_is_told_before_it_can_end_the_process(self) -> None:
        wheel = bundled()
        assert isinstance(wheel, Library)
        code = (
            "from speech.synthesis.espeak import EspeakSpeaker; from speech.synthesis.espeak_library import Library;"
            "from speech.errors import SpeechError\n"
            f"speaker = EspeakSpeaker(library=Library({wheel.path!r}, '/nowhere', 'x'))\n"
            "try: speaker.sound('hello')\nexcept SpeechError as error: print('told', error)"
        )
        result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False)
        assert result.stdout.startswith("told"), result
        assert result.returncode == 0


class Pyttsx3InAChild(Pyttsx3Speaker):
    """pyttsx3 in a process of its own: eSpeak can be started once a process, and other tests use it directly."""

    def sound(self, text: str, rate: float = 1.0) -> Sound:
        code = (
            "import sys; from speech.errors import SpeechError; from speech.synthesis.pyttsx3 import Pyttsx3Speaker\n"
            f"try: sys.stdout.buffer.write(Pyttsx3Speaker().sound({text!r}, {rate!r}).pcm())\n"
            "except SpeechError as error: sys.exit(f'told: {error}')"
        )
        result = subprocess.run([sys.executable, "-c", code], capture_output=True, timeout=60, check=False)
        if result.returncode:
            told = result.stderr.decode()
            assert told.startswith("told: "), told
            raise EngineFailed(told.strip())
        return Sound.from_pcm(result.stdout)  # anything pyttsx3 printed would be heard here as noise


class TestPyttsx3(SpeakerContract):
    engine = Pyttsx3InAChild

    def test_nothing_is_printed(self) -> None:
        code = (
            "import json; from speech.synthesis.pyttsx3 import Pyttsx3Speaker\n"
            "sound = Pyttsx3Speaker(bundled=True).sound('hello there')\nprint(json.dumps(sound.seconds))"
        )
        result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
        assert json.loads(result.stdout) > 0.4

    def test_two_espeaks_in_a_process_are_refused(self, voice: Speaker) -> None:
        EspeakSpeaker().sound("one")
        with pytest.raises(EngineMissing, match="use the voice espeak"):
            Pyttsx3Speaker().sound("two")


class TestSilent(SpeakerContract):
    engine = SilentSpeaker
    audible = False

    def test_it_keeps_what_was_said(self) -> None:
        voice = SilentSpeaker()
        voice.sound("one")
        voice.sound("two", rate=0.8)
        assert voice.said == ["one", "two"]
