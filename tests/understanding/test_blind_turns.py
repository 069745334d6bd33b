"""Turns of whole lessons by people who knew neither code nor data, with two labels each (tests/training/blind).

What is held here is what was reached at first sight; the figures by class are in the tagger's card. Neither the tagger
nor the decision was made with them.
"""

import hashlib
import json
import re
from collections.abc import Iterator
from importlib.resources import files

import pytest
from training.reading import LabelledTurn, blind, blind_names
from training.scoring import agree, is_right

from dialogue.acts import Interpretation
from dialogue.understanding.interpret import interpret

REACHED_AT_ONCE, REACHED_ASKED, REACHED_WRONG = 0.37, 0.70, 0.029
PACKAGED = files("dialogue.understanding").joinpath("en")


@pytest.fixture(scope="module")
def read() -> list[tuple[LabelledTurn, Interpretation]]:
    return list(_read())


def _read() -> Iterator[tuple[LabelledTurn, Interpretation]]:
    for name in blind_names():
        for turn in blind(name):
            expecting = turn.expecting
            yield turn, interpret(turn.text, expecting, turn.letter, turn.tutor)  # type: ignore[arg-type]


def test_turns_are_understood(
    read: list[tuple[LabelledTurn, Interpretation]], capsys: pytest.CaptureFixture[str]
) -> None:
    at_once = sum(found.sure and is_right(turn, found.acts) for turn, found in read) / len(read)
    asked = sum(is_right(turn, found.acts) for turn, found in read) / len(read)
    wrong = sum(found.sure and not is_right(turn, found.acts) for turn, found in read) / len(read)
    with capsys.disabled():
        print(f"\nblind turns: at once {at_once:.3f}, after one question {asked:.3f}, believed wrongly {wrong:.3f}")
    assert at_once >= REACHED_AT_ONCE
    assert asked >= REACHED_ASKED
    assert wrong <= REACHED_WRONG


def test_the_labels_agree(read: list[tuple[LabelledTurn, Interpretation]]) -> None:
    assert sum(agree(turn) for turn, _ in read) / len(read) >= 0.94


def test_the_file_is_the_one_that_the_card_tells_of() -> None:
    card = PACKAGED.joinpath("tagger_card.md").read_text("utf-8")
    for name in ("tagger.onnx", "tagger_vocabulary.txt", "decision.json"):
        stated = re.search(rf"`{re.escape(name)}` sha256 `(\w+)`", card)
        assert stated, name
        assert stated[1] == hashlib.sha256(PACKAGED.joinpath(name).read_bytes()).hexdigest(), name
    assert json.loads(PACKAGED.joinpath("decision.json").read_text("utf-8"))["act_on"] > 0.5
