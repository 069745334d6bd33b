"""The notation of the wordings: its trees, and what is refused and in which words."""

import pytest

from dialogue.understanding.grammar import Grammar, Wording, _wordings
from dialogue.understanding.templates import Slot, Tree, WordingError, automaton_of, parsed

SILENCE: Tree = ("sequence", ())


@pytest.mark.parametrize(
    ("wording", "tree"),
    [
        ("halve", "halve"),
        ("halve it ", ("sequence", ("halve", "it"))),
        ("{n}", Slot("n", True)),
        ("<sign> {n}", ("sequence", (Slot("sign", False), Slot("n", True)))),
        ("(add|plus) x's", ("sequence", (("choice", ("add", "plus")), "x's"))),
        ("add|plus one|", ("choice", ("add", ("sequence", ("plus", "one")), SILENCE))),
        ("it [all]", ("sequence", ("it", ("choice", ("all", SILENCE))))),
        ("[a|(b c)] d", ("sequence", (("choice", (("choice", ("a", ("sequence", ("b", "c")))), SILENCE)), "d"))),
        ("", SILENCE),
    ],
)
def test_a_tree(wording: str, tree: Tree) -> None:
    assert parsed(wording) == tree


@pytest.mark.parametrize(
    ("wording", "told"),
    [
        ("take {n} off)", "a bracket is closed that was not opened: 'take {n} off)'"),
        ("take] it", "a bracket is closed that was not opened: 'take] it'"),
        ("(take {n", "cannot read from ' {n' in '(take {n'"),
        ("(take it", "a bracket is not closed: '(take it'"),
        ("[take it)", "a bracket is not closed: '[take it)'"),
        ("(take it]", "a bracket is not closed: '(take it]'"),
        ("[take it", "a bracket is not closed: '[take it'"),
        ("take {n off", "cannot read from ' {n off' in 'take {n off'"),
        ("take >", "cannot read from ' >' in 'take >'"),
        ("[please]", "a wording may not be silent: '[please]'"),
        ("", "a wording may not be silent: ''"),
    ],
)
def test_what_cannot_be_used_is_named(wording: str, told: str) -> None:
    with pytest.raises(WordingError) as error:
        automaton_of([("take it", "move subtract"), (wording, "")])
    assert str(error.value) == told


def test_a_name_that_nothing_defines_is_named() -> None:
    lines = [("a", "<nobody> {n} [{sides}]"), ("sides", "both"), ("b", "{missing} it")]
    with pytest.raises(WordingError) as error:
        _ = Grammar(tuple(Wording("moves", name, "", say, "", "") for name, say in lines)).tries
    assert str(error.value) == "wordings use names that nothing defines: missing, nobody"


def test_the_lines_of_a_file() -> None:
    data = {
        "classes": {"take": ["knock off", "take"]},
        "rule": [
            {"name": "act", "means": "move", "wordings": [["<take> {n}", "take six", "move subtract 6"], "lose {n}"]},
            {"name": "sign", "wordings": ["plus"]},
        ],
    }
    assert list(_wordings("moves", data)) == [
        Wording("moves", "take", "", "knock off", "", ""),
        Wording("moves", "take", "", "take", "", ""),
        Wording("moves", "act", "move", "<take> {n}", "take six", "move subtract 6"),
        Wording("moves", "act", "move", "lose {n}", "", ""),
        Wording("moves", "sign", "", "plus", "", ""),
    ]
    with pytest.raises(WordingError) as error:
        list(_wordings("moves", {"rule": [{"name": "act", "wordings": [["take it", "take it"]]}]}))
    assert str(error.value) == ("en/moves.toml: not [wording, example, what the example means]: ['take it', 'take it']")
