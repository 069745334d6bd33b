"""Refit the tracing's parameters from logs: the most likely ones within bounds, by expectation maximisation.

The model is a hidden Markov model of two states, not known and known, without a way back. The steps are those of
Baum, Petrie, Soules & Weiss 1970 (Annals of Mathematical Statistics 41, 164-171). Each parameter has a term of its
own in the expected likelihood, concave in it, so holding it within its bounds keeps every round an improvement.
"""

from collections.abc import Sequence
from dataclasses import astuple
from math import log

from dialogue.learner.tracing import Parameters, bounds, seen, usual

ROUNDS = 500
CLOSE_ENOUGH = 1e-9  # change in log likelihood per answer
LEAST_ANSWERS = 30  # fewer say too little to move the usual parameters: our choice


def log_likelihood(sequences: Sequence[Sequence[bool]], use: Parameters) -> float:
    """Natural log of the chance of these first tries, each sequence one learner on one stage or idea."""
    total = 0.0
    for answers in sequences:
        known = use.start
        for right in answers:
            chance = known * (1 - use.slip) + (1 - known) * use.guess
            total += log(chance if right else 1 - chance)
            now = seen(known, right, use)
            known = now + (1 - now) * use.learn
    return total


def fit(sequences: Sequence[Sequence[bool]], first: Parameters | None = None) -> Parameters:
    """The most likely parameters within bounds, climbing from ``first``.

    Raises ValueError where there are fewer than 30 answers.
    """
    answers = sum(len(sequence) for sequence in sequences)
    if answers < LEAST_ANSWERS:
        raise ValueError(f"There are {answers} first tries; a fit needs at least {LEAST_ANSWERS}.")
    use = first or usual()
    before = log_likelihood(sequences, use)
    for _ in range(ROUNDS):
        use = _improved(sequences, use)
        now = log_likelihood(sequences, use)
        if now - before < CLOSE_ENOUGH * answers:
            break
        before = now
    return use


def _improved(sequences: Sequence[Sequence[bool]], use: Parameters) -> Parameters:
    """One round: how often each thing is expected to have happened, then the parameters that make it likeliest."""
    started = could_learn = learned = ignorant = guessed = knew = slipped = 0.0
    for answers in sequences:
        known, learning = _expected(answers, use)
        if not answers:
            continue
        started += known[0]
        for place, right in enumerate(answers):
            knew, ignorant = knew + known[place], ignorant + 1 - known[place]
            if right:
                guessed += 1 - known[place]
            else:
                slipped += known[place]
        could_learn += sum(1 - each for each in known[:-1])
        learned += sum(learning)
    counted = (
        (started, sum(1 for answers in sequences if answers)),
        (learned, could_learn),
        (guessed, ignorant),
        (slipped, knew),
    )
    improved = [
        min(max(happened / chances if chances else old, low), high)
        for (happened, chances), old, (low, high) in zip(counted, astuple(use), bounds(), strict=True)
    ]
    return Parameters(*improved)


def _expected(answers: Sequence[bool], use: Parameters) -> tuple[list[float], list[float]]:
    """By forward and backward passes: P(known) at each answer, and P(learned between) for each gap, given them all."""
    chance = [((use.guess, 1 - use.slip) if right else (1 - use.guess, use.slip)) for right in answers]
    forward: list[tuple[float, float]] = []
    state = (1 - use.start, use.start)
    for not_known, known in chance:
        not_yet, has = state[0] * not_known, state[1] * known
        scale = not_yet + has
        forward.append((not_yet / scale, has / scale))
        state = (not_yet / scale * (1 - use.learn), (has + not_yet * use.learn) / scale)
    known_at: list[float] = []
    learned: list[float] = []
    behind = (1.0, 1.0)
    for place in range(len(answers) - 1, -1, -1):
        not_yet, has = forward[place][0] * behind[0], forward[place][1] * behind[1]
        known_at.append(has / (not_yet + has))
        if place:
            later = (chance[place][0] * behind[0], chance[place][1] * behind[1])
            before = forward[place - 1]
            stays, learns = before[0] * (1 - use.learn) * later[0], before[0] * use.learn * later[1]
            learned.append(learns / (stays + learns + before[1] * later[1]))
            behind = ((1 - use.learn) * later[0] + use.learn * later[1], later[1])
            scale = behind[0] + behind[1]
            behind = (behind[0] / scale, behind[1] / scale)
    return known_at[::-1], learned[::-1]
