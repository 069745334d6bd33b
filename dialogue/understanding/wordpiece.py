"""WordPiece: a word as the longest pieces that the vocabulary has, from left to right (as in BERT, Devlin and others
2019, arXiv 1810.04805)."""

import unicodedata
from collections.abc import Sequence

MOST_PIECES = 8  # of a word; what follows tells nothing more
MOST_REMEMBERED = 20_000


class WordPiece:
    """The pieces of words, by a fixed vocabulary."""

    def __init__(self, vocabulary: Sequence[str]) -> None:
        self.ids = {piece: at for at, piece in enumerate(vocabulary)}
        self.unknown, self.start, self.end = (self.ids[name] for name in ("[UNK]", "[CLS]", "[SEP]"))
        self._known: dict[str, tuple[int, ...]] = {}

    def pieces(self, word: str) -> tuple[int, ...]:
        """The ids of a word's pieces; never empty."""
        if word not in self._known:
            if len(self._known) >= MOST_REMEMBERED:
                self._known.clear()
            found = [piece for part in _parts(word) for piece in self._cut(part)]
            self._known[word] = tuple(found[:MOST_PIECES]) or (self.unknown,)
        return self._known[word]

    def _cut(self, part: str) -> list[int]:
        found: list[int] = []
        at = 0
        while at < len(part):
            for end in range(len(part), at, -1):
                piece = ("##" if at else "") + part[at:end]
                if piece in self.ids:
                    found.append(self.ids[piece])
                    at = end
                    break
            else:
                return [self.unknown]
        return found


def _parts(word: str) -> list[str]:
    """Letters and digits together, anything else alone; without accents."""
    plain = unicodedata.normalize("NFD", word.lower())
    parts: list[str] = []
    joined = False
    for character in plain:
        if unicodedata.category(character) == "Mn":
            continue
        if joined and character.isalnum():
            parts[-1] += character
        else:
            parts.append(character)
        joined = character.isalnum()
    return parts
