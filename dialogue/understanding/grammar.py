"""The grammar of what learners say, read from ``en/*.toml``, and its matcher.

A wording belongs to a rule; rules are grouped under a name that other wordings can use as ``<name>`` or ``{name}``.
The matcher walks word tries from left to right, remembers what each name matches from each place, and so takes time
that grows slowly with the length of the utterance.
"""

import re
import tomllib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from importlib import resources
from typing import Any, TypeAlias

from dialogue.algebra.tree import Negative, Sum
from dialogue.understanding.expressions import Expressions
from dialogue.understanding.numbers import NUMBER_WORDS
from dialogue.understanding.templates import Slot, TemplateNode, WordingError, automaton_of

FILES = (
    "classes",
    "heard",
    "moves",
    "scaling",
    "undoing",
    "equations",
    "questions",
    "commands",
    "answers",
    "balance",
)
BUILT_IN = (
    "n",
    "u",
    "left_hand",
    "right_hand",
    "unknown_letter",
    "anything",
)  # an expression; one without a sign in front and not a sum; plain words to the end
OPERATION_NAMES = ("add", "adding", "subtract", "subtracting", "multiply", "divide", "halve", "double", "both_sides",
                   "left", "right", "the_bracket", "operation")  # fmt: skip
NAME = re.compile(r"[<{](\w+)[>}]")
NAMED = re.compile(r"[<{]\w+[>}]|[\[\]()|]")
HEARD = "heard"  # the file of what recognisers listen for first; all of it is understood by the other wordings
ANYTHING_COST = 2  # less likely than any reading of the words themselves
MAX_ENDS = 40  # different readings of one name from one place that are followed up

Kept: TypeAlias = tuple[tuple[str, Any], ...]
Result: TypeAlias = tuple[int, Any, int]  # where it ends, what it means, how doubtful
Firsts: TypeAlias = dict[str, frozenset[str]]
EXPRESSION = "{n}"  # among first words: whatever an expression can begin with
BuildMeaning: TypeAlias = Callable[[str, dict[str, Any], str], Any]


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
    def tries(self) -> dict[str, TemplateNode]:
        """The word trie of each name. Raises WordingError for a name that is used and not defined."""
        by_name: dict[str, list[tuple[str, str]]] = {}
        for one in self.wordings:
            if one.file == HEARD and one.means and not one.name.startswith(HEARD):
                continue
            by_name.setdefault(one.name, []).append((one.say, one.means))
        tries = {name: automaton_of(pairs) for name, pairs in by_name.items()}
        used = {name for one in self.wordings for name in NAME.findall(one.say)}
        missing = used - set(by_name) - set(BUILT_IN)
        if missing:
            raise WordingError(f"wordings use names that nothing defines: {', '.join(sorted(missing))}")
        return tries

    @cached_property
    def firsts(self) -> Firsts:
        """The words each name can begin with; ``EXPRESSION`` among them where it can begin with an expression."""
        found: Firsts = {name: frozenset({EXPRESSION}) for name in BUILT_IN}

        def of(name: str) -> frozenset[str]:
            if name not in found:
                found[name] = frozenset()  # a name may not begin with itself; cut the loop all the same
                inner = (of(part.name) for part in self.tries[name].parts)
                found[name] = frozenset(self.tries[name].words).union(*inner)
            return found[name]

        for name in self.tries:
            of(name)
        return found

    @staticmethod
    def parts_of(trie: TemplateNode) -> frozenset[Slot]:
        """The named parts that the wordings of a trie use."""
        return frozenset(parts_of(trie))

    @cached_property
    def starts(self) -> dict[str, "NodeSet"]:
        """The state that each name starts in."""
        return {name: NodeSet((trie,)) for name, trie in self.tries.items()}

    @cached_property
    def plain_words(self) -> frozenset[str]:
        """The words that questions and explanations about the mathematics are made of."""
        held = (self.tries[name] for name in OPERATION_NAMES if name in self.tries)
        named = {word for trie in held for word in words_of(trie)}
        return frozenset({*named, *read_data("plain_words")["words"]})

    @cached_property
    def vocabulary(self) -> frozenset[str]:
        """Every word of every wording."""
        kept = {word for one in self.wordings for word in NAMED.sub(" ", one.say).split()}
        return frozenset(kept)


def _nodes(trie: TemplateNode) -> Iterable[TemplateNode]:
    waiting, seen = [trie], {id(trie)}
    while waiting:
        node = waiting.pop()
        yield node
        for targets in (*node.words.values(), *node.parts.values()):
            for target in targets:
                if id(target) not in seen:
                    seen.add(id(target))
                    waiting.append(target)


def parts_of(trie: TemplateNode) -> Iterable[Slot]:
    """The named parts in a trie, each as often as it stands."""
    for node in _nodes(trie):
        yield from node.parts


def words_of(trie: TemplateNode) -> Iterable[str]:
    """The words in a trie, each as often as it stands."""
    for node in _nodes(trie):
        yield from node.words


def read_data(name: str) -> dict[str, Any]:
    """One of the packaged data files. Raises WordingError where it is not valid TOML."""
    text = resources.files("dialogue.understanding").joinpath(f"en/{name}.toml").read_text("utf-8")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise WordingError(f"en/{name}.toml: {error}") from error


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
            if isinstance(line, list) and len(line) != 3:
                raise WordingError(f"en/{file}.toml: not [wording, example, what the example means]: {line}")
            say, example, gives = line if isinstance(line, list) else (line, "", "")
            yield Wording(file, rule["name"], rule.get("means", ""), say, example, gives)


