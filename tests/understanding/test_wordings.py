"""Every wording's own example is a test: what the grammar takes word for word is what the wording says it means."""

from dialogue.acts import Ask, Control, Describe, Expecting, to_json
from dialogue.understanding.certain import certain_acts, contexts
from dialogue.understanding.grammar import Wording, load

EXAMPLES = [one for one in load().wordings if one.example]
CONTEXT_OF: dict[str, Expecting] = {
    "value": "value", "number": "value", "chain": "operations", "term": "term", "plain_operation": "term",
    "yes_here": "yesno", "no_here": "yesno", "seen": "balance",
}  # fmt: skip
UNCERTAIN = "nothing certain"
NOT_TO_THE_LETTER = (
    "ask",
    "control",
    "unclear",
)  # questions and commands are the tagger's


def _means(one: Wording) -> str:
    found = certain_acts(one.example, CONTEXT_OF.get(one.name, "move"), "x")
    return UNCERTAIN if found is None else " ".join(map(_told, found))


def _told(act: object) -> str:
    told = to_json(act)  # type: ignore[arg-type]
    if isinstance(act, Describe):
        return "describe " + ", ".join(" ".join(pair) for pair in told["operations"])
    return " ".join(str(value) for value in told.values())


def test_the_examples_of_all_wordings() -> None:
    """A line each that means something else; where two wordings say one thing, it is left to the tagger."""
    wanted = [one for one in EXAMPLES if not one.gives.startswith(NOT_TO_THE_LETTER) and one.file != "heard"]
    otherwise = [
        (one.example, one.gives, _means(one)) for one in wanted if _means(one) not in {one.gives, "nothing certain"}
    ]
    assert otherwise == []
    uncertain = [one.example for one in wanted if _means(one) == "nothing certain"]
    assert len(uncertain) <= len(wanted) * 0.1, uncertain


def test_questions_and_commands_are_certain_as_bare_words_only() -> None:
    for text in ("stop", "hint", "undo"):
        (act,) = certain_acts(text, "move", "x") or ()
        assert isinstance(act, Ask | Control)
    for text in (
        "i don't want to stop",
        "no hint",
        "don't undo that",
        "let me finish",
        "done",
        "i want to finish this one",
    ):
        assert certain_acts(text, "move", "x") is None


def test_every_name_is_used() -> None:
    grammar = load()
    used = {part.name for trie in grammar.tries.values() for part in grammar.parts_of(trie)}
    looked_for = {name for names in contexts().values() for name in names}
    only_heard = {one.name for one in grammar.wordings if one.file == "heard"}  # they name what recognisers hear
    assert set(grammar.tries) - used - looked_for - only_heard == set()
