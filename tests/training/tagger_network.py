"""The tagger as a torch module: the encoder of all-MiniLM-L6-v2 (Apache-2.0; Wang and others 2020, arXiv 2002.10957)
with its vocabulary cut, and one linear layer that gives each word the scores of every tag."""

from collections.abc import Mapping, Sequence

import torch
from safetensors.torch import load_file
from torch import Tensor, nn
from torch.nn import functional

WIDTH, INNER, HEADS, PLACES, LAYERS = 384, 1536, 12, 160, 6
DROPOUT = 0.1
SEEN = (2, 3)  # the layers whose view of each word is given beside the tags (a choice, by leaving an author out)


class Layer(nn.Module):
    """One transformer layer of so many numbers a piece, norms after."""

    def __init__(self, width: int = WIDTH, inner: int = INNER, eps: float = 1e-12) -> None:
        super().__init__()
        self.q, self.k, self.v, self.o = (nn.Linear(width, width) for _ in range(4))
        self.n1, self.n2 = nn.LayerNorm(width, eps=eps), nn.LayerNorm(width, eps=eps)
        self.up, self.down = nn.Linear(width, inner), nn.Linear(inner, width)
        self.drop = nn.Dropout(DROPOUT)

    def forward(self, x: Tensor, bias: Tensor) -> Tensor:
        """x: batch, pieces, width; bias: added to the attention."""
        batch, pieces, width = x.shape

        def split(y: Tensor) -> Tensor:
            return y.view(batch, pieces, HEADS, width // HEADS).transpose(1, 2)

        seen = functional.scaled_dot_product_attention(
            split(self.q(x)), split(self.k(x)), split(self.v(x)), bias, DROPOUT if self.training else 0.0
        )
        x = self.n1(x + self.drop(self.o(seen.transpose(1, 2).reshape(batch, pieces, width))))
        return self.n2(x + self.drop(self.down(functional.gelu(self.up(x)))))


class Encoder(nn.Module):
    """Pieces to vectors."""

    def __init__(self, vocabulary: int) -> None:
        super().__init__()
        self.word, self.pos, self.typ = (nn.Embedding(n, WIDTH) for n in (vocabulary, PLACES, 2))
        self.norm = nn.LayerNorm(WIDTH, eps=1e-12)
        self.layers = nn.ModuleList([Layer() for _ in range(LAYERS)])
        self.drop = nn.Dropout(DROPOUT)

    def forward(self, ids: Tensor, types: Tensor, mask: Tensor) -> list[Tensor]:
        """ids, types, mask: batch, pieces. Gives what every layer makes of them."""
        places = torch.arange(ids.shape[1], device=ids.device)[None]
        x = self.drop(self.norm(self.word(ids) + self.pos(places) + self.typ(types)))
        bias = (1.0 - mask[:, None, None, :].to(x.dtype)) * -10000.0
        if torch.is_autocast_enabled("cuda"):
            bias = bias.to(torch.bfloat16)
        found = []
        for layer in self.layers:
            x = layer(x, bias)
            found.append(x)
        return found


class Tagger(nn.Module):
    """The scores of every tag, for the first piece of every word.

    ``asks`` is there in training alone: what a clause asks, from the layers of which ``states`` are shipped, so that
    they learn to tell it.
    """

    def __init__(self, vocabulary: int, heads: Mapping[str, Sequence[str]], topics: int) -> None:
        super().__init__()
        self.enc = Encoder(vocabulary)
        self.sizes = [len(tags) for tags in heads.values()]
        self.drop, self.out = nn.Dropout(0.15), nn.Linear(WIDTH, sum(self.sizes))
        self.asks = nn.Linear(len(SEEN) * WIDTH, topics)

    def forward(self, ids: Tensor, types: Tensor, mask: Tensor, first: Tensor) -> Tensor:
        """first: batch, words: where each word's first piece stands. Gives batch, words, tags of all heads."""
        return self._tags(self.enc(ids, types, mask)[-1], first)

    def with_topics(self, ids: Tensor, types: Tensor, mask: Tensor, first: Tensor) -> tuple[Tensor, Tensor]:
        """The scores of every tag, and of every topic of the whole turn: batch, topics."""
        layers = self.enc(ids, types, mask)
        words = (first > 0)[:, :, None]
        seen = torch.cat([_firsts(layers[at], first) for at in SEEN], -1)
        mean = (seen * words).sum(1) / words.sum(1).clamp(min=1)
        return self._tags(layers[-1], first), self.asks(self.drop(mean))

    def _tags(self, x: Tensor, first: Tensor) -> Tensor:
        tags: Tensor = self.out(self.drop(_firsts(x, first)))
        return tags


def _firsts(x: Tensor, first: Tensor) -> Tensor:
    return torch.gather(x, 1, first[:, :, None].expand(-1, -1, WIDTH))


NAMES = {
    "q": "attention.self.query", "k": "attention.self.key", "v": "attention.self.value",
    "o": "attention.output.dense", "n1": "attention.output.LayerNorm", "up": "intermediate.dense",
    "down": "output.dense", "n2": "output.LayerNorm",
}  # fmt: skip


def with_base(path: str, heads: Mapping[str, Sequence[str]], topics: int) -> Tagger:
    """A tagger on the base's encoder, as ``cut_vocabulary.py`` saved it."""
    base = load_file(path)
    ours = {
        f"{mine}.weight": base[f"embeddings.{theirs}_embeddings.weight"]
        for mine, theirs in (("word", "word"), ("pos", "position"), ("typ", "token_type"))
    }
    for part in ("weight", "bias"):
        ours[f"norm.{part}"] = base[f"embeddings.LayerNorm.{part}"]
        for at in range(LAYERS):
            for mine, theirs in NAMES.items():
                ours[f"layers.{at}.{mine}.{part}"] = base[f"encoder.layer.{at}.{theirs}.{part}"]
    tagger = Tagger(base["embeddings.word_embeddings.weight"].shape[0], heads, topics)
    tagger.enc.load_state_dict({name: value.float() for name, value in ours.items()})
    return tagger
