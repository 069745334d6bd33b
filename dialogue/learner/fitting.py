"""Refit the tracing's parameters from logs: the most likely ones within bounds, by expectation maximisation.

The model is a hidden Markov model of two states, not known and known, without a way back. The steps are those of
Baum, Petrie, Soules & Weiss 1970 (Annals of Mathematical Statistics 41, 164-171). Each parameter has a term of its
own in the expected likelihood, concave in it, so holding it within its bounds keeps every round an improvement.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import astuple
from math import log
from typing import TypeAlias

from dialogue.learner.history import Attempt
from dialogue.learner.tracing import Parameters, bounds, seen, usual

ROUNDS = 500
CLOSE_ENOUGH = 1e-9  # change in log likelihood per answer
SequenceCounts: TypeAlias = Counter[tuple[bool, ...]]
STARTS = (Parameters(0.25, 0.15, 0.10, 0.08), Parameters(0.6, 0.05, 0.25, 0.03), Parameters(0.1, 0.4, 0.05, 0.09))
LEAST_ANSWERS = 30  # fewer say too little to move the usual parameters: our choice


def log_likelihood(sequences: Sequence[Sequence[bool]], use: Parameters) -> float:
    """Natural log of the chance of these first tries, each sequence one learner on one stage or idea."""
    return _log_likelihood(_counted(sequences), use)


def _counted(sequences: Sequence[Sequence[bool]]) -> SequenceCounts:
    """How often each sequence came: there are few different ones, and the work is for each of those."""
    return Counter(map(tuple, sequences))


def _log_likelihood(counted: SequenceCounts, use: Parameters) -> float:
    total = 0.0
    for answers, times in counted.items():
        known = use.start
        for right in answers:
            chance = known * (1 - use.slip) + (1 - known) * use.guess
            total += times * log(chance if right else 1 - chance)
            now = seen(known, right, use)
            known = now + (1 - now) * use.learn
    return total


def fit(sequences: Sequence[Sequence[bool]], first: Parameters | None = None) -> Parameters:
    """The most likely parameters within bounds, climbing from ``first``.

    It ends where a round gains nothing, which may be a local peak: ``best_fit`` starts at several.
    Raises ValueError where there are fewer than 30 answers.
    """
    answers = sum(len(sequence) for sequence in sequences)
    if answers < LEAST_ANSWERS:
        raise ValueError(f"There are {answers} first tries; a fit needs at least {LEAST_ANSWERS}.")
    use = first or usual()
    counted = _counted(sequences)
    before = _log_likelihood(counted, use)
    for _ in range(ROUNDS):
        use = _improved(counted, use)
        now = _log_likelihood(counted, use)
        if now - before < CLOSE_ENOUGH * answers:
            break
        before = now
    return use


def best_fit(sequences: Sequence[Sequence[bool]]) -> Parameters:
    """The likeliest of the fits that climb from several starts. Raises ValueError where there are too few answers."""
    return max((fit(sequences, start) for start in STARTS), key=lambda found: log_likelihood(sequences, found))


def first_tries(attempts: Sequence[Attempt]) -> list[bool]:
    """What a fit counts of one learner's attempts: each unaided first try. Work that was right only with a hint says
    neither that the learner could do it alone nor that they could not, and is left out."""
    return [attempt.success for attempt in attempts if attempt.help == "independent" or not attempt.right]


def _improved(sequences: SequenceCounts, use: Parameters) -> Parameters:
    """One round: how often each thing is expected to have happened, then the parameters that make it likeliest."""
    started = could_learn = learned = ignorant = guessed = knew = slipped = 0.0
    for answers, times in sequences.items():
        known, learning = _expected(answers, use)
        if not answers:
            continue
        started += times * known[0]
        for place, right in enumerate(answers):
            knew, ignorant = knew + times * known[place], ignorant + times * (1 - known[place])
            if right:
                guessed += times * (1 - known[place])
            else:
                slipped += times * known[place]
        could_learn += times * sum(1 - each for each in known[:-1])
        learned += times * sum(learning)
    counted = (
        (started, sum(times for answers, times in sequences.items() if answers)),
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
