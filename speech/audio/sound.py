"""One sound in memory: mono, 16 kHz, floating point from -1 to 1."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

RATE = 16_000  # samples a second: what the recognisers were trained on
FRAME = RATE // 100  # samples in 10 ms, the step in which levels are measured
QUIETEST = -100.0  # level given to digital silence, in decibels below full scale

Samples: TypeAlias = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Sound:
    """Samples at 16 kHz, mono."""

    samples: Samples

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return len(self.samples) / RATE

    def pcm(self) -> bytes:
        """Signed 16-bit little-endian samples, the form recognisers take."""
        return bytes((np.clip(self.samples, -1, 1) * 32767).astype("<i2").tobytes())

    @classmethod
    def from_pcm(cls, data: bytes) -> "Sound":
        """A sound from signed 16-bit little-endian samples at 16 kHz; an odd last byte is dropped."""
        return cls(np.frombuffer(data[: len(data) // 2 * 2], dtype="<i2").astype(np.float32) / np.float32(32768))


def levels(samples: Samples) -> NDArray[np.float64]:
    """Level of each whole 10 ms frame, in decibels below full scale, never under `QUIETEST`."""
    whole = len(samples) // FRAME * FRAME
    frames = samples[:whole].astype(np.float64).reshape(-1, FRAME)
    power = np.mean(frames * frames, axis=1) if len(frames) else np.zeros(0)
    result: NDArray[np.float64] = 10 * np.log10(power + 10 ** (QUIETEST / 10))
    return result


def resampled(samples: Samples, rate: float) -> Samples:
    """The samples, taken `rate` times a second, as 16 kHz (band-limited, by truncating or padding the spectrum)."""
    if rate == RATE or not len(samples):
        return samples
    size = max(1, round(len(samples) * RATE / rate))
    spectrum = np.fft.rfft(samples)[: size // 2 + 1]
    stretched = np.fft.irfft(spectrum, size) * (size / len(samples))
    return stretched.astype(np.float32)
