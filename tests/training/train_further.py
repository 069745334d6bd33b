"""Trains the packaged tagger further, on a processor alone: for more lessons where there is no GPU.

    PYTHONPATH=.:tests python -m training.train_further ROWS OUT --epochs 9 --rate 1.5e-4 --seed 11

ROWS is rows.json (align.py); OUT gets tagger.onnx. It begins with the weights of the packaged file, takes the labels
alone (no teachers) and works in bfloat16: four minutes an epoch of 16,000 rows on one core with AMX. ``--keep 0.5``
writes the mean of the weights before and after, which reads new turns a little better than either (the idea: Wortsman
and others 2022, "Model soups", arXiv 2203.05482; cited from memory).
"""

import argparse
import json
from importlib.resources import files
from pathlib import Path

import torch
from torch import Tensor
from torch.nn import functional

from training import tagger_network
from training.batches import SIZE, Batch, epochs
from training.export import export, from_onnx
from training.tagger_network import Tagger
from training.train import Descent, by_labels

AVERAGED_FROM = 0.5
PACKAGED = Path(str(files("dialogue.understanding").joinpath("en")))


def attention(query: Tensor, key: Tensor, value: Tensor, bias: Tensor, _drop: float) -> Tensor:
    """As torch's own, which goes backward slowly on processors in bfloat16; without dropout."""
    seen = torch.softmax(query @ key.transpose(-1, -2) / query.shape[-1] ** 0.5 + bias.to(query.dtype), -1)
    return seen.to(value.dtype) @ value


def main() -> None:
    """Trains, and writes the file."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("rows", type=Path)
    parser.add_argument("out", type=Path)
    parser.add_argument("--epochs", type=int, default=9)
    parser.add_argument("--rate", type=float, default=1.5e-4)
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--keep", type=float, default=0.0, help="the share of the weights before in those after")
    chosen = parser.parse_args()
    functional.scaled_dot_product_attention = attention  # type: ignore[assignment]
    assert tagger_network.functional is functional
    torch.set_num_threads(1)
    torch.manual_seed(chosen.seed)
    data = json.loads(chosen.rows.read_text("utf-8"))
    heads, rows = data["heads"], [row for row in data["rows"] if row["weight"]]
    pieces = [piece for piece in (PACKAGED / "tagger_vocabulary.txt").read_text("utf-8").split("\n") if piece]
    tagger = Tagger(len(pieces), heads, 0)
    from_onnx(PACKAGED / "tagger.onnx", tagger)
    steps = chosen.epochs * (int(len(rows) * 1.1) // SIZE + 1)
    descent = Descent(tagger, chosen.rate, 4.0, steps, AVERAGED_FROM, 4)

    def loss(one: Batch) -> Tensor:
        tags = {head: torch.as_tensor(array) for head, array in one.tags.items()}
        with torch.autocast("cpu", dtype=torch.bfloat16):
            scores = tagger(*(torch.as_tensor(array) for array in one[:4]))
        return by_labels(scores.float(), tags, torch.as_tensor(one.weight), heads)

    acts = (len(heads["bio"]) - 1) // 2
    descent.run("further", epochs(rows, pieces, list(heads), acts, chosen.seed, chosen.epochs, 1), loss)
    after, before = tagger.state_dict(), Tagger(len(pieces), heads, 0)
    from_onnx(PACKAGED / "tagger.onnx", before)
    kept = before.state_dict()
    tagger.load_state_dict({name: (1 - chosen.keep) * after[name] + chosen.keep * kept[name] for name in kept})
    chosen.out.mkdir(parents=True, exist_ok=True)
    export(tagger.eval(), chosen.out / "tagger.onnx")


if __name__ == "__main__":
    main()
