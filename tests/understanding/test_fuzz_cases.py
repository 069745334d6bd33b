"""Texts that coverage-guided fuzzing found (``tests/fuzz``), kept: each is understood or asked about, within bounds."""

from pathlib import Path
from typing import get_args

import pytest

from dialogue.acts import Expecting, to_json
from dialogue.understanding.understand import understand

CASES = Path(__file__).parents[1] / "fuzz" / "understood_texts.txt"


@pytest.mark.parametrize("text", CASES.read_text("utf-8").splitlines())
def test_a_case_is_understood_or_asked_about(text: str) -> None:
    for expecting in get_args(Expecting):
        assert "act" in to_json(understand(text.encode().decode("unicode_escape"), expecting, "x"))
