"""What a telephone cuts off, put back: above 4 kHz a noise as loud, in each band, as the bands below foretell.

An "s" is hardly anything below 4 kHz: without its upper half "six" is heard as "eight". Blind bandwidth extension by a
linear estimate of the upper band's envelope (Jax and Vary 2003, "On artificial bandwidth extension of telephone
speech", Signal Processing 83), with noise for its fine structure, which a recogniser does not look at.
"""

from itertools import pairwise

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

from speech.audio.sound import FRAME, RATE, Sound

Levels = npt.NDArray[np.float64]
Spectra = npt.NDArray[np.complex128]

BELOW = (100, 300, 500, 750, 1050, 1400, 1800, 2250, 2700, 3200, 3700)  # hertz: the edges of the bands looked at ...
ABOVE = (4000, 4700, 5500, 6800, 8000)  # ... and of those made
WINDOW = 512  # samples
FADE = np.hanning(WINDOW)
FREQUENCY = np.fft.rfftfreq(WINDOW, 1 / RATE)
LOUDEST = 97  # percentile of the levels that counts as full speech
WIDEST = 60.0  # decibels: what is further off counts as this far
NOTHING = 1e-12

# Decibels of each band made, over the level of all the bands below, for a decibel of each band below (over the same
# level), of that level itself (over the loudest), and always. By ridge regression on the recorded voices of the dev
# half of tests/bench/spoken_set.py, 28 November 2026 (tests/bench/fit_upper_half.py prints it anew), hissing
# frames counting as much in all as others; it foretells the bands it was fitted on to 8 dB, where they spread by 18.
# fmt: off
WEIGHTS: Levels = np.array([
    [-0.310, -0.412, -0.447, -0.392],
    [-0.115, -0.081, -0.077, -0.041],
    [-0.279, -0.335, -0.174, -0.167],
    [0.141, 0.226, 0.283, 0.194],
    [-0.092, 0.024, 0.110, 0.143],
    [0.183, 0.272, 0.056, -0.060],
    [0.082, -0.022, 0.084, 0.144],
    [-0.223, 0.005, 0.008, -0.134],
    [0.171, 0.095, 0.268, 0.463],
    [0.706, 0.467, 0.116, 0.024],
    [-0.540, -0.562, -0.765, -0.857],
    [-16.352, -18.308, -24.334, -32.615],
])
# fmt: on


def spectra(samples: npt.NDArray[np.floating]) -> Spectra:
    """One windowed spectrum for each `FRAME`, shape (frames, WINDOW / 2 + 1), of at least `WINDOW` samples."""
    return np.fft.rfft(sliding_window_view(samples, WINDOW)[::FRAME] * FADE)


def band_levels(of: Spectra, edges: tuple[int, ...]) -> Levels:
    """Decibels of each band between edges (hertz), shape (frames, bands)."""
    power = np.abs(of) ** 2
    means = [power[:, (low <= FREQUENCY) & (high > FREQUENCY)].mean(1) for low, high in pairwise(edges)]
    return 10 * np.log10(np.stack(means, 1) + NOTHING)


def clues(below: Levels) -> tuple[Levels, Levels]:
    """What the estimate is made from, a row for each frame as `WEIGHTS` has them; and the level of all bands below."""
    level = 10 * np.log10(np.mean(10 ** (below / 10), 1, keepdims=True))
    shape = np.hstack([below - level, level - np.percentile(level, LOUDEST)])
    return np.hstack([np.clip(shape, -WIDEST, WIDEST), np.ones_like(level)]), level


def widened(sound: Sound) -> Sound:
    """The sound with an upper half (the same noise every time), of a sound that holds nothing there."""
    padded = np.concatenate([np.zeros(WINDOW // 2), sound.samples, np.zeros(WINDOW)])
    known, level = clues(band_levels(spectra(padded), BELOW))
    noise = spectra(np.random.default_rng(0).standard_normal(len(padded)))
    shaped = np.zeros_like(noise)
    for place, decibels in enumerate((known @ WEIGHTS + level).T):
        band = (ABOVE[place] <= FREQUENCY) & (ABOVE[place + 1] > FREQUENCY)
        shaped[:, band] = noise[:, band] * 10 ** (decibels[:, None] / 20)
    pieces = np.fft.irfft(shaped / np.sqrt(np.mean(np.abs(noise) ** 2)), WINDOW) * FADE
    upper, weight = np.zeros(len(padded)), np.full(len(padded), 0.1)
    for place, piece in enumerate(pieces):
        upper[place * FRAME : place * FRAME + WINDOW] += piece
        weight[place * FRAME : place * FRAME + WINDOW] += FADE**2
    middle = slice(WINDOW // 2, WINDOW // 2 + len(sound.samples))
    return Sound((sound.samples + (upper / weight)[middle]).astype(np.float32))
