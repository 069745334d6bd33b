"""Pronunciations beyond the US English dictionary: missing words, and other accents' ways with number words."""

import tomllib
from collections.abc import Iterator
from functools import lru_cache
from importlib import resources
from typing import Any


@lru_cache(maxsize=4)
def additions(table: str = "pronunciations.toml") -> dict[str, tuple[str, ...]]:
    """Word to pronunciations in CMUdict phones, from a packaged table."""
    text = (resources.files("speech.recognition") / table).read_text(encoding="utf-8")
    held: dict[str, list[str]] = {}
    for group in tomllib.loads(text).values():
        for word, sounds in group.items():
            held.setdefault(word, []).extend(sounds)
    return {word: tuple(dict.fromkeys(sounds)) for word, sounds in held.items()}


def pronunciations(decoder: Any, word: str) -> list[str]:
    """Every pronunciation a pocketsphinx decoder holds of a word; none when it does not know it."""
    return list(_variants(decoder, word))


def _variants(decoder: Any, word: str) -> Iterator[str]:
    number = 1
    while sound := decoder.lookup_word(word if number == 1 else f"{word}({number})"):
        yield sound
        number += 1


def add_missing(decoder: Any) -> None:
    """Add to a decoder's dictionary every pronunciation it does not hold yet."""
    for word, sounds in additions().items():
        known = pronunciations(decoder, word)
        for sound in sounds:
            if sound not in known:
                known.append(sound)
                decoder.add_word(word if len(known) == 1 else f"{word}({len(known)})", sound, True)
