"""A few of the invented learners of ``tests/bench/bench_learner.py``: none is stuck, and the policy beats fixed order.

The bench plays a thousand; these are the first three of each of its eight kinds.
"""

import sys
from pathlib import Path
from random import Random
from statistics import median

sys.path.append(str(Path(__file__).parents[1] / "bench"))

from bench_learner import KINDS, Learner, fixed_order, with_order, with_policy

MOST, EACH = 1_000, 3


def test_no_kind_of_learner_is_stuck_and_most_need_fewer_equations_than_in_a_fixed_order() -> None:
    by_policy, in_order = [], []
    for index, (name, kind) in enumerate(KINDS.items()):
        for number in range(EACH):
            seed = index * 10_000 + number
            outcome = with_policy(Learner(kind, Random(seed)), MOST)
            assert outcome.known_at is not None, (name, number)
            by_policy.append(outcome.known_at)
            fixed = with_order(Learner(kind, Random(seed)), MOST, fixed_order())
            in_order.append(MOST if fixed.known_at is None else fixed.known_at)
    assert median(by_policy) < median(in_order)
