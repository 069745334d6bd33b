"""Recognition with Moonshine tiny (English): the likeliest texts in a language that is a guide, not a fence."""

import math
from collections import OrderedDict
from dataclasses import replace

import numpy as np

from speech.audio.shaping import prepared
from speech.audio.sound import RATE, Samples, Sound
from speech.errors import EngineFailed, EngineMissing
from speech.hearings import Failed, Heard, HearingResult, Hypothesis, Silence
from speech.language.language import Language
from speech.recognition.moonshine.beam_search import dictated, search
from speech.recognition.moonshine.guide import Guide
from speech.recognition.moonshine.model_files import INSTALL, PIECES, altered, availability, model_folder
from speech.recognition.moonshine.network import Floats, Network
from speech.recognition.moonshine.pieces import Pieces
from speech.registry import Availability

LOUDNESS = 0.08  # root mean square that every utterance is brought to
EDGE = 0.3  # seconds of faint noise at each end: cut tight, a word of one syllable is lost
FAINT = 1e-4
LONGEST = 20.0  # seconds; what is longer is cut: attention over it takes memory by the square
GUIDES_KEPT = 6
FIT = 4.0  # what the guided text may cost against dictation before it counts as hardly fitting


class MoonshineRecogniser:
    """Dictation on onnxruntime, one thread. Memory: 100 MB, and some 15 MB a language in use."""

    name = "moonshine"
    held_to_sentences = False
    unknown_words: frozenset[str] = frozenset()  # it writes in pieces, and so any word

    def __init__(self) -> None:
        self._network: Network | None = None
        self._pieces: Pieces | None = None
        self._guides: OrderedDict[int, tuple[Language, Guide]] = OrderedDict()
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
            self._network = Network(folder)
        except (ImportError, OSError) as error:
            raise EngineMissing(f"moonshine cannot be loaded: {INSTALL}") from error

    def listen_for(self, language: Language) -> None:
        """Be guided by the sayings of this language; its guide is made once (0.1 to 0.3 s)."""
        self.load()
        assert self._pieces is not None
        held = self._guides.pop(id(language), None)
        held = held or (language, Guide(language.sayings, self._pieces))  # kept with it, that its id stays its own
        self._guides[id(language)] = held
        while len(self._guides) > GUIDES_KEPT:
            self._guides.popitem(last=False)
        self._guide = held[1]

    def hear(self, sound: Sound) -> HearingResult:
        """Recognise one utterance."""
        if self._guide is None or self._network is None or self._pieces is None:
            return Failed("moonshine was given no language to listen for: report this as a fault")
        samples = framed(sound)
        if not len(samples):
            return Silence(sound.seconds)
        try:
            encoded = self._network.encoded(samples)
            heard = self._heard(encoded, self._network, self._pieces, self._guide)
        except Exception as error:  # onnxruntime's errors share no class of their own
            return Failed(f"moonshine stopped working ({type(error).__name__}): restart the lesson")
        spoken = len(samples) / RATE - 2 * EDGE
        return replace(heard, seconds=spoken) if heard else Silence(sound.seconds)

    @staticmethod
    def _heard(encoded: Floats, network: Network, pieces: Pieces, guide: Guide) -> Heard | None:
        """None where the likeliest text has no words."""
        found = search(network.writing(encoded), guide)
        if not found or not found[0].text:
            return None
        written, total = dictated(network.writing(encoded))
        dictation = Hypothesis(pieces.text(written), total, total)
        hypotheses = tuple(Hypothesis(one.text, one.score, one.sound) for one in found if one.text)
        fit = math.exp(min(0.0, hypotheses[0].sound - total) / FIT)
        return Heard(hypotheses[0].text, fit, hypotheses=hypotheses, dictation=dictation)


def framed(sound: Sound) -> Samples:
    """The speech in a sound at an even loudness, between edges of faint noise; empty where there is none."""
    speech = prepared(sound)[: round(LONGEST * RATE)]
    if not len(speech):
        return speech
    level = max(float(np.sqrt(np.mean(speech**2))), 1e-6)
    edge = np.random.default_rng(0).standard_normal(round(EDGE * RATE)) * FAINT  # the same every time
    return np.concatenate([edge, speech * (LOUDNESS / level), edge]).astype(np.float32)
