"""Audio files: whatever the bytes, a sound of finite samples or one line why not; then all that is done to a sound."""

import io
import struct
import tempfile
import wave
from pathlib import Path

import numpy as np
from harness import instrumented, run

with instrumented("speech.audio"):
    from speech.audio.endpoint import Endpointer
    from speech.audio.shaping import at_speed, prepared
    from speech.audio.sound import LONGEST, Sound, read_audio
    from speech.errors import UnreadableAudio

FOLDER = tempfile.TemporaryDirectory(prefix="fuzz-audio-")
KINDS = {b"fLaC": "flac", b"OggS": "ogg", b"ID3": "mp3"}


def one(data: bytes) -> None:
    """One file, named by how it begins."""
    kind = next((kind for mark, kind in KINDS.items() if data.startswith(mark)), "wav")
    path = Path(FOLDER.name) / f"sound.{kind}"
    path.write_bytes(data)
    try:
        sound = read_audio(path)
    except UnreadableAudio as error:
        assert "\n" not in str(error)
        return
    assert 0 < sound.seconds <= LONGEST + 1, "no longer than what is taken"
    assert np.isfinite(sound.samples).all(), "every sample is a number"
    assert Sound.from_pcm(sound.pcm()).samples.shape == sound.samples.shape
    assert np.isfinite(prepared(sound)).all()
    at_speed(sound, 1.1)
    endpointer = Endpointer()
    for place in range(0, min(len(sound.samples), 16_000), 640):
        endpointer.feed(sound.samples[place : place + 640])
    endpointer.take()


def _wav(channels: int, width: int, rate: int, seconds: float = 0.15) -> bytes:
    tone = np.sin(np.arange(int(rate * seconds)) * 0.1)
    tone[: len(tone) // 3] *= 0.001
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate)
        whole = (tone * (2 ** (8 * width - 1) - 1)).astype(np.int64) + (128 if width == 1 else 0)
        frames = (int(each).to_bytes(width, "little", signed=width > 1) * channels for each in whole)
        file.writeframes(b"".join(frames))
    return out.getvalue()


def _floats(bits: int, loudness: float = 0.5) -> bytes:
    data = (np.sin(np.arange(2000) * 0.1) * loudness).astype(f"<f{bits // 8}").tobytes()
    head = struct.pack("<HHIIHH", 3, 1, 16_000, 16_000 * bits // 8, bits // 8, bits)
    parts = (b"WAVE", b"fmt ", struct.pack("<I", len(head)), head, b"data", struct.pack("<I", len(data)), data)
    return b"RIFF" + struct.pack("<I", sum(map(len, parts))) + b"".join(parts)


def _flac() -> bytes:
    """A stream of constant frames would need checksums; the header alone leads into the decoder."""
    info = struct.pack(">HH", 4096, 4096) + bytes(6) + (16_000 << 44 | 15 << 36 | 4096).to_bytes(8, "big") + bytes(16)
    return b"fLaC\x80\0\0\x22" + info + b"\xff\xf8\xc9\x08\0\xc2\0\0\0\0\0"


def seeds() -> list[bytes]:
    """Small files of every kind that can be made here, and the beginnings of the others."""
    wavs = [_wav(channels, width, rate) for channels in (1, 2) for width in (1, 2, 3, 4) for rate in (8_000, 44_100)]
    mp3 = b"ID3\x04\0\0\0\0\0\0" + (b"\xff\xfb\x90\x64" + bytes(413)) * 3
    ogg = b"OggS\0\x02" + bytes(8) + b"\1\0\0\0" + bytes(8) + b"\1\x1e\1vorbis" + bytes(4) + b"\1\x80\x3e" + bytes(17)
    return [
        *wavs,
        _floats(32),
        _floats(64),
        _floats(32, 3e38),
        _wav(1, 1, 2, 300.0),
        _flac(),
        mp3,
        ogg,
        b"RIFF\0\0\0\0WAVE",
        b"",
    ]


if __name__ == "__main__":
    run(one, seeds())
