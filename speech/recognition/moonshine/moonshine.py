"""Recognition with Moonshine tiny (English): the likeliest texts in a language that is a guide, not a fence."""

import math
from dataclasses import replace

import numpy as np

from speech.audio.shaping import at_speed, prepared, voiced_seconds
from speech.audio.sound import RATE, Samples, Sound
from speech.errors import EngineFailed, EngineMissing
from speech.hearings import Failed, Heard, HearingResult, Hypothesis, Silence
from speech.language.language import Language
from speech.memory import give_back
from speech.recognition.moonshine.beam_search import Dictation, SearchSettings, cut_short, search
from speech.recognition.moonshine.guide import Guide
from speech.recognition.moonshine.model_files import INSTALL, PIECES, altered, availability, model_folder
from speech.recognition.moonshine.network import EncoderDecoder
from speech.recognition.moonshine.pieces import BEGIN, END, Pieces
from speech.registry import Availability

LOUDNESS = 0.08  # root mean square that every utterance is brought to
EDGE = 0.3  # seconds of faint noise at each end: cut tight, a word of one syllable is lost
FAINT = 1e-4
LONGEST = 20.0  # seconds; what is longer is cut: attention over it takes memory by the square
SPEEDS = (0.93, 1.07)  # at which every text found is scored again: right ones are hardly ever right at one speed alone
SEARCH = SearchSettings()
SHARE, EACH_WORD = 0.3, 1.0  # of the guide in the scores; a smaller share than in the search lets second thoughts win
FIT = 4.0  # what the guided text may cost against dictation before it counts as hardly fitting


class MoonshineRecogniser:
    """Dictation on onnxruntime, one thread. Memory: 100 MB, and 20 MB for the sayings of all questions."""

    name = "moonshine"
    held_to_sentences = False

    def __init__(self) -> None:
        self._network: EncoderDecoder | None = None
        self._pieces: Pieces | None = None
        self._language: Language | None = None
        self._guide: Guide | None = None

    def availability(self) -> Availability:
        """Whether its packages are here; nothing is loaded."""
        return availability()

    def load(self) -> None:
        """Load the network (about 0.4 s). Raises `EngineMissing` or `EngineFailed`."""
        if self._network is not None:
            return
        state, folder = availability(), model_folder()
        if not state.ok or folder is None:
            raise EngineMissing(f"moonshine cannot be loaded: {state.reason}")
        try:
            if name := altered(folder):
                raise EngineFailed(f"{name} of moonshine is damaged or another version: {INSTALL}")
            self._pieces = Pieces((folder / PIECES).read_bytes())
            self._network = EncoderDecoder(folder)
            give_back()
        except (ImportError, OSError) as error:
            raise EngineMissing(f"moonshine cannot be loaded: {INSTALL}") from error

    def listen_for(self, language: Language) -> None:
        """Be guided by the sayings of this language: milliseconds, but for the first of its corpus (0.5 s)."""
        self.load()
        assert self._pieces is not None
        if self._language is not language:
            give_back()  # counting takes some 40 MB for a moment, the first time
            self._language, self._guide = language, Guide(language.sayings, self._pieces)
            give_back()

    def hear(self, sound: Sound) -> HearingResult:
        """Recognise one utterance."""
        if self._guide is None or self._network is None or self._pieces is None:
            return Failed("moonshine was given no language to listen for: please report this")
        samples = framed(sound)
        if not len(samples):
            return Silence(sound.seconds)
        try:
            heard = _heard(samples, self._network, self._pieces, self._guide)
        except Exception as error:  # onnxruntime's errors share no class of their own
            return Failed(f"moonshine stopped working ({type(error).__name__}): restart the lesson")
        give_back()
        spoken = len(samples) / RATE - 2 * EDGE
        return replace(heard, seconds=spoken) if heard else Silence(sound.seconds)


def _heard(samples: Samples, network: EncoderDecoder, pieces: Pieces, guide: Guide) -> Heard | None:
    """Searched for once, then every text found is scored at each speed; None where the likeliest has no words."""
    encoded = network.encoded(samples)
    voiced = voiced_seconds(samples)
    dictation = Dictation()
    found = search(network.writing(encoded), guide, SEARCH, voiced, dictation)
    if not found or not found[0].text:
        return None
    found = [one for one in found if one.text]
    texts = [*(one.pieces for one in found), (BEGIN, *dictation.written(), END)]
    first = [*(one.sound for one in found), dictation.sound]  # known from the search
    others = (network.encoded(at_speed(Sound(samples), speed).samples) for speed in SPEEDS)
    sounds = np.array([first, *(network.scores(each, texts) for each in others)])
    guided = np.array(
        [SHARE * one.guide + EACH_WORD * len(one.text.split()) - cut_short(one.text, voiced, SEARCH) for one in found]
    )
    scores = sounds[:, :-1] + guided
    hypotheses = [
        Hypothesis(one.text, float(scores[:, at].mean()), float(sounds[:, at].mean()), tuple(scores[:, at].tolist()))
        for at, one in enumerate(found)
    ]
    hypotheses.sort(key=lambda one: -one.score)
    total = float(sounds[:, -1].mean())
    fit = math.exp(min(0.0, hypotheses[0].sound - total) / FIT)
    unguided = Hypothesis(pieces.text(dictation.written()), total, total)
    return Heard(hypotheses[0].text, fit, hypotheses=tuple(hypotheses), dictation=unguided)


def framed(sound: Sound) -> Samples:
    """The speech in a sound at an even loudness, between edges of faint noise; empty where there is none."""
    speech = prepared(sound)[: round(LONGEST * RATE)]
    if not len(speech):
        return speech
    level = max(float(np.sqrt(np.mean(speech**2))), 1e-6)
    edge = np.random.default_rng(0).standard_normal(round(EDGE * RATE)) * FAINT  # the same every time
    return np.concatenate([edge, speech * (LOUDNESS / level), edge]).astype(np.float32)
