"""A second recogniser, optional: phoneme probabilities from a small network inside the wheel of hama.

It errs independently of pocketsphinx, which is its whole worth: what both understand alike is hardly ever
wrong. It is an optional extra and pinned to one version, for it has one author, is a beta, does not state its
training data, and its licence files disagree (Apache-2.0, MIT). Never used alone.
"""

import importlib
import importlib.util
import math
from importlib import metadata, resources
from typing import Any

import numpy as np

from speech.audio.shaping import prepared
from speech.audio.sound import RATE, Sound
from speech.errors import EngineFailed, EngineMissing, EngineUnavailable, LanguageError
from speech.hearings import Failed, Heard, HeardWord, HearingResult, Silence
from speech.language import Automaton
from speech.recognition.ctc import Floats, Search
from speech.recognition.pronunciations import additions
from speech.registry import Availability

VERSION = "1.7.0"  # another may name or order its outputs differently
LONGEST = 29.0  # seconds; past 30 it cuts silently
FRAME_SECONDS = 0.02
DICTIONARY = "model/en-us/cmudict-en-us.dict"  # inside pocketsphinx
SEARCHES_KEPT = 6
# CMUdict phones as the phonemes it emits; a flapped t or d is one phoneme for both.
PHONEMES = {
    "AA": "ɑ ɒ", "AE": "æ", "AH": "ʌ ə", "AO": "ɔ ɑ", "AW": "aʊ", "AY": "aɪ", "B": "b", "CH": "t͡ʃ", "D": "d ɾ",
    "DH": "ð", "EH": "ɛ", "ER": "ɝ ɚ ɜ", "EY": "eɪ", "F": "f", "G": "ɡ g", "HH": "h", "IH": "ɪ", "IY": "i",
    "JH": "d͡ʒ", "K": "k", "L": "l", "M": "m", "N": "n", "NG": "ŋ", "OW": "oʊ", "OY": "ɔɪ", "P": "p", "R": "ɹ",
    "S": "s", "SH": "ʃ", "T": "t ɾ", "TH": "θ", "UH": "ʊ", "UW": "u", "V": "v", "W": "w", "Y": "j", "Z": "z",
    "ZH": "ʒ", "o": "o", "e": "e",
}  # fmt: skip
MIDDLE, SLOPE = 0.5, 4.0  # confidence from the distance to the freest decoding, a frame


class HamaRecogniser:
    """Listens with hama's phoneme network over the caller's language."""

    name = "hama"

    def __init__(self) -> None:
        self._network: Any = None
        self._dictionary_text = ""  # of 135,000 words: as objects they would take 60 MB
        self._dictionary: dict[str, list[str]] = {}  # of the words looked up so far
        self._searches: dict[str, Search] = {}
        self._search: Search | None = None
        self.unknown_words: frozenset[str] = frozenset()

    def availability(self) -> Availability:
        """Whether the pinned version is here, and pocketsphinx, whose dictionary it needs; nothing is loaded."""
        for package in ("hama", "pocketsphinx"):
            if importlib.util.find_spec(package) is None:
                return Availability(False, f"{package} is not installed: pip install hama=={VERSION} pocketsphinx")
        try:
            version = metadata.version("hama")
        except metadata.PackageNotFoundError:
            version = "unknown"
        if version != VERSION:
            return Availability(False, f"hama is version {version}: pip install hama=={VERSION}")
        return Availability(True, "its model is part of its package")

    def load(self) -> None:
        """Load the network and the dictionary. Raises `EngineMissing` or `EngineFailed`."""
        if self._network is not None:
            return
        state = self.availability()
        if not state.ok:
            raise EngineMissing(f"the second recogniser cannot be used: {state.reason}")
        try:
            network = importlib.import_module("hama.asr").ASRModel()
            text = (resources.files("pocketsphinx") / DICTIONARY).read_text(encoding="utf-8")
        except (ImportError, OSError, RuntimeError, ValueError) as error:
            raise EngineFailed("the second recogniser cannot be loaded: pip install --force-reinstall hama") from error
        self._dictionary_text = text
        tokens = network.decoder_tokens
        self._columns = [[tokens.index(one) for one in names.split()] for names in PHONEMES.values()]
        self._pauses = [tokens.index("<blank>"), tokens.index("<wb>")]
        self._network = network

    def listen_for(self, language: Automaton) -> None:
        """Listen for this language; sentences with words outside the dictionary are left out."""
        self.load()
        self._look_up(language.vocabulary)
        self.unknown_words = frozenset(word for word in language.vocabulary if not self._dictionary[word])
        if language.digest not in self._searches:
            try:
                known = language.without(self.unknown_words) if self.unknown_words else language
            except LanguageError as error:
                raise EngineUnavailable("the second recogniser knows too few of these words") from error
            place = {phone: number for number, phone in enumerate(PHONEMES)}
            sounds = {
                word: [[place[phone] for phone in sound.split()] for sound in self._dictionary[word]]
                for word in known.vocabulary
            }
            self._searches[language.digest] = Search(known, sounds)
            while len(self._searches) > SEARCHES_KEPT:
                del self._searches[next(iter(self._searches))]
        self._search = self._searches[language.digest]

    def _look_up(self, words: frozenset[str]) -> None:
        new = words - self._dictionary.keys()
        if not new:
            return
        found: dict[str, list[str]] = {word: [] for word in new}
        for line in self._dictionary_text.splitlines():
            name, _, sound = line.partition(" ")
            word = name.partition("(")[0]
            if word in found:
                found[word].append(sound)
        for table in (additions(), additions("hama_pronunciations.toml")):
            for word in new & table.keys():
                found[word] += [sound for sound in table[word] if sound not in found[word]]
        self._dictionary |= found

    def hear(self, sound: Sound) -> HearingResult:
        """Recognise one utterance."""
        if self._search is None:
            return Failed("the second recogniser was given no language: report this as a fault")
        samples = prepared(sound)
        if not len(samples):
            return Silence(sound.seconds)
        try:
            frames = self._frames(samples[: int(LONGEST * RATE)])
        except (RuntimeError, ValueError, OSError) as error:
            return Failed(f"the second recogniser stopped ({type(error).__name__}): the first goes on alone")
        phones = np.stack([frames[:, columns].max(axis=1) for columns in self._columns], axis=1)
        pause = frames[:, self._pauses].max(axis=1)
        best = self._search.best(phones, pause)
        if best is None or not best.words:
            return Silence(sound.seconds)
        loss = (float(frames.max(axis=1).sum()) - best.score) / len(frames)
        confidence = 1 / (1 + math.exp(min(50.0, (loss - MIDDLE) * SLOPE)))
        starts = (0, *(frame + 1 for _, frame in best.words))
        words = tuple(
            HeardWord(word, start * FRAME_SECONDS, (frame + 1) * FRAME_SECONDS, confidence)
            for (word, frame), start in zip(best.words, starts, strict=False)
        )
        return Heard(" ".join(word for word, _ in best.words), confidence, words=words)

    def _frames(self, samples: Any) -> Floats:
        """Log probabilities, frames by tokens."""
        network = self._network
        feeds = {
            network._waveform_input_name: np.asarray(samples, np.float32).reshape(1, -1),
            network._waveform_lengths_input_name: np.array([len(samples)], dtype=np.int64),
        }
        names = [network._log_probs_output_name, network._out_lengths_output_name]
        scores, lengths = network.session.run(names, feeds)
        frames: Floats = np.asarray(scores[0][: int(np.asarray(lengths).reshape(-1)[0])], np.float64)
        return frames
