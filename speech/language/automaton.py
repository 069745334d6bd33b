"""The language of a recogniser: a weighted, deterministic, acyclic acceptor over words."""

import hashlib
import json
import random
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from speech.errors import LanguageError


class Arc(NamedTuple):
    """A word said between two states, with its probability among all that can follow `source`."""

    source: int
    target: int
    word: str
    probability: float


@dataclass(frozen=True)
class Automaton:
    """States are numbered 0 (the start) to `states - 1`, every arc leading to a higher number.

    `stop` holds (state, probability of ending there) for every final state. In every state the
    probabilities of its arcs and of stopping sum to 1. Raises `LanguageError` when that does not hold,
    so that an automaton read from a damaged file can never reach a recogniser.
    """

    states: int
    arcs: tuple[Arc, ...]
    stop: tuple[tuple[int, float], ...]

    def __post_init__(self) -> None:
        total = [0.0] * self.states
        said: set[tuple[int, str]] = set()
        for arc in self.arcs:
            if not 0 <= arc.source < arc.target < self.states:
                raise LanguageError(f"an arc must lead to a higher state of the automaton: {arc}")
            if (arc.source, arc.word) in said or not arc.word:
                raise LanguageError(f"an automaton is deterministic and its words are not empty: {arc}")
            said.add((arc.source, arc.word))
            total[arc.source] += arc.probability
        for state, probability in self.stop:
            if not 0 <= state < self.states:
                raise LanguageError(f"no such final state: {state}")
            total[state] += probability
        if not all(abs(one - 1) <= 1e-6 for one in total) or not all(arc.probability > 0 for arc in self.arcs):
            raise LanguageError("the probabilities of an automaton must be above 0 and sum to 1 in every state")

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of the language."""
        return frozenset(arc.word for arc in self.arcs)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of the automaton in hexadecimal: equal for equal languages with equal weights."""
        return hashlib.sha256(self.to_json().encode()).hexdigest()

    @cached_property
    def _next(self) -> tuple[dict[str, Arc], ...]:
        table: tuple[dict[str, Arc], ...] = tuple({} for _ in range(self.states))
        for arc in self.arcs:
            table[arc.source][arc.word] = arc
        return table

    @cached_property
    def _stop(self) -> dict[int, float]:
        return dict(self.stop)

    def probability(self, words: Iterable[str]) -> float:
        """The probability of exactly these words; 0 when they are not a sentence of the language."""
        state, product = 0, 1.0
        for word in words:
            arc = self._next[state].get(word)
            if arc is None:
                return 0.0
            state, product = arc.target, product * arc.probability
        return product * self._stop.get(state, 0.0)

    def without(self, words: frozenset[str]) -> "Automaton":
        """The same language less every sentence with one of these words (an engine may not know them).

        Raises `LanguageError` when nothing would be left.
        """
        keep = [arc for arc in self.arcs if arc.word not in words]
        alive = dict(self.stop)  # share of the sentences from each state that remain
        for arc in sorted(keep, reverse=True):
            if arc.target in alive:
                alive[arc.source] = alive.get(arc.source, 0.0) + arc.probability * alive[arc.target]
        if 0 not in alive:
            raise LanguageError("without these words nothing could be said: " + ", ".join(sorted(words)))
        reached = {0}
        for arc in sorted(keep):
            if arc.source in reached and arc.target in alive:
                reached.add(arc.target)
        number = {state: place for place, state in enumerate(sorted(reached))}
        arcs = tuple(
            Arc(number[a.source], number[a.target], a.word, a.probability * alive[a.target] / alive[a.source])
            for a in keep
            if a.source in reached and a.target in reached
        )
        stop = tuple((number[s], chance / alive[s]) for s, chance in self.stop if s in reached)
        return Automaton(len(number), arcs, stop)

    def renamed(self, names: Mapping[str, str]) -> "Automaton":
        """The same language with some words exchanged for others.

        Raises `LanguageError` where a state would then have two arcs of one word.
        """
        arcs = tuple(Arc(one.source, one.target, names.get(one.word, one.word), one.probability) for one in self.arcs)
        return Automaton(self.states, arcs, self.stop)

    def sentences(self, count: int, seed: int = 0) -> list[str]:
        """`count` sentences drawn by their probabilities, the same for the same seed."""
        draw = random.Random(seed)  # noqa: S311 - samples to look at and to count, no secret
        return [self._sentence(draw) for _ in range(count)]

    def _sentence(self, draw: random.Random) -> str:
        state, words = 0, list[str]()
        while True:
            ways: list[Arc | None] = [*self._next[state].values(), None]
            chances = [self._stop.get(state, 0.0) if way is None else way.probability for way in ways]
            way = draw.choices(ways, chances)[0]
            if way is None:
                return " ".join(words)
            state, words = way.target, [*words, way.word]

    def to_json(self) -> str:
        """One line of JSON, the form of a cache file."""
        return json.dumps({"states": self.states, "arcs": self.arcs, "stop": self.stop}, separators=(",", ":"))

    @classmethod
    def from_json(cls, text: str) -> "Automaton":
        """Read and validate what `to_json` wrote; raises `LanguageError` on anything else."""
        try:
            held = json.loads(text)
            arcs = tuple(
                Arc(int(source), int(target), str(word), float(chance)) for source, target, word, chance in held["arcs"]
            )
            stop = tuple((int(state), float(chance)) for state, chance in held["stop"])
            return cls(int(held["states"]), arcs, stop)
        except (ValueError, TypeError, KeyError) as error:
            raise LanguageError(f"this is not a stored automaton: {error}") from error
