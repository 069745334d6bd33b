"""The process that hears for everybody: one network in memory, one thing said after another.

Over its connection come ``(asked, samples)``, 16-bit samples at 16 kHz, after which it sends what it heard; or
``(asked, None)``, to get ready for what is asked and send None. ``asked`` is what was asked last and the letter.
"""

import signal
from functools import lru_cache
from multiprocessing.connection import Connection

from chattutor.lesson.voice.languages import WORD, language_after, stopping
from dialogue.acts import Expecting
from speech.audio.sound import Sound
from speech.errors import SpeechError
from speech.hearings import Failed
from speech.language import Language
from speech.recognition.moonshine.moonshine import MoonshineRecogniser

STOP_WORDS: tuple[str, str] = (WORD, "")  # asked where only the words that stop the tutor are listened for
LANGUAGES = 8  # kept as they are, so that what guides the recogniser is not made again for the same question


def main(line: Connection) -> None:
    """Answer until nobody asks any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which then goes
    recogniser = MoonshineRecogniser()
    language = lru_cache(maxsize=LANGUAGES)(_language)
    while True:
        try:
            asked, data = line.recv()
            line.send(_answer(recogniser, language(*asked), data))
        except (EOFError, OSError):
            return


def _language(expecting: Expecting, letter: str) -> Language:
    return stopping() if (expecting, letter) == STOP_WORDS else language_after(expecting, letter)


def _answer(recogniser: MoonshineRecogniser, language: Language, data: bytes | None) -> object:
    try:
        recogniser.listen_for(language)
    except SpeechError as error:
        return Failed(str(error))
    return None if data is None else recogniser.hear(Sound.from_pcm(data))
