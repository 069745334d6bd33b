"""The decision, figure by figure: the row of evidence of a reading, how certain it makes, and what is believed."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from dialogue.acts import (
    EXPECTING,
    Act,
    Ask,
    Comment,
    Control,
    Describe,
    Expecting,
    PartMove,
    Refused,
    Say,
    Term,
    Try,
    Unclear,
    Value,
    Work,
)
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.operations import Done
from dialogue.algebra.tree import constant
from dialogue.understanding import decision
from dialogue.understanding.decision import (
    KINDS,
    NAMES,
    DecisionModel,
    ScoreTree,
    Split,
    as_tree,
    evidence,
    is_talk,
    packaged,
)
from dialogue.understanding.readings import Reading, TaggedTurn, WordDoubts
from dialogue.understanding.surface import words
from dialogue.understanding.tags import HEADS

TWO = constant(2)
MOVE, PART, LINE = Move("add", TWO, "both"), PartMove("add", TWO, "left"), Line(read_equation("x = 2"))
WORK, TOLD = Work(TWO, TWO), Describe((Done("add", TWO),))
OF_EACH_KIND: dict[str, Act] = {
    "Move": MOVE, "PartMove": PART, "Line": LINE, "Value": Value(TWO), "Work": WORK, "Describe": TOLD,
    "Comment": Comment("feel"), "Say": Say("yes"), "Control": Control("stop"), "Ask": Ask("hint"),
    "Refused": Refused(Ask("hint")), "Rewrite": Rewrite("swap"), "Term": Term(TWO), "Try": Try(TWO),
}  # fmt: skip


CERTAIN = WordDoubts()._replace(surely_left_out=0.0)


def row(
    readings: list[Reading],
    words: int = 3,
    expecting: Expecting = "any",
    exact: bool = False,
    doubts: WordDoubts = CERTAIN,
) -> dict[str, float]:
    """The evidence by name."""
    return dict(zip(NAMES, evidence(readings, words, doubts, expecting, exact), strict=True))


def test_the_doubts_of_the_words_are_in_the_row_by_name() -> None:
    doubts = WordDoubts(*(-0.1 * (place + 1) for place in range(len(WordDoubts._fields))))
    found = row([Reading(0.5, (MOVE,))], doubts=doubts)
    assert {f"word_{name}": found[f"word_{name}"] for name in doubts._fields} == {
        f"word_{name}": value for name, value in doubts._asdict().items()
    }


def test_doubts_are_the_least_and_the_sum_of_the_likeliest_tags() -> None:
    scores = np.zeros((3, sum(map(len, HEADS.values()))), np.float32)
    scores[0, 0] = scores[1, 1] = scores[2, 0] = 5.0  # words 1 and 3 belong to no act
    found = TaggedTurn("a b c", words("a b c", "x"), "x", scores).doubts()
    sure = 5.0 - math.log(math.exp(5.0) + len(HEADS["bio"]) - 1)
    assert (found.boundary, found.boundaries) == (pytest.approx(sure), pytest.approx(3 * sure))
    assert found.argument == pytest.approx(-math.log(len(HEADS["arg"])))
    assert (found.left_out, found.surely_left_out) == (2.0, pytest.approx(math.exp(sure)))


def test_the_row_of_two_readings() -> None:
    found = row([Reading(0.6, (MOVE, Say("yes"))), Reading(0.3, (LINE,))], words=4, expecting="move", exact=True)
    expected = dict.fromkeys(NAMES, 0.0) | {
        "logit": math.log(0.6 / 0.4), "lead": math.log(2), "unread": 0.1, "acts": 2.0,
        "words": math.log(5), "exact": 1.0, "answers": 1.0, "share": math.log(2), "readings": math.log(3),
        "length": 4.0, "Move": 1.0, "Say": 1.0, "move": 1.0,
    }  # fmt: skip
    assert found == pytest.approx(expected)


def test_the_row_of_one_reading_that_is_all_there_is() -> None:
    found = row([Reading(1.0, (PART, PART))], words=0)
    expected = dict.fromkeys(NAMES, 0.0) | {
        "logit": 6.0, "lead": 6.0, "acts": 2.0, "part": 1.0, "share": 6.0, "readings": math.log(2),
        "PartMove": 2.0, "any": 1.0,
    }  # fmt: skip
    assert found == pytest.approx(expected)


def test_what_is_no_more_than_nothing_is_bounded() -> None:
    found = row([Reading(0.0, ())])
    assert (found["logit"], found["unread"], found["acts"]) == (-6.0, 1.0, 0.0)
    assert found["lead"] == pytest.approx(math.log(1e-6 / 1e-4))
    assert found["share"] == -6.0
    assert found["unclear"] == 1.0
    shared = row([Reading(0.7, (MOVE,)), Reading(0.6, (LINE,))])
    assert shared["unread"] == 0.0
    assert shared["share"] == pytest.approx(math.log(7 / 6))
    small = row([Reading(2e-6, (MOVE,)), Reading(1e-5, (LINE,))])
    assert small["lead"] == pytest.approx(math.log(2e-6 / 1e-4))
    assert row([Reading(0.003, (MOVE,))])["logit"] == pytest.approx(math.log(0.003 / 0.997))
    assert row([Reading(1e-7, (MOVE,))])["share"] == pytest.approx(math.log(0.1 / 0.9))


@pytest.mark.parametrize("name", KINDS)
def test_acts_are_counted_by_kind(name: str) -> None:
    found = row([Reading(0.5, (OF_EACH_KIND[name], Unclear(), OF_EACH_KIND[name]))])
    assert {kind: found[kind] for kind in KINDS} == dict.fromkeys(KINDS, 0.0) | {name: 2.0}
    assert (found["part"], found["unclear"]) == (float(name == "PartMove"), 1.0)


@pytest.mark.parametrize("expecting", EXPECTING)
def test_what_was_asked_is_in_the_row_and_what_answers_it(expecting: Expecting) -> None:
    answering = {
        "move": {"Move", "PartMove", "Rewrite"}, "value": {"Value"}, "equation": {"Line"}, "operations": {"Describe"},
        "term": {"Term"}, "yesno": {"Say"},
    }.get(expecting, set())  # fmt: skip
    for name, act in OF_EACH_KIND.items():
        found = row([Reading(0.5, (Unclear(), act))], expecting=expecting)
        assert {asked: found[asked] for asked in EXPECTING} == dict.fromkeys(EXPECTING, 0.0) | {expecting: 1.0}
        assert found["answers"] == float(name in answering), name
    assert row([Reading(0.5, (Verdict("none"),))], expecting="equation")["answers"] == 1.0


def test_certainty_is_the_logistic_function_of_what_the_trees_add() -> None:
    trees = (Split("words", 2.0, 0.5, Split("logit", -1.0, -0.25, 1.0)), Split("balance", 0.5, 0.0, 2.0), 0.125)
    model = DecisionModel(-0.5, trees, 0.9, 0.8, 0.3)
    for found, total in (
        ({}, 0.125),  # words 0: up to 2
        ({"words": 2.0}, 0.125),  # up to, not below
        ({"words": 2.5}, 0.625),
        ({"words": 2.5, "logit": -1.0}, -0.625),
        ({"words": 2.5, "balance": 1.0}, 2.625),
    ):
        filled = dict.fromkeys(NAMES, 0.0) | found
        assert model.certainty([filled[name] for name in NAMES]) == pytest.approx(1 / (1 + math.exp(-total)))
    for much, most in ((1e9, 30.0), (-1e9, -30.0)):
        assert DecisionModel(much, (), 0.9, 0.8, 0.3).certainty([0.0] * len(NAMES)) == 1 / (1 + math.exp(-most))
    with pytest.raises(ValueError):
        model.certainty([1.0])


def test_a_tree_is_read_as_it_is_written() -> None:
    written = ["words", 2.0, 0.5, ["logit", -1.0, -0.25, 1.0]]
    assert as_tree(written) == Split("words", 2.0, 0.5, Split("logit", -1.0, -0.25, 1.0))


def test_talk_is_believed_sooner_than_what_changes_something() -> None:
    model = DecisionModel(0.0, (), 0.9, 0.8, 0.3)
    for certainty, acts, believed in (
        (0.9, (MOVE,), True), (0.89, (MOVE,), False), (0.8, (Say("yes"),), True), (0.79, (Say("yes"),), False),
        (0.85, (Say("yes"), MOVE), False),
    ):  # fmt: skip
        assert model.believes(acts, certainty) is believed
    changing = {"Move", "PartMove", "Line", "Value", "Control", "Refused", "Rewrite"}
    assert {name for name, act in OF_EACH_KIND.items() if not is_talk((Say("yes"), act))} == changing
    assert not is_talk((Verdict("none"),))
    assert is_talk(())


def test_the_packaged_trees_are_read_once_and_know_the_names() -> None:
    kept = json.loads(Path(decision.__file__).with_name("en").joinpath("decision.json").read_text("utf-8"))
    model = packaged()
    assert model is packaged()
    assert {name for tree in model.trees for name in _names(tree)} <= set(NAMES)
    trees = tuple(map(as_tree, kept["trees"]))
    assert model == DecisionModel(kept["begin"], trees, kept["act_on"], kept["act_on_talk"], kept["ask_back"])
    assert 0 < model.ask_back < model.act_on_talk <= model.act_on < 1


def _names(tree: ScoreTree) -> set[str]:
    return {tree.name, *_names(tree.up_to), *_names(tree.beyond)} if isinstance(tree, Split) else set()
