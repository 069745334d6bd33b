"""What can be said, in the two forms that recognisers take: sayings to be guided by, and sentences to be held to.

Sayings are cheap and open: a recogniser that writes down whatever it hears leans on them, and words that stand in them
may come in any order. An automaton is a closed list; it is made only for a recogniser that needs one.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from speech.language.automaton import Automaton

DRAWN = 2000  # sayings that stand for an automaton where nothing else is given


@dataclass(frozen=True, slots=True)
class Sayings:
    """Weighted texts in lower-case words. `alike` holds sets of words each as likely as another of its set, wherever
    one of them can stand: a number is never likelier than another for standing in a text more often."""

    texts: tuple[tuple[str, float], ...]
    alike: tuple[frozenset[str], ...] = ()


@dataclass(frozen=True, eq=False)
class Language:
    """Sayings, and how to come by the automaton. Compared by identity."""

    sayings: Sayings
    sentences: Callable[[], Automaton] = field(repr=False)


def only(automaton: Automaton, alike: tuple[frozenset[str], ...] = ()) -> Language:
    """The language of an automaton; its sayings are drawn from it, the same every time."""
    share = 1.0 / DRAWN
    drawn = tuple((text, share) for text in automaton.sentences(DRAWN))
    return Language(Sayings(drawn, alike), lambda: automaton)
