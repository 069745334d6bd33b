"""Making a recording resemble what a recogniser was trained on: trimmed, full bandwidth, quiet edges."""

import numpy as np

from speech.audio.sound import FRAME, RATE, Samples, Sound, levels
from speech.audio.upper_half import widened

EDGE = 0.15  # seconds of background kept around the speech
LOUDEST = 97  # percentile of levels taken as speech, QUIET as background
QUIET = 10
SHARE = 0.25  # of the way from background to speech: where speech begins
DEEPEST = 35.0  # decibels below the speech: anything under this is background, however quiet the room
LEAST_RANGE = 6.0  # decibels between background and speech; a smaller range is steady noise, or tightly cut
INAUDIBLE = -60.0  # decibels below full scale: what a voice from a synthesiser falls to between words
SHORTEST = 0.06  # seconds; shorter bursts are clicks
BAND = 4_000  # hertz: the highest frequency in a telephone-rate recording
EMPTY = 1e-4  # share of the power above BAND under which the upper half counts as missing
PAUSE = 20.0  # decibels below the loudest, under which nobody is speaking for that moment
LEAD = 0.1  # seconds of faint noise put at each end, for the running mean of the features
FAINT = 1e-2  # its loudness, as a share of the speech


def trimmed(sound: Sound) -> Sound:
    """The sound from `EDGE` before its first speech to `EDGE` after its last; empty when there is no speech."""
    level = levels(sound.samples)
    if len(level) < SHORTEST * 100:
        return Sound(sound.samples[:0])
    quiet, loud = np.percentile(level, [QUIET, LOUDEST])
    if loud < -65 or (loud - quiet < LEAST_RANGE and loud < -45):
        return Sound(sound.samples[:0])
    threshold = max(quiet + SHARE * (loud - quiet), loud - DEEPEST)
    spoken = np.flatnonzero(level > threshold)
    if len(spoken) < SHORTEST * 100:
        return Sound(sound.samples[:0])
    edge = round(EDGE * 100)
    first, last = max(0, int(spoken[0]) - edge), int(spoken[-1]) + 1 + edge
    return Sound(sound.samples[first * FRAME : last * FRAME])


def without_end(sound: Sound) -> Sound:
    """The sound up to its last frame that can be heard."""
    audible = np.flatnonzero(levels(sound.samples) > INAUDIBLE)
    return Sound(sound.samples[: (int(audible[-1]) + 1) * FRAME if len(audible) else 0])


def cut_off(sound: Sound) -> bool:
    """Whether it holds nothing above 4 kHz, as from a telephone."""
    power = np.abs(np.fft.rfft(sound.samples)) ** 2
    upper = power[int(len(power) * (BAND + 100) / (RATE / 2)) :].sum()
    return bool(power.sum() > 0 and upper / power.sum() < EMPTY)


def padded(sound: Sound) -> Sound:
    """The sound with faint noise before and after, so that a tight cut still has edges of background."""
    loudness = float(np.sqrt(np.mean(sound.samples**2))) if len(sound.samples) else 0.0
    noise = np.random.default_rng(0).standard_normal(round(LEAD * RATE)) * FAINT * loudness  # the same every time
    edge = noise.astype(np.float32)
    return Sound(np.concatenate([edge, sound.samples, edge[::-1]]))


def at_speed(sound: Sound, speed: float) -> Sound:
    """The sound played `speed` times as fast (pitch moves with it)."""
    size = int(len(sound.samples) / speed)
    places = np.arange(size) * speed
    return Sound(np.interp(places, np.arange(len(sound.samples)), sound.samples).astype(np.float32))


def voiced_seconds(samples: Samples) -> float:
    """In how many seconds of speech there is a voice and no pause."""
    level = levels(samples)
    if not len(level):
        return 0.0
    return float((level > np.percentile(level, LOUDEST) - PAUSE).sum()) * FRAME / RATE


def prepared(sound: Sound) -> Samples:
    """What a recogniser should get, as samples; empty when the sound holds no speech."""
    speech = trimmed(sound)
    if not len(speech.samples):
        return speech.samples
    return padded(widened(speech) if cut_off(speech) else speech).samples
