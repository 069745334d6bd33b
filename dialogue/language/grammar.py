"""The grammar of what learners say, read from ``wordings/*.toml``, and its matcher.

A wording belongs to a rule; rules are grouped under a name that other wordings can use as ``<name>`` or ``{name}``.
The matcher walks word tries from left to right, remembers what each name matches from each place, and so takes time
that grows slowly with the length of the utterance.
"""

import tomllib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from importlib import resources
from typing import Any, TypeAlias

from dialogue.algebra.tree import Negative, Sum
from dialogue.language.expressions import Expressions
from dialogue.language.templates import Node, Part, WordingError, compiled

FILES = ("classes", "moves", "equations", "answers", "questions", "commands", "around")
BUILT_IN = ("n", "u", "anything")  # an expression; one without a sign in front and not a sum; any words to the end
ANYTHING_COST = 2  # less likely than any reading of the words themselves
MAX_ENDS = 40  # different readings of one name from one place that are followed up

Kept: TypeAlias = tuple[tuple[str, Any], ...]
Result: TypeAlias = tuple[int, Any, int]  # where it ends, what it means, how doubtful
Builder: TypeAlias = Callable[[str, dict[str, Any], str], Any]


@dataclass(frozen=True, slots=True)
class Wording:
    """One line of the data: what is said, an example of it, and what the example means."""

    file: str
    name: str
    means: str
    say: str
    example: str
    gives: str


@dataclass(frozen=True)
class Grammar:
    """Named sets of wordings."""

    wordings: tuple[Wording, ...]

    @cached_property
    def tries(self) -> dict[str, Node]:
        """The word trie of each name. Raises WordingError for a name that is used and not defined."""
        by_name: dict[str, list[tuple[str, str]]] = {}
        for one in self.wordings:
            by_name.setdefault(one.name, []).append((one.say, one.means))
        tries = {name: compiled(pairs) for name, pairs in by_name.items()}
        used = {part.name for trie in tries.values() for part in _parts(trie)}
        missing = used - set(tries) - set(BUILT_IN)
        if missing:
            raise WordingError(f"wordings use names that nothing defines: {', '.join(sorted(missing))}")
        return tries

    @cached_property
    def firsts(self) -> dict[str, frozenset[str] | None]:
        """The words each name can begin with; None where it can begin with an expression."""
        found: dict[str, frozenset[str] | None] = dict.fromkeys(BUILT_IN)

        def of(name: str) -> frozenset[str] | None:
            if name not in found:
                found[name] = frozenset()  # a name may not begin with itself; cut the loop all the same
                words = set(self.tries[name].words)
                for part in self.tries[name].parts:
                    inner = of(part.name)
                    if inner is None:
                        found[name] = None
                        return None
                    words |= inner
                found[name] = frozenset(words)
            return found[name]

        for name in self.tries:
            of(name)
        return found

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of every wording."""
        return frozenset(word for trie in self.tries.values() for word in _words(trie))


def _nodes(trie: Node) -> Iterable[Node]:
    waiting, seen = [trie], {id(trie)}
    while waiting:
        node = waiting.pop()
        yield node
        for targets in (*node.words.values(), *node.parts.values()):
            for target in targets:
                if id(target) not in seen:
                    seen.add(id(target))
                    waiting.append(target)


def _parts(trie: Node) -> Iterable[Part]:
    for node in _nodes(trie):
        yield from node.parts


def _words(trie: Node) -> Iterable[str]:
    for node in _nodes(trie):
        yield from node.words


def read_data(name: str) -> dict[str, Any]:
    """One of the packaged data files. Raises WordingError where it is not valid TOML."""
    text = resources.files("dialogue.language").joinpath(f"wordings/{name}.toml").read_text("utf-8")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WordingError(f"wordings/{name}.toml: {error}") from error


@lru_cache(maxsize=1)
def load() -> Grammar:
    """The grammar of the packaged files; read once. Raises WordingError for a line that cannot be used."""
    return Grammar(tuple(one for file in FILES for one in _wordings(file, read_data(file))))


def _wordings(file: str, data: dict[str, Any]) -> Iterable[Wording]:
    """``[[rule]]`` tables with ``name``, ``means`` and ``wordings``; ``[classes]`` with a list of phrases each."""
    for name, phrases in data.get("classes", {}).items():
        for phrase in phrases:
            yield Wording(file, name, "", phrase, "", "")
    for rule in data.get("rule", ()):
        for line in rule["wordings"]:
            say, example, gives = line if isinstance(line, list) else (line, "", "")
            yield Wording(file, rule["name"], rule.get("means", ""), say, example, gives)


class Matcher:
    """What the names of a grammar match in one utterance."""

    def __init__(self, grammar: Grammar, tokens: Sequence[str], letter: str, build: Builder) -> None:
        self.tries, self.firsts = grammar.tries, grammar.firsts
        self.tokens, self.letter, self.build = tokens, letter, build
        self.expressions = Expressions(tokens, letter)
        self._memo: dict[tuple[str, int], list[Result]] = {}

    def at(self, name: str, at: int) -> list[Result]:
        """Every reading of the name that begins here."""
        key = (name, at)
        found = self._memo.get(key)
        if found is None:
            self._memo[key] = []  # a name that begins with itself finds nothing
            found = self._memo[key] = self._match(name, at)
        return found

    def _match(self, name: str, at: int) -> list[Result]:
        if at >= len(self.tokens):
            return []
        if name == "n":
            return self.expressions.at(at)
        if name == "u":
            return [found for found in self.expressions.at(at) if not isinstance(found[1], Negative | Sum)]
        if name == "anything":
            return [(len(self.tokens), True, ANYTHING_COST)]
        first = self.firsts[name]
        if first is not None and self.tokens[at] not in first:
            return []
        best: dict[tuple[int, Any], int] = {}
        waiting: list[tuple[Node, int, Kept, int]] = [(self.tries[name], at, (), 0)]
        while waiting and len(best) < MAX_ENDS:
            node, here, kept, cost = waiting.pop()
            for means in node.ends:
                value = self.build(means, dict(kept), self.letter)
                if value is not None:
                    key = (here, value)
                    best[key] = min(cost, best.get(key, cost))
            if here >= len(self.tokens):
                continue
            token = self.tokens[here]
            for after in node.words.get(token, ()):
                waiting.append((after, here + 1, kept, cost))
            for part, targets in node.parts.items():
                first = self.firsts[part.name]
                if first is not None and token not in first:
                    continue
                for end, value, more in self.at(part.name, here):
                    keep = (*kept, (part.name, value)) if part.kept else kept
                    waiting += [(after, end, keep, cost + more) for after in targets]
        return [(end, value, cost) for (end, value), cost in best.items()]
