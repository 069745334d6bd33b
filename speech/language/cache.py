"""Compiled automata kept in files, so that a language is compiled once. Files are JSON, checked when read."""

import os
import tempfile
from pathlib import Path

from speech.errors import LanguageError
from speech.language.automaton import Automaton
from speech.language.compile import ShareDone, compiled
from speech.language.phrase import Phrase, phrase_hash

FORM = 1  # raise it when the compiler or the stored form changes: older files are then left alone


def kept_in(tree: Phrase, folder: Path) -> Path:
    """Where the automaton of a phrase is kept."""
    return folder / f"language-{FORM}-{phrase_hash(tree)[:32]}.json"


def load_or_compile(tree: Phrase, folder: Path | None, progress: ShareDone | None = None) -> Automaton:
    """The automaton of a phrase, from `folder` if it is there, else compiled and kept there.

    A damaged, foreign or unreadable file is compiled over; a folder that cannot be written to costs only the
    time of compiling again. Raises `LanguageError` for a phrase that holds the empty sentence.
    """
    path = None if folder is None else kept_in(tree, folder)
    if path is not None:
        try:
            return Automaton.from_json(path.read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, LanguageError):
            pass  # not there yet, or not to be trusted: it is made again below
    automaton = compiled(tree, progress)
    if path is not None:
        _keep(path, automaton.to_json())
    return automaton


def _keep(path: Path, text: str) -> None:
    """Write beside and rename, so that a torn write is never read; a folder that refuses is left alone."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile("w", encoding="utf-8", dir=path.parent, delete=False) as file:
            file.write(text)
        os.replace(file.name, path)
    except OSError:
        return  # read-only or full: nothing is lost but time
