"""Sound files that unpack to far more than they hold are refused before they fill the memory."""

import struct
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from speech.audio.sound import LONGEST, RATE, read_audio, resampled
from speech.errors import UnreadableAudio

BLOCK = 65_535  # samples of a frame of FLAC, at most


def _crc(data: bytes, polynomial: int, bits: int) -> int:
    value, top = 0, 1 << (bits - 1)
    for byte in data:
        value ^= byte << (bits - 8)
        for _ in range(8):
            value = ((value << 1) ^ (polynomial if value & top else 0)) & ((1 << bits) - 1)
    return value


def _number(value: int) -> bytes:
    """A frame's number, written as UTF-8 writes a character."""
    return chr(value).encode()


def silent_flac(frames: int, rate: int) -> bytes:
    """A mono FLAC file of silence that does not say how long it is: every frame of 65,535 samples takes 14 bytes
    (constant subframes; the FLAC format, RFC 9639, sections 8.2 and 9)."""
    stream = struct.pack(">HH", BLOCK, BLOCK) + bytes(6) + ((rate << 44) | (7 << 36)).to_bytes(8, "big") + bytes(16)
    out = [b"fLaC", bytes([0x80]), len(stream).to_bytes(3, "big"), stream]
    for frame in range(frames):
        head = b"\xff\xf8" + bytes([0x70, 0x02]) + _number(frame) + struct.pack(">H", BLOCK - 1)
        head += bytes([_crc(head, 0x07, 8)])
        body = head + bytes([0x00]) + b"\x00"  # a constant subframe: one sample of eight bits
        out.append(body + struct.pack(">H", _crc(body, 0x8005, 16)))
    return b"".join(out)


def test_a_small_file_of_silence_is_read(tmp_path: Path) -> None:
    (tmp_path / "a.flac").write_bytes(silent_flac(3, RATE))
    assert len(read_audio(tmp_path / "a.flac").samples) == 3 * BLOCK


def test_a_few_bytes_that_unpack_to_hours_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.flac"
    path.write_bytes(silent_flac(1500, RATE))  # 1 hour and 42 minutes in 24 kB
    assert path.stat().st_size < 30_000
    tracemalloc.start()
    with pytest.raises(UnreadableAudio, match="longer than ten minutes"):
        read_audio(path)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 4 * LONGEST * RATE * 2


@pytest.mark.parametrize("rate", [8_000, 44_100, 48_000])
def test_a_long_sound_is_the_same_in_pieces(rate: int) -> None:
    at = np.arange(int(rate * 50.5)) / rate
    told = resampled((np.sin(2 * np.pi * 440 * at) * 0.5).astype(np.float32), rate)
    meant = np.sin(2 * np.pi * 440 * np.arange(len(told)) / RATE) * 0.5
    assert len(told) == round(50.5 * RATE)
    assert np.abs(told - meant)[RATE:-RATE].max() < 1e-3
