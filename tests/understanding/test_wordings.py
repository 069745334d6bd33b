"""Every wording's own example is a test; no wording is stolen by another; every class is used."""

import pytest

from dialogue.acts import Describe, Expecting, Unclear, to_json
from dialogue.understanding.grammar import Grammar, Matcher, NodeSet, Wording, load
from dialogue.understanding.interpreter import Interpreter
from dialogue.understanding.normalise import cleaned, tokens
from dialogue.understanding.semantics import build
from dialogue.understanding.templates import compiled
from dialogue.understanding.understand import understand

from .scoring import meaning_of

EXAMPLES = [one for one in load().wordings if one.example]
CONTEXT_OF: dict[str, Expecting] = {
    "value": "value", "number": "value", "chain": "operations", "term": "term", "plain_operation": "term",
    "yes_here": "yesno", "no_here": "yesno",
    "seen": "balance",
}  # fmt: skip


def _context(one: Wording) -> Expecting:
    return CONTEXT_OF.get(one.name, "move")


@pytest.mark.parametrize("one", EXAMPLES, ids=lambda one: f"{one.file}: {one.example}")
def test_the_example_of_a_wording(one: Wording) -> None:
    found = to_json(understand(one.example, _context(one), "x"))
    assert found == meaning_of(one.gives)


@pytest.mark.parametrize("one", [one for one in EXAMPLES if one.name in {"act", "move"}], ids=lambda one: one.say[:60])
def test_a_wording_says_its_own_example(one: Wording) -> None:
    said = tokens(cleaned(one.example), "x")
    alone = Grammar(load().wordings)
    trie = compiled([(one.say, one.means)])
    alone.__dict__.update(
        tries={**load().tries, one.name: trie},
        starts={**load().starts, one.name: NodeSet((trie,))},
        firsts=load().firsts,
        vocabulary=load().vocabulary,
    )
    ends = [end for start in range(len(said)) for end, _, _ in Matcher(alone, said, "x", build).at(one.name, start)]
    assert len(said) in ends


def test_no_wording_steals_another_ones_sentence() -> None:
    """Two wordings may say the same only where they mean the same."""
    stolen = []
    for one in EXAMPLES:
        reader = Interpreter(_context(one), "x")
        said = tokens(cleaned(one.example), "x")
        readings = reader.readings(said)
        best = min(readings.values(), default=None)
        tied = [meaning for meaning, rank in readings.items() if rank == best]
        settled = any(isinstance(meaning, Describe | Unclear) for meaning in tied)  # what was asked, or asked back
        if len(tied) > 1 and not settled:
            stolen.append((one.example, [to_json(meaning) for meaning in readings]))
    assert stolen == []


def test_every_name_is_used() -> None:
    grammar = load()
    used = {part.name for trie in grammar.tries.values() for part in grammar.parts_of(trie)}
    from dialogue.understanding.interpreter import names_used

    only_heard = {one.name for one in grammar.wordings if one.file == "heard"}  # they name what recognisers hear
    assert set(grammar.tries) - used - names_used() - only_heard == set()
