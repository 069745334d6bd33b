"""The tracing against hand-worked numbers, and the fit against a general-purpose optimiser."""

from dataclasses import astuple
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from dialogue.learner.fitting import best_fit, first_tries, fit, log_likelihood
from dialogue.learner.history import Attempt
from dialogue.learner.tracing import Parameters, after, bounds, follow, secure_at, seen, trace, usual

ROUND = Parameters(start=0.3, learn=0.1, guess=0.2, slip=0.1)

# Worked by hand from the equations of Corbett & Anderson 1995 with the parameters above:
#   right: .3*.9 = .27, .7*.2 = .14, .27/.41 = 27/41; then 27/41 + 14/41*.1 = 28.4/41 = 142/205
#   wrong: .3*.1 = .03, .7*.8 = .56, .03/.59 = 3/59;  then 3/59 + 56/59*.1 = 8.6/59 = 43/295
#   right from 142/205: 142*.9 = 127.8, 63*.2 = 12.6, 127.8/140.4 = 71/78; then 71/78 + 7/780 = 717/780 = 239/260
#   wrong from 142/205: 142*.1 = 14.2, 63*.8 = 50.4, 14.2/64.6 = 71/323; then 71/323 + 252/3230 = 962/3230 = 481/1615
TABLE = [
    ([True], Fraction(142, 205)),
    ([False], Fraction(43, 295)),
    ([True, True], Fraction(239, 260)),
    ([True, False], Fraction(481, 1615)),
]


@pytest.mark.parametrize(("answers", "known"), TABLE)
def test_hand_worked_table(answers: list[bool], known: Fraction) -> None:
    assert follow([(right, "independent") for right in answers], ROUND) == pytest.approx(float(known), abs=1e-12)


def test_hand_worked_posteriors() -> None:
    assert seen(0.3, True, ROUND) == pytest.approx(27 / 41)
    assert seen(0.3, False, ROUND) == pytest.approx(3 / 59)


def test_prompted_work_counts_a_quarter_and_shown_work_not_at_all() -> None:
    step = after(0.3, True, ROUND) - 0.3
    assert follow([(True, "prompted")], ROUND) == pytest.approx(0.3 + 0.25 * step)
    assert follow([(True, "shown"), (False, "shown")], ROUND) == 0.3


PROBABILITY = st.floats(0.001, 0.999)
USABLE = st.builds(Parameters, PROBABILITY, PROBABILITY, st.floats(0.001, 0.49), st.floats(0.001, 0.49))


@given(PROBABILITY, USABLE)
def test_right_raises_and_wrong_lowers_what_is_seen(known: float, use: Parameters) -> None:
    assert 0 <= seen(known, False, use) <= known + 1e-12
    assert known - 1e-12 <= seen(known, True, use) <= 1


@pytest.mark.parametrize(
    "wrong", [(0.3, 0.1, 0.6, 0.4), (1.1, 0.1, 0.2, 0.1), (0.3, -0.1, 0.2, 0.1), (0.3, 0.1, 0, 0.1)]
)
def test_degenerate_parameters_are_refused(wrong: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="not usable"):
        Parameters(*wrong)


def test_three_unaided_successes_make_a_newcomer_secure_and_one_does_not() -> None:
    known = [follow([(True, "independent")] * count, usual()) for count in (1, 2, 3)]
    assert known[0] < secure_at() < known[2]


def test_a_wrong_try_speaks_only_against_the_ideas_it_names() -> None:
    found = trace([Attempt(6, right=False, ideas=(("order", False),))])
    assert set(found.ideas) == {"order"}
    assert set(trace([Attempt(6, right=False)]).ideas) == set()
    assert set(trace([Attempt(6, right=True)]).ideas) == {"inverse", "both-sides", "order"}


def learners(true: Parameters, count: int, length: int, seed: int) -> list[list[bool]]:
    """Invented learners who follow the model exactly."""
    random = Random(seed)
    out = []
    for _ in range(count):
        known = random.random() < true.start
        answers = []
        for _ in range(length):
            answers.append(random.random() < (1 - true.slip if known else true.guess))
            known = known or random.random() < true.learn
        out.append(answers)
    return out


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_fit_agrees_with_scipy(seed: int) -> None:
    """scipy's L-BFGS-B on the same likelihood, its gradients by differences, from four starts."""
    sequences = learners(Parameters(0.35, 0.2, 0.15, 0.06), 120, 8, seed)
    found = fit(sequences)
    best = min(
        (
            minimize(
                lambda each: -log_likelihood(sequences, Parameters(*each)), start, bounds=bounds(), method="L-BFGS-B"
            )
            for start in (
                [0.25, 0.15, 0.1, 0.08],
                [0.5, 0.3, 0.2, 0.05],
                [0.1, 0.05, 0.25, 0.02],
                [0.7, 0.4, 0.05, 0.09],
            )
        ),
        key=lambda result: float(result.fun),
    )
    assert log_likelihood(sequences, found) == pytest.approx(-best.fun, abs=0.01)
    assert astuple(found) == pytest.approx(tuple(best.x), abs=0.02)


def test_fit_recovers_what_made_the_answers() -> None:
    true = Parameters(0.35, 0.2, 0.15, 0.06)
    assert astuple(fit(learners(true, 3000, 8, 5))) == pytest.approx(astuple(true), abs=0.04)


def test_the_likelihood_is_that_of_the_answers_counted_out() -> None:
    """All paths of the hidden state added up by hand for two answers."""
    use = ROUND
    paths = 0.3 * 0.9 * 0.1 + 0.7 * 0.2 * (0.1 * 0.1 + 0.9 * 0.8)
    assert 2.718281828459045 ** log_likelihood([[True, False]], use) == pytest.approx(paths)


def test_too_few_answers_are_not_fitted() -> None:
    with pytest.raises(ValueError, match="at least 30"):
        fit([[True] * 10])


def test_the_best_of_several_starts_is_no_worse_than_any() -> None:
    sequences = learners(Parameters(0.35, 0.2, 0.15, 0.06), 80, 6, 9)
    assert log_likelihood(sequences, best_fit(sequences)) >= log_likelihood(sequences, fit(sequences)) - 1e-6


def test_only_unaided_first_tries_are_fitted() -> None:
    right, hinted = Attempt(1, right=True), Attempt(1, right=True, help="prompted")
    wrong, wrong_then_hinted = Attempt(1, right=False), Attempt(1, right=False, help="shown")
    assert first_tries([right, hinted, wrong, wrong_then_hinted]) == [True, False, False]
