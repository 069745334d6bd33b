"""pocketsphinx: ships its model (US English) in its wheel, so that listening needs no download.

The language goes in as a compiled automaton; given as grammar text, the same language takes 376 MB and seconds.
Every utterance is decoded several times, slightly faster and slower: where the decodings agree in what they mean and
lead their rivals clearly, mishearing is far rarer. A free phone loop over the same sound gives the score to compare
each word with: a word that was not said fits worse than free phones; and what was said about other things is mostly
taken for breath between few words. With `one_speaker` what was heard before helps (speaker_adaptation.py).
"""

import importlib.util
import math
from itertools import islice
from typing import Any, NamedTuple

import numpy as np

from speech.audio.shaping import at_speed, prepared
from speech.audio.sound import RATE, Sound
from speech.errors import EngineFailed, EngineMissing, EngineUnavailable, LanguageError
from speech.hearings import Decoding, Failed, Heard, HeardWord, HearingResult, Silence
from speech.language import Automaton, Language
from speech.recognition.pronunciations import add_missing, pronunciations
from speech.recognition.speaker_adaptation import Mean, SpeakerAdaptation
from speech.registry import Availability

SPEEDS = (1.0, 0.93, 1.07)  # the first is the answer, the others are the witnesses
ARCS_KEPT = 14_000  # of languages in the decoder at once, some 3 MB a thousand; putting one in again takes 0.1 s
FRAMES = 100  # a second
SETTINGS: dict[str, Any] = {
    "lm": None,
    "bestpath": False,  # the lattice pass ignores the final state and gives half sentences
    "lw": 9.0,  # weight of the language's probabilities; 6.5 to 12 differ little
    "wip": 0.2,  # cost of each word
    "silprob": 0.1,  # silence and ...
    "fillprob": 0.01,  # ... breath and noise between words are common in speech that thinks
    "warp_type": "inverse_linear",  # frequencies are divided by a factor
    "cmn": "live",  # the mean that is taken from the features is given
    "loglevel": "FATAL",
}
# Confidence, from the worst word: how much better free phones fit its frames than it does, in thousandths a frame of
# the natural logarithm of the scores. A logistic regression (right or not) on 266 decodings of the dev half of
# tests/bench/spoken_set.py, speech about other things among them, 25 November 2026. The area under the curve is 0.86,
# where the same over the whole utterance gives 0.79: one misheard number spoils one word.
MIDDLE, SLOPE = 1.74, 0.81
RIVALS = 12  # other sentences looked at, of so many ways through the search, which are often the same sentence
TRIED = 60
MARGINS = 50  # frames of background around the speech (speech/audio/shaping.py)
UNFIT = 30.0  # of a word that no phone was found for
PHONES = "phones"
HARDLY_ANYTHING = "hardly anything"  # the search that costs least, where only the features are wanted
SURELY = 0.5  # confidence from which a sound tells what the speaker is like ...
COVERED = 0.8  # ... where its words account for so much of it
TELLING = 100  # frames with their margins, from which a sound tells the length of the vocal tract


class _Piece(NamedTuple):
    """A word, phone, breath or silence, its first and last frame, and how well (natural logarithms) it fits the sound
    and what stands before it."""

    text: str
    start: int
    end: int
    sound: float
    before: float

    @property
    def frames(self) -> int:
        return self.end + 1 - self.start


class _Decoding(NamedTuple):
    """What one search makes of a sound; `text` is empty where it found nothing."""

    text: str = ""
    score: float = -math.inf
    frames: int = 0
    pieces: tuple[_Piece, ...] = ()


