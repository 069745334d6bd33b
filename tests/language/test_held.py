"""The half of the utterances that nobody looks at while changing the grammar: only its totals are ever printed."""

import pytest

from .scoring import DATA, score


@pytest.fixture(scope="module")
def held():
    return score(DATA / "utterances_held.jsonl")


def test_the_half_not_looked_at_is_understood(held, capsys: pytest.CaptureFixture[str]) -> None:
    with capsys.disabled():
        print(f"\nutterances_held.jsonl\n{held.report()}")
    share = held.share()
    assert share >= 0.95


def test_the_half_not_looked_at_is_seldom_taken_wrongly(held) -> None:
    wrong = held.wrong()
    assert wrong <= 0.01
