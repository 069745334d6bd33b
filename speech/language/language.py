"""What can be said, in the two forms that recognisers take: sayings to be guided by, and sentences to be held to.

Sayings are cheap and open: a recogniser that writes down whatever it hears leans on them, and words that stand in them
may come in any order. An automaton is a closed list; it is made only for a recogniser that needs one.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TypeAlias

from speech.language.automaton import Automaton

DRAWN = 2000  # sayings that stand for an automaton where nothing else is given
WeightedTexts: TypeAlias = Sequence[tuple[str, float]]


@dataclass(frozen=True, eq=False)
class Corpus:
    """Weighted texts in lower-case words, in groups, made when they are asked for. `alike` holds sets of words each as
    likely as another of its set, wherever one of them can stand: a number is never likelier than another for standing
    in a text more often. Compared by identity, so that what is counted of it is counted once."""

    groups: Callable[[], Sequence[WeightedTexts]]
    alike: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True, slots=True)
class Sayings:
    """A corpus, how much each of its groups counts here, and what is said here for one of its words, as the letter of
    the unknown: the word, then what is said."""

    corpus: Corpus
    shares: tuple[float, ...] = (1.0,)
    said_for: tuple[str, str] | None = None

    def texts(self) -> list[tuple[str, float]]:
        """All texts as they are said here, each with its weight."""
        word, said = self.said_for or ("", "")
        return [
            (" ".join(said if one == word else one for one in text.split()), weight * share)
            for group, share in zip(self.corpus.groups(), self.shares, strict=True)
            for text, weight in group
        ]


def sayings(texts: WeightedTexts, alike: tuple[frozenset[str], ...] = ()) -> Sayings:
    """These texts and no others."""
    return Sayings(Corpus(lambda: (texts,), alike))


@dataclass(frozen=True, eq=False)
class Language:
    """Sayings, and how to come by the automaton. Compared by identity."""

    sayings: Sayings
    sentences: Callable[[], Automaton] = field(repr=False)


def only(automaton: Automaton, alike: tuple[frozenset[str], ...] = ()) -> Language:
    """The language of an automaton; its sayings are drawn from it, the same every time."""
    share = 1.0 / DRAWN
    drawn = tuple((text, share) for text in automaton.sentences(DRAWN))
    return Language(sayings(drawn, alike), lambda: automaton)