class NodeSet:
    """A set of trie nodes reached by the same words, and what can follow; worked out when first needed."""

    __slots__ = ("ends", "known", "nodes")

    def __init__(self, nodes: tuple[TemplateNode, ...]) -> None:
        self.nodes = nodes
        self.ends = tuple(dict.fromkeys(means for node in nodes for means in node.ends))
        self.known: dict[tuple[str | None, bool], Steps] = {}

    def steps(self, token: tuple[str | None, bool], firsts: Firsts) -> "Steps":
        """After this token: the state it leads to, and the parts to try.

        The token comes with whether an expression can begin with it; None is any word that no wording has.
        """
        found = self.known.get(token)
        if found is None:
            found = self.known[token] = self._worked_out(*token, firsts)
        return found

    def _worked_out(self, token: str | None, begins: bool, firsts: Firsts) -> "Steps":
        by_word = [target for node in self.nodes for target in node.words.get(token or "", ())]
        by_part: dict[Slot, list[TemplateNode]] = {}
        for node in self.nodes:
            for part, targets in node.parts.items():
                first = firsts[part.name]
                if token in first or (begins and EXPRESSION in first) or part.name == "anything":
                    by_part.setdefault(part, []).extend(targets)
        return (
            _state(by_word) if by_word else None,
            tuple((part.name, part.kept, _state(targets)) for part, targets in by_part.items()),
        )


Steps: TypeAlias = tuple[NodeSet | None, tuple[tuple[str, bool, NodeSet], ...]]
_STATES: dict[frozenset[int], NodeSet] = {}  # by the nodes in them, which the grammar keeps alive


def _state(nodes: list[TemplateNode]) -> NodeSet:
    key = frozenset(map(id, nodes))
    if key not in _STATES:
        _STATES[key] = NodeSet(tuple(dict.fromkeys(nodes)))
    return _STATES[key]


class Matcher:
    """What the names of a grammar match in one utterance."""

    def __init__(self, grammar: Grammar, tokens: Sequence[str], letter: str, build: BuildMeaning) -> None:
        self.grammar, self.letter, self.build = grammar, letter, build
        self.tokens = tuple(tokens)
        known = grammar.vocabulary
        self.work = 0  # names looked for
        self.expressions = Expressions(self.tokens, letter)
        begins = self.expressions.begins
        self.known = tuple((token if token in known else None, begins(token)) for token in self.tokens)
        self._memo: dict[tuple[str, int], list[Result]] = {}

    def _mathematical(self, token: str) -> bool:
        return token in NUMBER_WORDS or token in self.expressions.forms or not token[0].isalpha()

    def beginning(self, name: str, at: int) -> list[Result]:
        """What ``at`` gives, with a look at the first word before anything else."""
        if at >= len(self.tokens):
            return []
        first, (token, begins) = self.grammar.firsts[name], self.known[at]
        return self.at(name, at) if token in first or (begins and EXPRESSION in first) else []

    def at(self, name: str, at: int) -> list[Result]:
        """Every reading of the name that begins here."""
        key = (name, at)
        found = self._memo.get(key)
        if found is None:
            self.work += 1
            self._memo[key] = []  # a name that begins with itself finds nothing
            found = self._memo[key] = self._match(name, at)
        return found

    def _match(self, name: str, at: int) -> list[Result]:
        start = self.grammar.starts.get(name)
        return self._built_in(name, at) if start is None else self._walked(start, at)

    def _built_in(self, name: str, at: int) -> list[Result]:
        if name == "u":
            return [found for found in self.expressions.at(at) if not isinstance(found[1], Negative | Sum)]
        if name == "unknown_letter":
            return self.expressions.letter_at(at)
        if name == "anything":
            asked = all(token in self.grammar.plain_words or self._mathematical(token) for token in self.tokens[at:])
            return [(len(self.tokens), True, ANYTHING_COST)] if asked else []
        return self.expressions.at(at)

    def _walked(self, start: "NodeSet", at: int) -> list[Result]:
        """Every way through the wordings of a name, from its first state. Runs for every word: kept lean."""
        firsts, known, size, memo = self.grammar.firsts, self.known, len(self.tokens), self._memo
        best: dict[tuple[int, Any], int] = {}
        waiting: list[tuple[NodeSet, int, Kept, int]] = [(start, at, (), 0)]
        while waiting and len(best) < MAX_ENDS:
            state, here, kept, cost = waiting.pop()
            while True:
                for means in state.ends:
                    value = self.build(means, dict(kept), self.letter) if means else True
                    if value is not None:
                        key = (here, value)
                        if key not in best or cost < best[key]:
                            best[key] = cost
                if here >= size:
                    break
                by_word, by_part = state.known.get(known[here]) or state.steps(known[here], firsts)
                for part, keep, after in by_part:
                    read = memo.get((part, here))
                    for end, value, more in self.at(part, here) if read is None else read:
                        waiting.append((after, end, (*kept, (part, value)) if keep else kept, cost + more))
                if by_word is None:
                    break
                state, here = by_word, here + 1
        return [(end, value, cost) for (end, value), cost in best.items()]
