"""One sound in memory: mono, 16 kHz, floating point from -1 to 1; and audio files read as one, which miniaudio decodes,
channels averaged and the rate changed to ours.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from speech.errors import EngineMissing, UnreadableAudio

RATE = 16_000  # samples a second: what the recognisers were trained on
FRAME = RATE // 100  # samples in 10 ms, the step in which levels are measured
LONGEST = 600.0  # seconds of a file; a longer one is no utterance, and is refused before it fills the memory
FEWEST = 4_000  # samples a second of a file; a telephone has 8,000, and fewer blown up to ours would fill the memory
MOST = LONGEST * 48_000  # samples a channel that are held of a file at any time, whatever its rate
PIECE = 20  # seconds of which the rate is changed at once
AT_ONCE = 1 << 14  # samples a channel decoded at once
QUIETEST = -100.0  # level given to digital silence, in decibels below full scale

Samples: TypeAlias = NDArray[np.float32]
_TOO_LONG = "{name} is longer than ten minutes: cut it into single utterances"


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
    """The samples, taken `rate` times a second, as 16 kHz (band-limited, by truncating or padding the spectrum); a long
    sound piece by piece, each with a second more at both ends, so that the spectrum of all is never held."""
    if rate == RATE or not len(samples):
        return samples
    if len(samples) <= (PIECE + 2) * rate or rate != int(rate):
        return _stretched(samples, rate)
    second, found = int(rate), []
    for start in range(0, len(samples), PIECE * second):
        end, before = min(start + PIECE * second, len(samples)), min(start, second)
        whole = _stretched(samples[start - before : end + second], rate)
        at = before // second * RATE
        found.append(whole[at : at + round((end - start) * RATE / rate)])
    return np.concatenate(found)


def _stretched(samples: Samples, rate: float) -> Samples:
    size = max(1, round(len(samples) * RATE / rate))
    spectrum = np.fft.rfft(samples)[: size // 2 + 1]
    stretched = np.fft.irfft(spectrum, size) * (size / len(samples))
    return stretched.astype(np.float32)


def read_audio(path: Path) -> Sound:
    """The sound of a WAV, FLAC, MP3 or Vorbis file of any rate, width and number of channels.

    Raises `UnreadableAudio` in one line when there is no such file, it is damaged, empty, over ten minutes, or has
    too few samples a second.
    """
    try:
        import miniaudio
    except ImportError as error:
        raise EngineMissing("reading audio files needs a package: pip install miniaudio") from error
    if not path.is_file():
        raise UnreadableAudio(f"there is no audio file {path}: check the name")
    try:
        info = miniaudio.get_file_info(str(path))
        if info.num_frames > LONGEST * info.sample_rate:
            raise UnreadableAudio(_TOO_LONG.format(name=path.name))
        if info.sample_rate < FEWEST:
            raise UnreadableAudio(f"{path.name} was recorded at too low a rate for speech: record it again")
        pieces = miniaudio.stream_file(
            str(path), miniaudio.SampleFormat.FLOAT32, info.nchannels, info.sample_rate, frames_to_read=AT_ONCE
        )
        samples = _mixed(pieces, info.nchannels, info.sample_rate, path.name)
    except UnicodeEncodeError as error:
        raise UnreadableAudio(f"the name of {path.name} is not valid text: give it another name") from error
    except (miniaudio.MiniaudioError, OSError, ZeroDivisionError) as error:  # the last: a rate of 0 in its header
        raise UnreadableAudio(f"{path.name} cannot be read as WAV or FLAC: record or convert it again") from error
    if not len(samples):
        raise UnreadableAudio(f"{path.name} holds no sound: record it again")
    return Sound(resampled(samples, info.sample_rate))


def _mixed(pieces: Iterator[Any], channels: int, rate: int, name: str) -> Samples:
    """One channel of the pieces of a file, which may say less of its length than it holds: a few bytes of silence
    unpack to hours. Raises `UnreadableAudio`."""
    mixed, most = bytearray(), int(min(LONGEST * rate, MOST))
    for piece in pieces:
        frames = np.frombuffer(piece, dtype=np.float32).reshape(-1, channels)
        # a file of floats may hold any number
        mixed += np.clip(np.nan_to_num(frames), -1, 1).mean(axis=1, dtype=np.float32).tobytes()
        if len(mixed) > most * np.dtype(np.float32).itemsize:
            raise UnreadableAudio(_TOO_LONG.format(name=name))
    return np.frombuffer(mixed, dtype=np.float32)
