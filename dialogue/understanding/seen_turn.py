"""One utterance as it is seen: its text, its words with their places and, made once and only when it is asked for, what
the network makes of them.

Whatever is read of a part of it (a sentence, what stands before a correction, what stands beside a question) is read
off the rows of that part's words: the network runs once for an utterance, however often its parts are looked at.
"""

from collections.abc import Callable, Sequence
from functools import cached_property, lru_cache

from dialogue.acts import Expecting
from dialogue.understanding import surface, tagger
from dialogue.understanding.letter_names import with_letter
from dialogue.understanding.normalise import with_points

LONGEST = 400  # characters of a turn that are looked at
REMEMBERED = 16  # utterances: what was heard is looked at by the hearing first, and then by the lesson
EDGES = " ,"
NOWHERE = -1

Place = tuple[int, int]
"""Where a stretch of the text begins and ends."""


class SeenTurn:
    """An utterance, or (``part``) some of it: ``rows`` tells of each of its words which row of the whole is its own,
    ``expecting`` which question the network is told."""

    def __init__(
        self,
        text: str,
        letter: str,
        expecting: Expecting,
        words: Sequence[surface.ShownWord],
        rows: Sequence[int],
        look: Callable[[], tagger.NetworkView],
    ) -> None:
        self.text, self.letter, self.expecting = text, letter, expecting
        self._words, self._rows, self._look = words, rows, look

    @cached_property
    def view(self) -> tagger.NetworkView:
        """The rows of its words, of as many as the network has seen; none where there is no network."""
        whole = self._look()
        rows = [row for row in self._rows if row < len(whole.scores)]
        return tagger.NetworkView(whole.scores[rows], whole.states[rows])

    @property
    def words(self) -> Sequence[surface.ShownWord]:
        """Its words that the network has seen, a row of ``view`` each."""
        return self._words[: len(self.view.scores)]

    @property
    def shown(self) -> list[str]:
        """All its words as the network is shown them, whether it has looked or not."""
        return [word.shown for word in self._words]

    def part(self, *places: Place) -> "SeenTurn":
        """These stretches of it, in order, as a text of their own without the spaces and commas at its edges."""
        origin: list[int] = []  # of each character, where it stands in the whole
        for begin, end in places:
            apart = [NOWHERE] if origin and origin[-1] != begin - 1 else []
            origin += [*apart, *range(begin, end)]
        letters = [" " if at == NOWHERE else self.text[at] for at in origin]
        inside = [at for at, one in enumerate(letters) if one not in EDGES]
        first, last = (inside[0], inside[-1] + 1) if inside else (0, 0)
        text, origin = "".join(letters[first:last]), origin[first:last]
        row_at = {
            at: row for word, row in zip(self._words, self._rows, strict=True) for at in range(word.start, word.end)
        }
        words = [word for word in surface.words(text, self.letter) if origin[word.start] in row_at]
        rows = [row_at[origin[word.start]] for word in words]
        return SeenTurn(text, self.letter, self.expecting, words, rows, self._look)


@lru_cache(maxsize=REMEMBERED)
def see(text: str, expecting: Expecting = "any", letter: str = "x", tutor: str = "") -> SeenTurn:
    """A whole utterance, after what was asked and the tutor's last words: bounded, its decimals with points, the
    letter's name as the letter."""
    letter = letter.lower() if len(letter) == 1 and letter.isascii() and letter.isalpha() else "x"
    text = with_letter(with_points(text[:LONGEST]), letter)
    words = surface.words(text, letter)

    @lru_cache(maxsize=1)
    def look() -> tagger.NetworkView:
        network = tagger.packaged()
        return tagger.NOTHING_SEEN if network is None else network.view(words, expecting, tutor, letter)

    return SeenTurn(text, letter, expecting, words, range(len(words)), look)
