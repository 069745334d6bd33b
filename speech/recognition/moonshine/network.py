"""The network on onnxruntime: a sound encoded once, then the log-probabilities of the next piece of several texts."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray

from speech.errors import EngineFailed
from speech.recognition.moonshine.model_files import DECODER, ENCODER
from speech.recognition.moonshine.pieces import BEGIN

Floats: TypeAlias = NDArray[np.float32]
LAYERS, HEADS, WIDTH = 6, 8, 36  # of the decoder
FRAME = 384  # samples
AT_A_TIME = 64  # pieces scored together: each takes 130 kB
CACHE = tuple(
    f"past_key_values.{layer}.{of}.{kind}"
    for layer in range(LAYERS)
    for of in ("decoder", "encoder")
    for kind in ("key", "value")
)
OF_SOUND = frozenset(name for name in CACHE if ".encoder." in name)  # the same in every row, so one row serves all
OF_TEXT = tuple(name for name in CACHE if name not in OF_SOUND)


def _present(names: Sequence[str]) -> list[str]:
    """What the decoder gives back: the logits, and these parts of its cache."""
    return ["logits", *(name.replace("past_key_values", "present") for name in names)]


class Writing(Protocol):
    """Texts being written about one sound, each a row."""

    def advance(self, rows: Sequence[int], pieces: Sequence[int]) -> Floats:
        """Go on from these rows (one may be taken twice) with one piece each, the first time from row 0 alone;
        log-probabilities of all pieces that can follow, shape (rows, pieces)."""


class EncoderDecoder:
    """Encoder and decoder, on one thread. Raises `EngineFailed` where they cannot be loaded."""

    def __init__(self, folder: Path) -> None:
        os.environ["ORT_DISABLE_TELEMETRY"] = "1"  # before the import: newer ones keep an id and report
        import onnxruntime

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        options.log_severity_level = 4  # nothing on the learner's screen
        options.enable_cpu_mem_arena = False  # it keeps the most that was ever needed
        options.add_session_config_entry("session.use_memory_mapped_ort_model", "1")  # the file is not copied whole

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
        writing = CachedWriting(self._decoder, encoded)
        writing.advance([0], [BEGIN])
        together = max(1, AT_A_TIME // max(len(text) for text in texts))
        parts = (texts[at : at + together] for at in range(0, len(texts), together))
        return [score for part in parts for score in writing.scores(part)]


class CachedWriting:
    """Keeps for each row what the decoder needs of the pieces before, and once what it needs of the sound: it reads one
    row of that as any number of equal ones, to the bit, in half the memory and three quarters of the time."""

    def __init__(self, decoder: Any, encoded: Floats) -> None:
        self._decoder = decoder
        self._sound: dict[str, Any] = {
            "encoder_hidden_states": encoded,
            "encoder_attention_mask": np.ones((1, encoded.shape[1] * FRAME), np.int64),  # hides nothing; a sample each
            "use_cache_branch": np.array([False]),
        } | {name: _nothing(1) for name in OF_SOUND}
        self._text = {name: _nothing(1) for name in OF_TEXT}

    def advance(self, rows: Sequence[int], pieces: Sequence[int]) -> Floats:
        """See `Writing`."""
        taken = np.array(rows)
        text = {name: held[taken] for name, held in self._text.items()}
        return log_softmax(self._run(np.array(pieces, np.int64)[:, None], text)[:, -1])

    def scores(self, texts: Sequence[tuple[int, ...]]) -> list[float]:
        """The log-probability of whole texts. Only once something was written, since the first time the decoder takes
        in the sound."""
        ids = np.zeros((len(texts), max(len(text) for text in texts)), np.int64)
        for row, text in enumerate(texts):
            ids[row, : len(text)] = text
        logits = self._run(ids[:, :-1], {name: _nothing(len(texts)) for name in OF_TEXT})
        return [_of(logits[row, : len(text) - 1], ids[row, 1 : len(text)]) for row, text in enumerate(texts)]

    def _run(self, ids: NDArray[np.int64], text: dict[str, Floats]) -> Floats:
        first = not self._sound["use_cache_branch"][0]
        kept = CACHE if first else OF_TEXT  # what is of the sound is given back the first time only
        logits: Floats
        logits, *present = self._decoder.run(_present(kept), self._sound | text | {"input_ids": ids})
        found = dict(zip(kept, present, strict=True))
        self._text = {name: found[name] for name in OF_TEXT}
        if first:
            self._sound |= {name: found[name] for name in OF_SOUND} | {"use_cache_branch": np.array([True])}
        return logits


def _nothing(rows: int) -> Floats:
    return np.zeros((rows, HEADS, 0, WIDTH), np.float32)


def _of(logits: Floats, pieces: NDArray[np.int64]) -> float:
    """The log-probability of these pieces, a row each, in all."""
    return float(log_softmax(logits)[np.arange(len(pieces)), pieces].sum())


def log_softmax(logits: Floats) -> Floats:
    """Log-probabilities over the last axis."""
    low: Floats = logits - logits.max(-1, keepdims=True)
    low -= np.log(np.exp(low).sum(-1, keepdims=True))
    return low
