"""The notation of the wordings, compiled into automata over words.

A wording is written as words with ``[optional parts]``, ``(one|or another)``, ``<class>`` (a set of phrases with a
name) and ``{slot}`` (a part whose meaning is kept)::

    (take|knock) {n} off [{sides}]

Every class and every slot is looked up by name: see ``grammar.py``.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TypeAlias

PIECE = re.compile(r"\s*(?:(?P<name><\w+>|\{\w+\})|(?P<mark>[\[\](|)])|(?P<word>[^\s\[\](|)<>{}]+))")


class WordingError(ValueError):
    """A wording in the data files that cannot be compiled."""


@dataclass(frozen=True, slots=True)
class Slot:
    """A named part of a wording: a class, or (``kept``) a slot whose meaning is used."""

    name: str
    kept: bool


Symbol: TypeAlias = str | Slot
Tree: TypeAlias = "Symbol | tuple[str, tuple[Tree, ...]]"  # ("sequence", parts), ("choice", branches)


@dataclass(slots=True, eq=False)
class TemplateNode:
    """A state: the words and named parts that can follow, each with the states they lead to; meanings that end here."""

    words: dict[str, list["TemplateNode"]] = field(default_factory=dict)
    parts: dict[Slot, list["TemplateNode"]] = field(default_factory=dict)
    ends: list[str] = field(default_factory=list)


def parsed(wording: str) -> Tree:
    """The wording as a tree. Raises WordingError where brackets do not match or it is empty."""
    pieces = list(_pieces(wording))
    tree, at = _choice(pieces, 0, wording)
    if at != len(pieces):
        raise WordingError(f"a bracket is closed that was not opened: {wording!r}")
    return tree


def _pieces(wording: str) -> Iterator[str]:
    at = 0
    while at < len(wording.rstrip()):
        match = PIECE.match(wording, at)
        if match is None:
            raise WordingError(f"cannot read from {wording[at:]!r} in {wording!r}")
        yield match.group().strip()
        at = match.end()


def _choice(pieces: list[str], at: int, wording: str) -> tuple[Tree, int]:
    branches: list[Tree] = []
    while True:
        branch, at = _sequence(pieces, at, wording)
        branches.append(branch)
        if at >= len(pieces) or pieces[at] != "|":
            return (branches[0] if len(branches) == 1 else ("choice", tuple(branches))), at
        at += 1


def _sequence(pieces: list[str], at: int, wording: str) -> tuple[Tree, int]:
    parts: list[Tree] = []
    while at < len(pieces) and pieces[at] not in {")", "]", "|"}:
        piece = pieces[at]
        if piece in {"(", "["}:
            inner, at = _choice(pieces, at + 1, wording)
            if at >= len(pieces) or pieces[at] != (")" if piece == "(" else "]"):
                raise WordingError(f"a bracket is not closed: {wording!r}")
            parts.append(inner if piece == "(" else ("choice", (inner, ("sequence", ()))))
        elif piece[0] in "<{":
            parts.append(Slot(piece[1:-1], piece[0] == "{"))
        else:
            parts.append(piece)
        at += 1
    return (parts[0] if len(parts) == 1 else ("sequence", tuple(parts))), at


def automaton_of(wordings: list[tuple[str, str]]) -> TemplateNode:
    """The automaton of (wording, what it means) pairs; its size grows with the text. Raises WordingError."""
    root = TemplateNode()
    last: dict[str, TemplateNode] = {}
    for wording, means in wordings:
        ends = _added(parsed(wording), [root], last.setdefault(means, TemplateNode()))
        if root in ends:
            raise WordingError(f"a wording may not be silent: {wording!r}")
        for end in ends:
            if means not in end.ends:
                end.ends.append(means)
    return root


def _added(tree: Tree, starts: list[TemplateNode], target: TemplateNode) -> list[TemplateNode]:
    """The states reached from ``starts`` by what the tree says: ``target``, and any from which the rest may be left
    out.

    All branches of a choice lead to the same state, so that the automaton stays small.
    """
    if isinstance(tree, str):
        for start in starts:
            start.words.setdefault(tree, []).append(target)
        return [target]
    if isinstance(tree, Slot):
        for start in starts:
            start.parts.setdefault(tree, []).append(target)
        return [target]
    kind, parts = tree
    if kind == "choice":
        ends = [end for branch in parts for end in _added(branch, starts, target)]
        return list(dict.fromkeys(ends))
    if not parts:
        return starts
    for part in parts[:-1]:
        starts = _added(part, starts, TemplateNode())
    return _added(parts[-1], starts, target)
