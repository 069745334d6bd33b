"""Whatever cuts the connection or kills the server, what was said is in the log once, in order."""

import sys
from pathlib import Path
from random import Random

import pytest

sys.path.append(str(Path(__file__).parents[1] / "bench"))

from bench_page import mishaps

pytestmark = pytest.mark.timeout(240)


def test_nothing_said_is_lost_or_doubled(tmp_path: Path) -> None:
    kills, lost, wrong = mishaps(40, tmp_path, Random(7))  # hundreds: tests/bench/bench_page.py
    assert kills and (lost, wrong) == (0, 0)
