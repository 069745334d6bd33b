"""Describing what can be said, so that a recogniser can listen for it."""

from speech.language.automaton import Arc, Automaton
from speech.language.cache import kept_in, load_or_compile
from speech.language.compile import compiled
from speech.language.language import Corpus, Language, Sayings, only, sayings
from speech.language.phrase import (
    Choice,
    Phrase,
    Sequence,
    Word,
    choice,
    optional,
    phrase,
    phrase_hash,
    repeated,
    sequence,
    weighted,
)

__all__ = [
    "Arc",
    "Automaton",
    "Choice",
    "Corpus",
    "Language",
    "Phrase",
    "Sayings",
    "Sequence",
    "Word",
    "choice",
    "compiled",
    "kept_in",
    "load_or_compile",
    "only",
    "optional",
    "phrase",
    "phrase_hash",
    "repeated",
    "sayings",
    "sequence",
    "weighted",
]
