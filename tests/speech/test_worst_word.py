"""pocketsphinx's confidence is that of the worst word; what sounds nearly like it stands among the rivals."""

from collections.abc import Callable

import pytest

from speech.audio.sound import Sound
from speech.hearings import Heard
from speech.language import Language, choice, compiled, only, sequence
from speech.recognition.pocketsphinx import PocketsphinxRecogniser

Say = Callable[[str], Sound]


@pytest.fixture(scope="module")
def recogniser() -> PocketsphinxRecogniser:
    made = PocketsphinxRecogniser()
    if not made.availability().ok:
        pytest.skip(made.availability().reason)
    return made


def subtracting(*numbers: str) -> Language:
    return only(compiled(sequence("subtract", choice(*numbers), "from both sides")))


def heard(recogniser: PocketsphinxRecogniser, sound: Sound, language: Language) -> Heard:
    recogniser.listen_for(language)
    event = recogniser.hear(sound)
    assert isinstance(event, Heard)
    return event


def test_a_word_that_was_not_said_spoils_the_whole(recogniser: PocketsphinxRecogniser, say: Say) -> None:
    sound = say("subtract four from both sides")
    right = heard(recogniser, sound, subtracting("four", "nine"))
    forced = heard(recogniser, sound, subtracting("nine", "eleven"))
    assert right.text == "subtract four from both sides"
    assert forced.confidence < 0.5 < right.confidence
    worst = min(forced.words, key=lambda word: word.confidence)
    assert worst.text in {"nine", "eleven"} and worst.confidence == forced.confidence
    assert [word.text for word in right.words] == right.text.split()


def test_a_decoding_tells_its_rivals(recogniser: PocketsphinxRecogniser, say: Say) -> None:
    event = heard(recogniser, say("subtract four from both sides"), subtracting("four", "eleven"))
    for decoding in event.decodings:
        assert decoding.text == "subtract four from both sides"
        assert decoding.rivals == () or [text for text, by in decoding.rivals if by > 0] == [
            "subtract eleven from both sides"
        ]
