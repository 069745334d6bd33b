"""Following a learner and refitting the tracing's parameters, against hmmlearn with the same model and answers.

    python tests/bench/bench_tracing.py [learners] [rounds]

The model is a hidden Markov model of two states without a way back, which hmmlearn (a general-purpose library) can hold
exactly. Each round draws the answers of so many invented learners to ten equations each. Both fits climb from the same
start by expectation maximisation until a round gains less than the same amount; ours alone keeps within bounds.
"""

import importlib.util
import statistics
import sys
import time
from collections.abc import Sequence
from random import Random
from typing import Any

import numpy as np
from rows import cannot, row

from dialogue.learner.fitting import CLOSE_ENOUGH, ROUNDS, fit, log_likelihood
from dialogue.learner.tracing import Parameters, after, usual

TRUE = Parameters(start=0.3, learn=0.2, guess=0.12, slip=0.06)
ANSWERS = 10


def drawn(learners: int, random: Random) -> list[list[bool]]:
    """The answers of learners who are as the model says."""
    found = []
    for _ in range(learners):
        known, answers = random.random() < TRUE.start, []
        for _ in range(ANSWERS):
            answers.append(random.random() < (1 - TRUE.slip if known else TRUE.guess))
            known = known or random.random() < TRUE.learn
        found.append(answers)
    return found


def model(use: Parameters, tolerance: float) -> Any:
    """hmmlearn's own, with these parameters."""
    from hmmlearn.hmm import CategoricalHMM

    hmm = CategoricalHMM(n_components=2, n_iter=ROUNDS, tol=tolerance, init_params="", params="ste")
    hmm.startprob_ = np.array([1 - use.start, use.start])
    hmm.transmat_ = np.array([[1 - use.learn, use.learn], [0.0, 1.0]])
    hmm.emissionprob_ = np.array([[1 - use.guess, use.guess], [use.slip, 1 - use.slip]])
    return hmm


def column(sequences: Sequence[Sequence[bool]]) -> Any:
    """As hmmlearn takes them: all answers in one column."""
    return np.array([int(right) for answers in sequences for right in answers]).reshape(-1, 1)


def follow_ours(sequences: Sequence[Sequence[bool]]) -> list[float]:
    """The chance that each learner now knows it."""
    use, found = usual(), []
    for answers in sequences:
        known = use.start
        for right in answers:
            known = after(known, right, use)
        found.append(known)
    return found


def follow_theirs(sequences: Sequence[Sequence[bool]]) -> list[float]:
    """The same: the last state given all answers, and one step on. All sequences in one call, as it is quickest."""
    use = usual()
    last = model(use, 0).predict_proba(column(sequences), [ANSWERS] * len(sequences))[ANSWERS - 1 :: ANSWERS, 1]
    return [float(known + (1 - known) * use.learn) for known in last]


def milliseconds(began: int) -> float:
    return (time.process_time_ns() - began) / 1e6


def main(learners: int, rounds: int) -> None:
    """Print the table."""
    if importlib.util.find_spec("hmmlearn") is None:
        cannot("knowledge tracing, against hmmlearn", "hmmlearn is not installed (the extra `bench`)")
        print('hmmlearn is not installed: pip install "chattutor[bench]"')
        return
    times: dict[str, list[float]] = {name: [] for name in ("follow", "hmmlearn follows", "fit", "hmmlearn fits")}
    apart, gained = 0.0, []
    follow_theirs(drawn(2, Random(0)))  # its imports
    for number in range(rounds):
        sequences = drawn(learners, Random(number))
        began = time.process_time_ns()
        ours = follow_ours(sequences)
        times["follow"].append(1000 * milliseconds(began) / learners)
        began = time.process_time_ns()
        theirs = follow_theirs(sequences)
        times["hmmlearn follows"].append(1000 * milliseconds(began) / learners)
        apart = max(apart, *(abs(one - other) for one, other in zip(ours, theirs, strict=True)))
        began = time.process_time_ns()
        fitted = fit(sequences)
        times["fit"].append(milliseconds(began))
        data, lengths = column(sequences), [ANSWERS] * learners
        began = time.process_time_ns()
        other = model(usual(), CLOSE_ENOUGH * learners * ANSWERS).fit(data, lengths)
        times["hmmlearn fits"].append(milliseconds(began))
        gained.append(log_likelihood(sequences, fitted) - float(other.score(data, lengths)))
    for name, samples in times.items():
        unit = "us a learner" if "follow" in name else "ms"
        print(f"{name:18} median {statistics.median(samples):9.2f} {unit}, {min(samples):.2f} to {max(samples):.2f}")
    print(f"the two estimates differ by {apart:.1e} at most")
    print(f"log likelihood of our fit less that of theirs: {min(gained):.3f} to {max(gained):.3f}, within bounds")
    row("following one learner's ten answers", times["follow"], "µs", peer="hmmlearn", theirs=times["hmmlearn follows"],
        note=f"estimates differ by {apart:.0e}")  # fmt: skip
    row(f"refitting from {learners * ANSWERS:,} answers", times["fit"], "ms", peer="hmmlearn",
        theirs=times["hmmlearn fits"], note=f"log likelihood {min(gained):+.2f} to {max(gained):+.2f}")  # fmt: skip


if __name__ == "__main__":
    main(*(int(word) for word in (sys.argv[1:] or ("1000", "10"))))
