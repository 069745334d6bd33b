"""The best sentence of a language for given phoneme probabilities: exact Viterbi search, frame by frame.

For recognisers that give, for every frame, the probability of each phoneme or of a blank between phonemes
(connectionist temporal classification: Graves et al. 2006, ICML). A phoneme may last several frames, with
blanks after it; words may be apart by any number of blanks.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from speech.language import Automaton

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
LANGUAGE_WEIGHT = 0.5  # of the language's log probabilities beside a frame's


@dataclass(frozen=True, slots=True)
class Best:
    """A sentence and its log probability under the frames and the language; `words` holds (word, last frame)."""

    score: float
    words: tuple[tuple[str, int], ...]


class Search:
    """A language unfolded into phonemes. `sounds` maps each word to its pronunciations, as phoneme numbers."""

    def __init__(self, language: Automaton, sounds: Mapping[str, Sequence[Sequence[int]]]) -> None:
        chains = [(arc, chain) for arc in language.arcs for chain in sounds[arc.word]]
        chains.sort(key=lambda one: one[0].target)
        self._words = [arc.word for arc, _ in chains]
        lengths = np.array([len(chain) for _, chain in chains])
        self._last: Ints = np.cumsum(lengths) - 1
        self._first: Ints = self._last - lengths + 1
        self._phone: Ints = np.array([phone for _, chain in chains for phone in chain])
        self._source: Ints = np.array([arc.source for arc, _ in chains])
        self._weight: Floats = LANGUAGE_WEIGHT * np.log([arc.probability for arc, _ in chains])
        target: Ints = np.array([arc.target for arc, _ in chains])
        self._entered, self._starts = np.unique(target, return_index=True)  # states with arcs into them
        self._group: Ints = np.repeat(np.arange(len(self._starts)), np.diff([*self._starts, len(target)]))
        self._stop: Floats = np.full(language.states, -np.inf)
        for state, probability in language.stop:
            self._stop[state] = LANGUAGE_WEIGHT * np.log(probability)

    def best(self, phones: Floats, blank: Floats) -> Best | None:
        """The best sentence. `phones` is frames by phonemes, `blank` one a frame, both log probabilities."""
        size, states = len(self._phone), len(self._stop)
        spoken, spoken_from = np.full(size, -np.inf), np.full(size, -1, np.int64)
        resting, resting_from = spoken.copy(), spoken_from.copy()  # the blank after each phoneme
        gap, gap_from = np.full(states, -np.inf), np.full(states, -1, np.int64)
        state, state_from = gap.copy(), gap_from.copy()
        gap[0] = state[0] = 0.0
        records: list[tuple[int, int, int]] = []  # (chain, record before, frame)
        for frame in range(len(phones)):
            before = np.concatenate(([-np.inf], np.maximum(spoken, resting)[:-1]))
            before_from = np.concatenate(([-1], np.where(spoken >= resting, spoken_from, resting_from)[:-1]))
            before[self._first] = state[self._source] + self._weight
            before_from[self._first] = state_from[self._source]
            stays = resting >= spoken
            resting, resting_from = np.maximum(resting, spoken), np.where(stays, resting_from, spoken_from)
            resting += blank[frame]
            stays = spoken >= before
            spoken, spoken_from = np.where(stays, spoken, before), np.where(stays, spoken_from, before_from)
            spoken += phones[frame][self._phone]
            ended = spoken[self._last]
            top = np.maximum.reduceat(ended, self._starts)
            hits = np.flatnonzero(ended == top[self._group])[::-1]
            winner = np.zeros(len(self._starts), np.int64)
            winner[self._group[hits]] = hits
            gap_stays = gap >= state
            gap, gap_from = np.where(gap_stays, gap, state) + blank[frame], np.where(gap_stays, gap_from, state_from)
            state, state_from = gap.copy(), gap_from.copy()
            better = np.flatnonzero(top > state[self._entered])
            for place in better[top[better] > top.max(initial=-np.inf) - 60]:  # far behind the best never matters
                chain = int(winner[place])
                entered = self._entered[place]
                state[entered], state_from[entered] = top[place], len(records)
                records.append((chain, int(spoken_from[self._last[chain]]), frame))
        total = state + self._stop
        end = int(np.argmax(total))
        if not np.isfinite(total[end]):
            return None
        return Best(float(total[end]), self._back(records, int(state_from[end])))

    def _back(self, records: list[tuple[int, int, int]], record: int) -> tuple[tuple[str, int], ...]:
        words = []
        while record >= 0:
            chain, record, frame = records[record]
            words.append((self._words[chain], frame))
        return tuple(reversed(words))
