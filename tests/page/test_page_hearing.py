"""One recogniser for all who speak in the page: it hears each by their own question, in turn, and is begun again."""

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Iterator

import pytest

from chattutor.page.hearing_process import STOP_WORDS
from chattutor.page.shared_hearing import NamedLanguages, SharedHearing, SharedRecogniser, named_language
from speech.hearings import Failed, Heard, Silence
from speech.recognition.moonshine.model_files import availability
from speech.recognition.moonshine.moonshine import MoonshineRecogniser
from speech.synthesis.espeak import EspeakSpeaker

pytestmark = [
    pytest.mark.timeout(240),
    pytest.mark.skipif(not availability().ok, reason="needs the recogniser's packages (chattutor[voice])"),
]

SAID = ("subtract two from both sides", "repeat please", "where are we")


@pytest.fixture(scope="module")
def hearing() -> Iterator[SharedHearing]:
    """The queue, and its process."""
    found = SharedHearing()
    yield found
    found.close()


def test_many_ask_at_once_and_each_has_their_own_answer(hearing: SharedHearing) -> None:
    voice = EspeakSpeaker()
    heard: dict[int, object] = {}

    def ask(number: int) -> None:
        learner = SharedRecogniser(hearing)
        learner.listen_for(named_language("move", "xn"[number % 2]))
        heard[number] = learner.hear(voice.sound(SAID[number % 3], 0.9))

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    texts = {number: found.text for number, found in heard.items() if isinstance(found, Heard)}
    assert texts == {number: SAID[number % 3] for number in range(6)}


def test_it_hears_what_one_alone_hears(hearing: SharedHearing) -> None:
    from chattutor.lesson.voice.languages import language_after

    alone, sound = MoonshineRecogniser(), EspeakSpeaker().sound(SAID[0], 0.9)
    alone.listen_for(language_after("move", "x"))
    assert hearing.hear(("move", "x"), sound) == alone.hear(sound.__class__.from_pcm(sound.pcm()))
    assert isinstance(hearing.hear(STOP_WORDS, sound.__class__.from_pcm(bytes(32_000))), Silence)


def test_one_that_dies_is_begun_again(hearing: SharedHearing) -> None:
    sound = EspeakSpeaker().sound(SAID[1], 0.9)
    assert isinstance(hearing.hear(("move", "x"), sound), Heard)
    before = hearing._process
    assert before is not None and before.pid is not None
    os.kill(before.pid, signal.SIGKILL)
    assert isinstance(hearing.hear(("move", "x"), sound), Failed)
    assert isinstance(hearing.hear(("move", "x"), sound), Heard)
    assert hearing._process is not before


def test_a_language_is_got_ready_before_anybody_answers(hearing: SharedHearing) -> None:
    languages = NamedLanguages(hearing)
    began = time.monotonic()
    first = languages.language("value", "p")
    assert time.monotonic() - began < 0.2 and languages.language("value", "p") is first
    assert languages.left() == 0
    assert hearing.hear(("value", "p"), EspeakSpeaker().sound("seven", 0.9))


def test_it_ends_with_the_server(hearing: SharedHearing) -> None:
    before = {each.pid for each in multiprocessing.active_children()}
    own = SharedHearing()
    own.hear(STOP_WORDS, EspeakSpeaker().sound("stop", 0.9))
    (begun,) = (each for each in multiprocessing.active_children() if each.pid not in before)
    own.close()
    assert not begun.is_alive()
    with pytest.raises(ProcessLookupError):
        os.kill(begun.pid or 0, 0)
