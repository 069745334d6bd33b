"""What one person's voice through one microphone is like, so that it is heard better the longer it is known.

The mean of the features: a recogniser takes it from every sound, and with it what microphone and room add (Atal 1974,
Journal of the Acoustical Society of America 55, 1304); of a single "six" that takes away much of the "s" too. Where the
same person was heard before, the mean is estimated from both: the maximum a posteriori estimate of a Gaussian's mean
(Gauvain and Lee 1994, IEEE Transactions on Speech and Audio Processing 2, 291), for which what was heard before counts
as `PRIOR` frames.

The length of the vocal tract: a child's is shorter than those the model was trained on, and all its resonances higher.
Dividing every frequency by a factor, whichever fits best, undoes that (Lee and Rose 1998, IEEE Transactions on Speech
and Audio Processing 6, 49). Of each sound that tells, every factor still in question is tried and the worst given up.

The references are from memory. The figures were chosen on the dev half of tests/bench/spoken_set.py, as it is and with
all frequencies raised by 1.1, 1.2 and 1.3, on 28 November 2026: what they give is in speech/EXPERIMENTS.md.
"""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

Mean = npt.NDArray[np.float64]  # of each feature

PRIOR = 100  # frames, of a hundred a second: a sentence of three seconds is still mostly judged by itself
MEMORY = 1000  # frames: another person, or another seat, has taken over after some ten seconds of speech
GROWN_UP = 1.0
FACTORS = (GROWN_UP, 1.12, 1.25, 1.4)  # the last is a very small child's
HEAD_START = 0.02  # by which another must fit better for each sound, in natural logarithms


class SpeakerAdaptation:
    """What is known of one person so far."""

    def __init__(self) -> None:
        self.factor = GROWN_UP  # by which frequencies are divided
        self._scores = dict.fromkeys(FACTORS, 0.0)  # of those in question, how well all sounds so far fit
        self._mean: Mean = np.zeros(1)  # counts for nothing while there are no frames
        self._frames = 0

    @property
    def known(self) -> bool:
        """Whether there is a mean of what was heard before."""
        return self._frames > 0

    def estimate(self, own: Mean, frames: int) -> Mean:
        """The mean to take from a sound with this `own` mean; its loudness (the first feature) stays its own."""
        if not self.known or not frames:
            return own
        prior = min(self._frames, PRIOR)
        both = (frames * own + prior * self._mean) / (frames + prior)
        both[0] = own[0]
        return both

    def add(self, own: Mean, frames: int) -> None:
        """A sound that was surely this person's, with this mean."""
        if not frames:
            return
        self._mean = (self._frames * self._mean + frames * own) / (self._frames + frames)
        self._frames = min(self._frames + frames, MEMORY)

    def try_factors(self, fit: Callable[[float], float]) -> None:
        """Ask how well a sound fits (a logarithm) under each factor in question, and give up the worst of them."""
        if len(self._scores) == 1:
            return
        for factor in self._scores:
            self._scores[factor] += fit(factor) + HEAD_START * (factor == GROWN_UP)
        del self._scores[min(self._scores, key=self._scores.__getitem__)]
        best = max(self._scores, key=self._scores.__getitem__)
        if best != self.factor:
            self.factor, self._frames = best, 0  # the mean was that of other frequencies
