"""From a phrase to the smallest deterministic automaton that accepts the same sentences.

Subset construction, then merging of states with the same future (for acyclic automata one pass from the
end is enough: Revuz 1992, "Minimisation of acyclic deterministic automata in linear time"). Keeping the
weights exact would split states again, so each arc gets the share of sentences that pass through it: of all
weightings of the small automaton, the one closest to the phrase (least Kullback-Leibler divergence).
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

from speech.errors import LanguageError
from speech.language.automaton import Arc, Automaton
from speech.language.phrase import Choice, Phrase, Sequence, Word

Mass = dict[int, float]
ShareDone = Callable[[float], None]  # told the share done, 0 to 1


@dataclass
class _Net:
    """A non-deterministic automaton; every arc leads to a higher state, so their order is topological."""

    arcs: list[list[tuple[str | None, float, int]]] = field(default_factory=lambda: [[]])

    def new(self) -> int:
        self.arcs.append([])
        return len(self.arcs) - 1

    def add(self, tree: Phrase, start: int) -> int:
        """Add the phrase after `start`; return the state it ends in."""
        match tree:
            case Word(text):
                end = self.new()
                self.arcs[start].append((text, 1.0, end))
                return end
            case Sequence(parts):
                for part in parts:
                    start = self.add(part, start)
                return start
            case Choice(branches):
                total = sum(weight for _, weight in branches)
                ends = []
                for part, weight in branches:
                    entry = self.new()
                    self.arcs[start].append((None, weight / total, entry))
                    ends.append(self.add(part, entry))
                end = self.new()
                for one in ends:
                    self.arcs[one].append((None, 1.0, end))
                return end

    def closures(self, end: int) -> list[Mass]:
        """For each state, the states that speak a word (or the end) reached in silence, with probability."""
        result: list[Mass] = [{} for _ in self.arcs]
        for state in reversed(range(len(self.arcs))):
            mass: Mass = defaultdict(float)
            if state == end or any(word is not None for word, _, _ in self.arcs[state]):
                mass[state] = 1.0
            for word, weight, target in self.arcs[state]:
                if word is None:
                    for other, share in result[target].items():
                        mass[other] += weight * share
            result[state] = dict(mass)
        return result


def compiled(tree: Phrase, progress: ShareDone | None = None) -> Automaton:
    """The automaton of a phrase. Raises `LanguageError` when the phrase also holds the empty sentence."""
    report = progress or (lambda share: None)
    net = _Net()
    end = net.add(tree, 0)
    closures = net.closures(end)
    report(0.1)
    if end in closures[0]:
        raise LanguageError("a language must not hold the empty sentence: silence is no answer")
    subsets, moves = _determinised(net, closures)
    report(0.5)
    order = _topological(moves)
    states, arcs, stop = _weighed(net, closures, end, moves, order, report)
    classes = _minimal(subsets, end, moves, order)
    report(0.95)
    automaton = _merged(classes, moves, states, arcs, stop)
    report(1.0)
    return automaton


def _determinised(net: _Net, closures: list[Mass]) -> tuple[list[frozenset[int]], list[dict[str, int]]]:
    start = frozenset(closures[0])
    number = {start: 0}
    subsets, moves, queue = [start], list[dict[str, int]](), 0
    while queue < len(subsets):
        reached: dict[str, set[int]] = defaultdict(set)
        for state in subsets[queue]:
            for word, _, target in net.arcs[state]:
                if word is not None:
                    reached[word].update(closures[target])
        row = {}
        for word in sorted(reached):
            subset = frozenset(reached[word])
            if subset not in number:
                number[subset] = len(subsets)
                subsets.append(subset)
            row[word] = number[subset]
        moves.append(row)
        queue += 1
    return subsets, moves


def _topological(moves: list[dict[str, int]]) -> list[int]:
    waiting = [0] * len(moves)
    for row in moves:
        for target in row.values():
            waiting[target] += 1
    order = [0]
    for state in order:
        for target in moves[state].values():
            waiting[target] -= 1
            if waiting[target] == 0:
                order.append(target)
    return order


def _weighed(
    net: _Net, closures: list[Mass], end: int, moves: list[dict[str, int]], order: list[int], report: ShareDone
) -> tuple[list[float], list[dict[str, float]], list[float]]:
    """The share of sentences that reach each state, take each of its arcs, and stop in it."""
    mass: list[Mass] = [defaultdict(float) for _ in moves]
    mass[0].update(closures[0])
    reach, stop = [0.0] * len(moves), [0.0] * len(moves)
    arcs: list[dict[str, float]] = [defaultdict(float) for _ in moves]
    for done, state in enumerate(order):
        reach[state], stop[state] = sum(mass[state].values()), mass[state].get(end, 0.0)
        for inner, share in mass[state].items():
            for word, weight, target in net.arcs[inner]:
                if word is not None:
                    arcs[state][word] += share * weight
                    into = mass[moves[state][word]]
                    for other, part in closures[target].items():
                        into[other] += share * weight * part
        mass[state] = {}  # no longer needed, and there may be many
        if done % 500 == 0:
            report(0.5 + 0.4 * done / len(order))
    return reach, arcs, stop


def _minimal(subsets: list[frozenset[int]], end: int, moves: list[dict[str, int]], order: list[int]) -> list[int]:
    """The class of each state; states are in one class when the same sentences lead on from them."""
    known: dict[tuple[bool, tuple[tuple[str, int], ...]], int] = {}
    classes = [0] * len(moves)
    for state in reversed(order):
        future = (end in subsets[state], tuple((word, classes[to]) for word, to in moves[state].items()))
        classes[state] = known.setdefault(future, len(known))
    return classes


def _merged(
    classes: list[int], moves: list[dict[str, int]], reach: list[float], arcs: list[dict[str, float]], stop: list[float]
) -> Automaton:
    size = max(classes) + 1
    place = [size - 1 - one for one in classes]  # classes were numbered from the end: turn them round
    total, ending = [0.0] * size, [0.0] * size
    joined: dict[tuple[int, int, str], float] = defaultdict(float)
    for state, row in enumerate(moves):
        total[place[state]] += reach[state]
        ending[place[state]] += stop[state]
        for word, target in row.items():
            joined[place[state], place[target], word] += arcs[state][word]
    return Automaton(
        size,
        tuple(Arc(*key, share / total[key[0]]) for key, share in sorted(joined.items())),
        tuple((state, share / total[state]) for state, share in enumerate(ending) if share > 0),
    )
