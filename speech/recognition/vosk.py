"""vosk: the better recogniser, wherever the user has put a model for it."""

import importlib.util
import itertools
import json
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from speech.audio.shaping import trimmed
from speech.audio.sound import RATE, Sound
from speech.errors import EngineFailed, EngineMissing, EngineUnavailable, LanguageError, ModelMissing
from speech.hearings import Failed, Heard, HeardWord, HearingResult, Silence
from speech.language import Automaton, Language
from speech.recognition.vosk_models import find_model, takes_grammar
from speech.registry import Availability

UNKNOWN = "[unk]"  # vosk's word for anything outside the language; kept, so that it is not understood
SAMPLED = 1500  # sentences drawn to show vosk what is common; its grammar is a bigram model, not strict
BLOCK = RATE // 10  # samples handed over at a time


class VoskRecogniser:
    """Listens with a vosk model from a local folder. See `find_model` for where that is looked for."""

    name = "vosk"
    held_to_sentences = True

    def __init__(
        self,
        model: Path | None = None,
        environment: Mapping[str, str] | None = None,
        folders: Iterable[Path] | None = None,
    ) -> None:
        self._asked, self._environment = model, environment
        self._folders = None if folders is None else tuple(folders)
        self._model: Any = None
        self._path: Path | None = None
        self._ready = False
        self._grammar: str | None = None

    def availability(self) -> Availability:
        """Whether the package and a whole model are here; nothing is loaded."""
        if importlib.util.find_spec("vosk") is None:
            return Availability(False, "its package is not installed: pip install vosk")
        try:
            path = find_model(self._asked, self._environment, self._folders)
        except ModelMissing as error:
            return Availability(False, str(error))
        return Availability(True, f"model {path.name} is on this machine")

    def load(self) -> None:
        """Load the model (seconds). Raises `EngineMissing`, `ModelMissing` or `EngineFailed`."""
        if self._model is not None:
            return
        path = find_model(self._asked, self._environment, self._folders)
        try:
            import vosk
        except (ImportError, OSError) as error:  # OSError: the library inside the wheel does not fit this system
            raise EngineMissing("vosk cannot be loaded: pip install --force-reinstall vosk") from error
        vosk.SetLogLevel(-1)
        try:
            self._model = vosk.Model(model_path=str(path))
        except Exception as error:  # vosk raises nothing narrower than Exception
            raise EngineFailed(f"vosk cannot read the model {path}: copy it again") from error
        self._path = path

    def listen_for(self, of: Language) -> None:
        """Listen for the sentences of this language; its words that the model does not know are left out of it."""
        self.load()
        if self._path is None:
            raise EngineFailed("vosk has no model: load it first")
        language = of.sentences()
        unknown = frozenset(w for w in language.vocabulary if self._model.vosk_model_find_word(w) < 0)
        if unknown == language.vocabulary:
            raise EngineUnavailable(f"the vosk model {self._path.name} knows none of these words: is it English?")
        try:
            known = language.without(unknown) if unknown else language
        except LanguageError as error:
            raise EngineUnavailable(f"the vosk model {self._path.name} knows too few of these words") from error
        unk = (UNKNOWN,) if self._model.vosk_model_find_word(UNKNOWN) >= 0 else ()
        self._grammar = grammar_of(known, unk) if takes_grammar(self._path) else None
        self._new()  # a refused language is told now, not in the middle of a lesson
        self._ready = True

    def _new(self) -> Any:
        """A recogniser for one utterance (a millisecond); a used one would carry adaptation into the next."""
        import vosk

        try:
            extra = [self._grammar] if self._grammar is not None else []
            recogniser = vosk.KaldiRecognizer(self._model, RATE, *extra)
        except Exception as error:  # vosk raises nothing narrower than Exception
            raise EngineFailed("vosk refused the language: please report this") from error
        recogniser.SetWords(True)
        return recogniser

    def hear(self, sound: Sound) -> HearingResult:
        """Recognise one utterance."""
        if not len(trimmed(sound).samples):
            return Silence(sound.seconds)
        blocks = (Sound(sound.samples[at : at + BLOCK]) for at in range(0, len(sound.samples), BLOCK))
        return self.hear_blocks(blocks)

    def hear_blocks(self, blocks: Iterable[Sound], partial: Callable[[str], None] | None = None) -> HearingResult:
        """Recognise an utterance as it comes in; `partial` is told the words so far, which may still change."""
        if self._model is None or not self._ready:
            return Failed("vosk was given no language to listen for: please report this")
        results: list[dict[str, Any]] = []
        seconds = 0.0
        try:
            recogniser = self._new()
            for block in blocks:
                seconds += block.seconds
                if recogniser.AcceptWaveform(block.pcm()):
                    results.append(json.loads(recogniser.Result()))
                elif partial is not None:
                    partial(json.loads(recogniser.PartialResult()).get("partial", ""))
            results.append(json.loads(recogniser.FinalResult()))
        except Exception as error:  # vosk raises nothing narrower than Exception
            return Failed(f"vosk stopped while listening ({type(error).__name__}): say it again, or type")
        return _event(results, seconds)


def _event(results: list[dict[str, Any]], seconds: float) -> HearingResult:
    text = " ".join(result.get("text", "") for result in results).strip()
    if not text:
        return Silence(seconds)
    words = tuple(
        HeardWord(one["word"], one["start"], one["end"], min(1.0, max(0.0, one["conf"])))
        for result in results
        for one in result.get("result", ())
    )
    # the least sure word: measured, a word's confidence can be 1.0 and the word wrong, so never rely on it alone
    return Heard(text, min((word.confidence for word in words), default=0.0), words=words)


def grammar_of(language: Automaton, besides: tuple[str, ...] = (UNKNOWN,)) -> str:
    """The language as vosk takes it: a JSON list of phrases, from which it counts pairs of words.

    Sampled sentences show what is common; each pair that no sample held is added, so that all that can be said
    can be heard. Never empty and always a list of strings: anything else makes vosk end the process.
    """
    phrases = list(dict.fromkeys(language.sentences(SAMPLED)))
    seen = {pair for phrase in phrases for pair in _pairs(phrase.split())}
    into: dict[int, set[str]] = {}
    for arc in language.arcs:
        into.setdefault(arc.target, set()).add(arc.word)
    wanted = {(before, arc.word) for arc in language.arcs for before in into.get(arc.source, ())}
    phrases += [" ".join(pair) for pair in sorted(wanted - seen)]
    single = {word for phrase in phrases for word in phrase.split()}
    phrases += sorted(language.vocabulary - single)
    return json.dumps([*phrases, *besides], ensure_ascii=False)


def _pairs(words: list[str]) -> list[tuple[str, str]]:
    return list(itertools.pairwise(words))
