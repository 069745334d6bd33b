"""The learned tagger's network: the one file that imports onnxruntime, and only when a turn needs it.

What it is for, what it was trained on and how well it does: ``en/tagger_card.md`` beside the weights.
"""

from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from dialogue.understanding import surface
from dialogue.understanding.wordpiece import WordPiece

MOST_PIECES = 150  # of a turn with its context: the places that the network was trained on
MOST_OF_A_WORD, LONGEST_WORD = 4, 24  # pieces and letters: what has more is no word
MOST_BEFORE = 70  # of them for what was asked

Scores = npt.NDArray[np.float32]
"""A row a word, a column a tag (``tags.slices``): unnormalised log probabilities."""

States = npt.NDArray[np.float32]
"""A row a word: what the last layer makes of it, among the others."""


class NetworkView(NamedTuple):
    """What the network makes of the words of a turn."""

    scores: Scores
    states: States


NOTHING_SEEN = NetworkView(np.zeros((0, 1), np.float32), np.zeros((0, 1), np.float32))


class Network:
    """The packaged weights, ready to tag."""

    def __init__(self, weights: Path, vocabulary: Sequence[str]) -> None:
        import onnxruntime

        onnxruntime.disable_telemetry_events()  # and chattutor sets ORT_DISABLE_TELEMETRY before: nothing is reported

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1  # a turn takes milliseconds on one core
        options.log_severity_level = 3
        options.add_session_config_entry("session.disable_quant_qdq", "1")  # weights become floats once, on loading
        self._session: Any = onnxruntime.InferenceSession(str(weights), options, providers=["CPUExecutionProvider"])
        self.pieces = WordPiece(vocabulary)

    def is_noise(self, word: str) -> bool:
        """Whether a word says nothing to the network: a picture, or letters that make no pieces of words."""
        pieces = self.pieces.pieces(word)
        in_shreds = len(pieces) > MOST_OF_A_WORD and 2 * len(pieces) >= len(word)
        return self.pieces.unknown in pieces or in_shreds or len(word) > LONGEST_WORD

    def seen(self, words: Sequence[str], asked: str, context: Sequence[str]) -> NetworkView:
        """The words, as many of them as fit; ``asked`` is what the question expects."""
        return self._run(words, asked, context)

    def view(self, turn: Sequence[surface.ShownWord], asked: str, tutor: str, letter: str) -> NetworkView:
        """A turn's words, after the tutor's."""
        return self.seen([word.shown for word in turn], asked, surface.context(tutor, letter))

    def _run(self, words: Sequence[str], asked: str, context: Sequence[str]) -> NetworkView:
        ids, kinds, first = encoded(words, asked, context, self.pieces)
        if not first:
            return NOTHING_SEEN
        inputs = {"ids": ids, "types": kinds, "mask": [1] * len(ids), "first": first}
        tags, states = self._session.run(None, {name: np.array([row], np.int64) for name, row in inputs.items()})
        return NetworkView(tags[0], states[0])


def encoded(
    words: Sequence[str], asked: str, context: Sequence[str], cut: WordPiece
) -> tuple[list[int], list[int], list[int]]:
    """The network's input: pieces, whether each is of the turn or of what came before, and where each word begins."""
    before = [cut.start, *cut.pieces(asked), *(piece for word in context for piece in cut.pieces(word))]
    ids = [*before[:MOST_BEFORE], cut.end]
    kinds, first = [0] * len(ids), []
    for word in words:
        pieces = cut.pieces(word)
        if len(ids) + len(pieces) >= MOST_PIECES:
            break
        first.append(len(ids))
        ids += pieces
        kinds += [1] * len(pieces)
    return [*ids, cut.end], [*kinds, 1], first


@lru_cache(maxsize=1)
def packaged() -> Network | None:
    """The network of the package; read once (about 0.2 s). None on a system for which onnxruntime is not made: there
    only what is certain is understood, and the rest is asked again."""
    folder = resources.files("dialogue.understanding").joinpath("en")
    vocabulary = folder.joinpath("tagger_vocabulary.txt").read_text("utf-8").split("\n")
    try:
        with resources.as_file(folder.joinpath("tagger.onnx")) as weights:
            return Network(weights, [piece for piece in vocabulary if piece])
    except ImportError:
        return None
