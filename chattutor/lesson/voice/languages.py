"""What is listened for after each question: chosen by what was asked and the letter, never by the equation."""

import os
from functools import cache, lru_cache
from pathlib import Path

from platformdirs import user_cache_path

from chattutor.lesson.ports import TellLine
from chattutor.lesson.voice.drawn_sayings import FIRST_LETTER, sayings_after
from dialogue.acts import Expecting
from dialogue.understanding import recognition_grammar
from speech.errors import LanguageError
from speech.language import (
    Automaton,
    Choice,
    Language,
    Phrase,
    Sequence,
    Word,
    choice,
    compiled,
    kept_in,
    load_or_compile,
    only,
    phrase,
)


def cache_folder() -> Path:
    """The user's cache folder, by the custom of each system."""
    return user_cache_path("chattutor", appauthor=False)


def kept(expecting: Expecting, folder: Path) -> bool:
    """Whether the language after this question has been built and kept in this folder, whole to its last brace."""
    try:
        with _kept_in(expecting, folder).open("rb") as file:
            file.seek(-1, os.SEEK_END)
            return file.read() == b"}"
    except OSError:  # not there, not readable, or empty
        return False


@lru_cache(maxsize=64)
def _kept_in(expecting: Expecting, folder: Path) -> Path:
    return kept_in(as_speech(recognition_grammar.hearable(expecting, FIRST_LETTER), {}), folder)


def sentences_after(
    expecting: Expecting, letter: str = "x", tell: TellLine | None = None, folder: Path | None = None
) -> Automaton:
    """The automaton, from the cache or built once; ``tell`` is told how far the building is, a line each quarter."""
    told = [-1]

    def progress(share: float) -> None:
        quarter = int(share * 4)
        if tell is not None and quarter > told[0]:
            told[0] = quarter
            tell(f"Preparing to recognise answers ({expecting}), one time only: {quarter * 25}%")

    def built(named: str) -> Automaton:
        return load_or_compile(
            as_speech(recognition_grammar.hearable(expecting, named), {}), folder or cache_folder(), progress
        )

    if letter == FIRST_LETTER:
        return built(letter)
    try:
        return built(FIRST_LETTER).renamed({FIRST_LETTER: letter})
    except LanguageError:
        return built(letter)  # a letter that is a word as well ("a"): its language is its own


def language_after(
    expecting: Expecting, letter: str = "x", tell: TellLine | None = None, folder: Path | None = None
) -> Language:
    """The language after this question; its automaton is built, or read from the cache, only when it is asked for."""
    return Language(sayings_after(expecting, letter), cache(lambda: sentences_after(expecting, letter, tell, folder)))


def as_speech(phrase: recognition_grammar.GrammarPhrase, done: dict[int, Phrase]) -> Phrase:
    """The same phrase as the recognisers' own type; shared parts stay shared."""
    if isinstance(phrase, str):
        return Word(phrase)
    if id(phrase) not in done:
        if phrase[0] == "sequence":
            done[id(phrase)] = Sequence(tuple(as_speech(part, done) for part in phrase[1]))
        else:
            done[id(phrase)] = Choice(tuple((as_speech(part, done), weight) for part, weight in phrase[1]))
    return done[id(phrase)]


WORD = "stop"  # in all of them; where the tutor says it itself, it is not waited for
SAID = ("stop", "stop it", "stop please", "please stop", "stop stop", "stop now", "stop there", "okay stop")


def stopping() -> Language:
    """The language of it."""
    return only(compiled(choice(*(phrase(each) for each in SAID))))