class PocketsphinxRecogniser:
    """Listens with the model inside pocketsphinx's wheel."""

    name = "pocketsphinx"
    held_to_sentences = True

    def __init__(self, one_speaker: bool = False) -> None:
        """With `one_speaker` all sounds are one person's, as in a lesson; else each is heard as if the first."""
        self._one_speaker, self._speaker = one_speaker, SpeakerAdaptation()
        self._decoder: Any = None
        self._languages: dict[str, int] = {}  # the arcs of each, used last at the end
        self._active: Automaton | None = None

    def availability(self) -> Availability:
        """Whether the package is here; nothing is loaded."""
        if importlib.util.find_spec("pocketsphinx") is None:
            return Availability(False, "its package is not installed: pip install pocketsphinx")
        return Availability(True, "its model is part of its package")

    def load(self) -> None:
        """Load the model (about 0.2 s). Raises `EngineMissing` or `EngineFailed`."""
        if self._decoder is not None:
            return
        try:
            import pocketsphinx
        except (ImportError, OSError) as error:
            raise EngineMissing("pocketsphinx cannot be loaded: pip install --force-reinstall pocketsphinx") from error
        try:
            decoder = pocketsphinx.Decoder(pocketsphinx.Config(**SETTINGS))
            decoder.add_allphone_file(PHONES, pocketsphinx.get_model_path("en-us/en-us-phone.lm.bin"))
            decoder.add_fsg(HARDLY_ANYTHING, decoder.create_fsg(HARDLY_ANYTHING, 0, 1, [(0, 1, 1.0, "a")]))
            add_missing(decoder)
        except (RuntimeError, ValueError) as error:
            raise EngineFailed("pocketsphinx is damaged: pip install --force-reinstall pocketsphinx") from error
        self._decoder = decoder

    def listen_for(self, language: Language) -> None:
        """Listen for the sentences of this language. One unknown word would make pocketsphinx refuse the whole of it,
        so that sentences with unknown words are left out."""
        self._listen_for(language.sentences())

    def _listen_for(self, language: Automaton) -> None:
        self.load()
        unknown = frozenset(word for word in language.vocabulary if not pronunciations(self._decoder, word))
        name = language.digest
        if name not in self._languages:
            self._make_room(len(language.arcs))
            try:
                self._add(name, language.without(unknown) if unknown else language)
            except LanguageError as error:
                raise EngineUnavailable("pocketsphinx knows too few of these words: is it English?") from error
        self._languages.pop(name, None)
        self._languages[name] = len(language.arcs)
        self._active = language

    def _make_room(self, arcs: int) -> None:
        while self._languages and sum(self._languages.values()) + arcs > ARCS_KEPT:
            oldest = next(iter(self._languages))
            del self._languages[oldest]
            self._decoder.activate_search(PHONES)  # a search in use cannot be taken out
            self._decoder.remove_search(oldest)

    def _add(self, name: str, language: Automaton) -> None:
        end = language.states  # pocketsphinx knows one final state: the silent arcs into it carry the stopping
        arcs = [(arc.source, arc.target, arc.probability, arc.word) for arc in language.arcs]
        stops = [(state, end, probability) for state, probability in language.stop]
        try:
            self._decoder.add_fsg(name, self._decoder.create_fsg(name, 0, end, [*arcs, *stops]))
        except (RuntimeError, ValueError) as error:
            raise EngineFailed("pocketsphinx refused the language: please report this") from error

    def hear(self, sound: Sound) -> HearingResult:
        """Recognise one utterance."""
        if self._active is None:
            return Failed("pocketsphinx was given no language to listen for: please report this")
        speech = Sound(prepared(sound))
        if not len(speech.samples):
            return Silence(sound.seconds)
        try:
            self._listen_for(self._active)  # again, should the decoder have been lost to a fault
            return self._heard(speech, self._active.digest) or Silence(sound.seconds)
        except (RuntimeError, IndexError) as error:  # IndexError: pocketsphinx on a sound with nothing in it
            self._decoder, self._languages = None, {}
            return Failed(f"pocketsphinx stopped while listening ({type(error).__name__}): type this one")

    def _heard(self, speech: Sound, language: str) -> Heard | None:
        mean = self._known_mean(speech)
        best = self._decode(language, speech, mean)
        decodings = [Decoding(best.text, self._rivals(best.text))]
        for speed in SPEEDS[1:]:
            other = at_speed(speech, speed)
            text = self._decode(language, other, self._known_mean(other)).text
            decodings.append(Decoding(text, self._rivals(text)))
        free = self._decode(PHONES, speech, mean)
        if not best.text:
            return None
        misfits = _misfits(best, free)
        words = tuple(
            HeardWord(one.text.split("(")[0], one.start / FRAMES, (one.end + 1) / FRAMES, _confidence(misfit))
            for one, misfit in misfits
        )
        worst = _confidence(max((misfit for _, misfit in misfits), default=UNFIT))
        covered = sum(one.frames for one, _ in misfits) / max(1, best.frames - MARGINS)
        if self._one_speaker and covered >= COVERED:
            if worst >= SURELY:
                self._speaker.add(self._mean(speech), best.frames)
            if best.frames >= TELLING:
                self._speaker.try_factors(lambda factor: self._fit(language, speech, factor))
        return Heard(best.text, worst, tuple(decodings), words, min(1.0, covered))

    def _fit(self, language: str, speech: Sound, factor: float) -> float:
        """How well a language fits a sound whose frequencies are divided by a factor: a logarithm, -`UNFIT` or more."""
        return max(self._decode(language, speech, factor=factor).score, -UNFIT)

    def _process(self, search: str, sound: Sound, factor: float, mean: Mean | None = None) -> None:
        """Let a search hear a sound, its frequencies divided by `factor`, and this mean taken from its features, or
        their own."""
        decoder = self._decoder
        decoder.activate_search(search)
        decoder.config["warp_params"] = str(factor)
        decoder.reinit_feat(decoder.config)  # forgets the noise of the sound before
        if mean is not None:
            decoder.set_cmn(",".join(f"{one:.6f}" for one in mean))
        decoder.start_utt()
        decoder.process_raw(sound.pcm(), False, mean is None)
        decoder.end_utt()

    def _mean(self, sound: Sound) -> Mean:
        """The mean of the features of a sound."""
        self._process(HARDLY_ANYTHING, sound, self._speaker.factor)
        return np.array([float(one) for one in self._decoder.get_cmn(False).split(",")])

    def _known_mean(self, sound: Sound) -> Mean | None:
        """The mean to take from a sound of the speaker; None of a stranger, whose sounds have but their own."""
        if not self._speaker.known:
            return None
        return self._speaker.estimate(self._mean(sound), len(sound.samples) * FRAMES // RATE)

    def _decode(self, search: str, sound: Sound, mean: Mean | None = None, factor: float | None = None) -> _Decoding:
        """What a search makes of a sound, under the speaker's factor or one to try."""
        self._process(search, sound, factor or self._speaker.factor, mean)
        decoder = self._decoder
        best = decoder.hyp()
        if best is None or not best.hypstr or best.score <= 0:
            return _Decoding()
        pieces = tuple(
            _Piece(one.word, one.start_frame, one.end_frame, _log(one.ascore), _log(one.lscore))
            for one in decoder.seg() or ()
        )
        return _Decoding(str(best.hypstr), math.log(best.score), decoder.n_frames(), pieces)

    def _rivals(self, text: str) -> tuple[tuple[str, float], ...]:
        """What else fits the sound just decoded, each with how much worse, in thousandths of the logarithm."""
        scores: dict[str, float] = {}
        for one in islice(self._decoder.nbest() or (), TRIED) if text else ():
            if one is None or len(scores) == RIVALS:
                break
            if one.score > 0:
                scores.setdefault(one.hypstr, 1000 * math.log(one.score))
        own = scores.get(text, min(scores.values(), default=0.0))
        return tuple((other, own - score) for other, score in scores.items() if other != text)


def _misfits(best: _Decoding, free: _Decoding) -> list[tuple[_Piece, float]]:
    """Each word with how much better free phones fit the same frames, in thousandths a frame."""
    level = np.zeros(best.frames + 1)
    for phone in free.pieces:
        level[phone.start : phone.end + 1] = (phone.sound + phone.before) / phone.frames
    total = np.concatenate([[0.0], np.cumsum(level)])
    words = [one for one in best.pieces if one.text[0] not in "<[+(" and one.end < best.frames]
    return [(one, 1000 * float(total[one.end + 1] - total[one.start] - one.sound) / one.frames) for one in words]


def _confidence(misfit: float) -> float:
    """From 0 to 1, a half at MIDDLE."""
    return 1 / (1 + math.exp(max(-50.0, min(50.0, (misfit - MIDDLE) * SLOPE))))


def _log(score: float) -> float:
    return math.log(score) if score > 0 else -UNFIT
