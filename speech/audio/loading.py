"""Reading audio files. miniaudio decodes; channels are averaged and the rate is changed to ours."""

from pathlib import Path

import numpy as np

from speech.audio.sound import Sound, resampled
from speech.errors import EngineMissing, UnreadableAudio

LONGEST = 600.0  # seconds; a longer file is no utterance, and is refused before it fills the memory

LOWEST = 4_000  # samples a second; a telephone has 8,000, and a few blown up to ours would fill the memory too


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
        data = path.read_bytes()
        info = miniaudio.get_file_info(str(path))
        if info.num_frames > LONGEST * info.sample_rate:
            raise UnreadableAudio(f"{path.name} is longer than ten minutes: cut it into single utterances")
        if info.sample_rate < LOWEST:
            raise UnreadableAudio(f"{path.name} has too few samples a second for speech: record it again")
        decoded = miniaudio.decode(
            data, miniaudio.SampleFormat.FLOAT32, nchannels=info.nchannels, sample_rate=info.sample_rate
        )
    except UnicodeEncodeError as error:
        raise UnreadableAudio(f"{path.name} has a name that is no text: give it another name") from error
    except (miniaudio.MiniaudioError, OSError, ZeroDivisionError) as error:  # the last: a rate of 0 in its header
        raise UnreadableAudio(f"{path.name} cannot be read as WAV or FLAC: record or convert it again") from error
    # a file of floats may hold any number
    whole = np.clip(np.nan_to_num(np.frombuffer(decoded.samples, dtype=np.float32)), -1, 1)
    samples = whole.reshape(-1, info.nchannels).mean(axis=1)
    if not len(samples):
        raise UnreadableAudio(f"{path.name} holds no sound: record it again")
    return Sound(resampled(samples.astype(np.float32), info.sample_rate))
