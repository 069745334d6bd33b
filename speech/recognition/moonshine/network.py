"""The network on onnxruntime: a sound encoded once, then the log-probabilities of the next piece of several texts."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from speech.errors import EngineFailed
from speech.recognition.moonshine.model_files import DECODER, ENCODER

Floats: TypeAlias = NDArray[np.float32]
LAYERS, HEADS, WIDTH = 6, 8, 36  # of the decoder
FRAME = 384  # samples
AT_A_TIME = 3  # texts scored together: each takes 130 kB a piece
CACHE = tuple(
    f"past_key_values.{layer}.{of}.{kind}"
    for layer in range(LAYERS)
    for of in ("decoder", "encoder")
    for kind in ("key", "value")
)
OF_SOUND = frozenset(name for name in CACHE if ".encoder." in name)  # the same whatever is written: megabytes a row
RESULTS = ("logits", *(name.replace("past_key_values", "present") for name in CACHE))


class Writing(Protocol):
    """Texts being written about one sound, each a row."""

    def advance(self, rows: Sequence[int], pieces: Sequence[int]) -> Floats:
        """Go on from these rows (one may be taken twice) with one piece each; log-probabilities of all pieces that
        can follow, shape (rows, pieces)."""


class EncoderDecoder:
    """Encoder and decoder, on one thread. Raises `EngineFailed` where they cannot be loaded."""

    def __init__(self, folder: Path) -> None:
        os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # before the import: newer ones keep an id and report
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        options.log_severity_level = 4  # nothing on the learner's screen
        options.enable_cpu_mem_arena = False  # it keeps the most that was ever needed

        def opened(name: str) -> Any:
            return onnxruntime.InferenceSession(str(folder / name), options, providers=["CPUExecutionProvider"])

        try:
            self._encoder, self._decoder = opened(ENCODER), opened(DECODER)
        except Exception as error:  # onnxruntime's errors share no class of their own
            raise EngineFailed("the model cannot be loaded: install its package again") from error

    def encoded(self, samples: Floats) -> Floats:
        """What the encoder makes of 16 kHz samples, shape (1, frames, features); 24 ms a frame."""
        row = samples.astype(np.float32)[None]
        result: Floats = self._encoder.run(None, {"input_values": row, "attention_mask": np.ones(row.shape, np.int64)})[
            0
        ]
        return result

    def writing(self, encoded: Floats) -> "CachedWriting":
        """Begin to write about an encoded sound."""
        return CachedWriting(self._decoder, encoded)

    def scores(self, encoded: Floats, texts: Sequence[tuple[int, ...]]) -> list[float]:
        """The log-probability of whole texts, each from its first mark to its last."""
        parts = (texts[at : at + AT_A_TIME] for at in range(0, len(texts), AT_A_TIME))
        return [score for part in parts for score in self._scores(encoded, part)]

    def _scores(self, encoded: Floats, texts: Sequence[tuple[int, ...]]) -> list[float]:
        longest = max(len(text) for text in texts)
        ids = np.zeros((len(texts), longest), np.int64)
        for row, text in enumerate(texts):
            ids[row, : len(text)] = text
        feed: dict[str, Any] = {
            "input_ids": ids[:, :-1],
            "encoder_hidden_states": np.repeat(encoded, len(texts), 0),
            "encoder_attention_mask": _all_of_it(encoded, len(texts)),
            "use_cache_branch": np.array([False]),
        } | {name: np.zeros((len(texts), HEADS, 0, WIDTH), np.float32) for name in CACHE}
        logits = self._decoder.run(["logits"], feed)[0]
        each = np.array([_of(row, after) for row, after in zip(logits, ids[:, 1:], strict=True)])
        return [float(each[row, : len(text) - 1].sum()) for row, text in enumerate(texts)]


class CachedWriting:
    """Keeps for each row what the decoder needs of the pieces before."""

    def __init__(self, decoder: Any, encoded: Floats) -> None:
        self._decoder, self._encoded = decoder, encoded
        self._cache: dict[str, Floats] | None = None

    def advance(self, rows: Sequence[int], pieces: Sequence[int]) -> Floats:
        """See `Writing`."""
        count = len(rows)
        feed: dict[str, Any] = {
            "input_ids": np.array(pieces, np.int64)[:, None],
            "encoder_hidden_states": np.repeat(self._encoded, count, 0),
            "encoder_attention_mask": _all_of_it(self._encoded, count),
            "use_cache_branch": np.array([self._cache is not None]),
        }
        if self._cache is None:
            feed |= {name: np.zeros((count, HEADS, 0, WIDTH), np.float32) for name in CACHE}
        else:
            taken = np.array(rows)
            feed |= {
                name: _as_many(held, count) if name in OF_SOUND else held[taken] for name, held in self._cache.items()
            }
        logits, *present = self._decoder.run(RESULTS, feed)
        before, self._cache = self._cache, dict(zip(CACHE, present, strict=True))
        if before is not None:  # the decoder gives the sound's share back once only
            self._cache |= {name: max(before[name], feed[name], key=len) for name in OF_SOUND}
        return log_softmax(logits[:, -1])


def _all_of_it(encoded: Floats, count: int) -> NDArray[np.int64]:
    """The mask that hides nothing: the decoder wants it a sample, and takes one of each frame's."""
    return np.ones((count, encoded.shape[1] * FRAME), np.int64)


def _as_many(held: Floats, count: int) -> Floats:
    """So many rows of what is the same in every row; of those that there are, no copy is made."""
    return held[:count] if count <= len(held) else np.repeat(held[:1], count, 0)


def _of(logits: Floats, pieces: NDArray[np.int64]) -> Floats:
    """The log-probability of each of these pieces, a row each; rows are large, so that they are taken one by one."""
    return np.array([log_softmax(row[None])[0, piece] for row, piece in zip(logits, pieces, strict=True)])


def log_softmax(logits: Floats) -> Floats:
    """Log-probabilities over the last axis."""
    low = logits - logits.max(-1, keepdims=True)
    result: Floats = low - np.log(np.exp(low).sum(-1, keepdims=True))
    return result
