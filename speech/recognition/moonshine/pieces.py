"""The pieces that the network writes with: text to numbers of pieces and back (byte pairs, merged by lowest number)."""

from functools import lru_cache
from itertools import pairwise

from speech.errors import EngineFailed

BEGIN, END = 1, 2  # the numbers of the marks before and after every text
FIRST, LAST = 3, 258  # single bytes, which stand only for characters that have no piece
SPACE = "\u2581"  # how a space is written inside a piece


class Pieces:
    """The table of pieces, read from its file: each as its length (two bytes from 128 on), then its bytes."""

    def __init__(self, data: bytes) -> None:
        """Raises `EngineFailed` where the file is cut short."""
        self._bytes: list[bytes] = []
        at = 0
        while at < len(data):
            size, at = data[at], at + 1
            if size >= 128 and at < len(data):
                size, at = size - 128 + data[at] * 128, at + 1
            if at + size > len(data):
                raise EngineFailed("the list of pieces is damaged: install the package of the model again")
            self._bytes.append(data[at : at + size])
            at += size
        whole = [(piece, number) for number, piece in enumerate(self._bytes) if not FIRST <= number <= LAST]
        self._numbers = dict(reversed(whole))  # of a piece that stands twice, the lower number
        self.numbers = lru_cache(maxsize=50_000)(self._of)

    def __len__(self) -> int:
        return len(self._bytes)

    def number(self, piece: str) -> int | None:
        """The number of one piece, if there is such a piece."""
        return self._numbers.get(piece.replace(" ", SPACE).encode())

    def _of(self, text: str) -> tuple[int, ...]:
        """The numbers of the pieces of a text; raises `KeyError` for a character without a piece."""
        parts = [character.encode() for character in text.replace(" ", SPACE)]
        while True:
            joined = [(self._numbers.get(a + b), place) for place, (a, b) in enumerate(pairwise(parts))]
            known = [(number, place) for number, place in joined if number is not None]
            if not known:
                return tuple(self._numbers[part] for part in parts)
            place = min(known)[1]
            parts[place : place + 2] = [parts[place] + parts[place + 1]]

    def text(self, numbers: tuple[int, ...]) -> str:
        """The text of some pieces."""
        return b"".join(self._bytes[one] for one in numbers).decode("utf-8", "replace").replace(SPACE, " ").strip()
