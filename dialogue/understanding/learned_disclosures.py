"""Whether a turn lets out that somebody is harmed or in danger, learned: a second opinion beside the tagger's.

One linear layer, as of ``learned_topics``, on what two of the network's layers make of a sentence's words; trained by
``tests/training/fit_disclosures.py``, which also writes the file. It is no safeguard: what is missed stands in
``en/tagger_card.md``.
"""

from collections.abc import Sequence

from dialogue.understanding import surface, tagger
from dialogue.understanding.learned_topics import packaged, sentences_of

FILE = "learned_disclosures"
TOLD = "told"
SURE = 0.4  # a choice: lower finds a few more, and takes more of what only sounds alike for one


def lets_out(words: Sequence[surface.ShownWord], states: tagger.States) -> bool:
    """Whether the turn, or a sentence of it, does. ``states``: a row a word."""
    layer = packaged(FILE)
    column = layer.names.index(TOLD)
    shown = [word.shown for word in words[: len(states)]]
    places = {(0, len(shown)), *sentences_of(words[: len(states)])}
    return any(layer.probabilities(shown[a:b], states[a:b])[column] >= SURE for a, b in places if b > a)
