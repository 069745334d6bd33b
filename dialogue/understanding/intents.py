"""What a question, a command or a sigh is about, where no wording covers it whole: a phrase that gives it away.

Tried last. Every other word must be one of a closed list that says nothing (``en/intents.toml``, beside the
harmless words of the gist): a number, an operation, a "not" or a word nobody knows, and it stays unclear.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from dialogue.acts import Meaning, Say
from dialogue.understanding.grammar import read_data
from dialogue.understanding.semantics import build
from dialogue.understanding.templates import Node, compiled, longest

MOST_TOKENS = 16


@dataclass(frozen=True, slots=True)
class _Topics:
    keys: Node
    silent: frozenset[str]


@lru_cache(maxsize=1)
def _topics() -> _Topics:
    data = read_data("intents")
    pairs = [(phrase, topic["means"]) for topic in data["topic"] for phrase in topic["keys"]]
    return _Topics(compiled(pairs), frozenset(data["silent"]))


def topic(tokens: Sequence[str], harmless: frozenset[str], letter: str) -> Meaning | None:
    """The one thing that the words ask for; None where there is none, or two, or a word that may change it."""
    if len(tokens) > MOST_TOKENS:
        return None
    topics = _topics()
    found: set[str] = set()
    at = 0
    while at < len(tokens):
        end, means = longest(topics.keys, tokens, at)
        if end > at:
            found.update(means)
            at = end
        elif tokens[at] in harmless or tokens[at] in topics.silent:
            at += 1
        else:
            return None
    meanings = {build(means, {}, letter) for means in found}
    if len(meanings) > 1:  # "I'm stuck, help me" asks; "my brain hurts, give me a minute" wants a pause
        meanings.discard(Say("stuck"))
    return meanings.pop() if len(meanings) == 1 else None
