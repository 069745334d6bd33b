"""The same turn said a little differently: other numbers, slips of the keyboard and of recognisers, fillers, no marks.

A row's words change in place, so that their tags stay right.
"""

import random
from typing import Any

OPEN = -100
UNITS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
SAME_KIND = {word: kind for kind in (UNITS[1:], TEENS, TENS) for word in kind}
HEARD_AS = {
    "two": ["to", "too"], "four": ["for"], "eight": ["ate"], "one": ["won"], "three": ["free", "tree"],
    "six": ["sicks"], "nine": ["nein"], "right": ["write"], "sides": ["sighs"], "both": ["bof"], "take": ["tek"],
    "divide": ["devide"],
}  # fmt: skip
LETTERS = [
    "em",
    "en",
    "why",
    "ex",
    "tea",
    "pea",
    "kay",
    "ay",
    "bee",
    "see",
    "dee",
    "jay",
    "gee",
    "you",
    "are",
    "cue",
    "zed",
    "zee",
    "eff",
    "aitch",
    "ell",
    "oh",
    "double-u",
    "vee",
    "ess",
]
BEFORE = [
    "so",
    "erm",
    "um",
    "well",
    "right",
    "ok",
    "okay",
    "like",
    "er",
    "so like",
    "hmm",
    "right so",
    "oh",
    "and",
    "um so",
    "erm so",
    "ok so",
    "i think",
    "yeah so",
    "look",
    "miss",
    "sir",
    "maybe",
    "uh",
]
AFTER = [
    "i think",
    "right",
    "yeah",
    "innit",
    "please",
    "then",
    "miss",
    "sir",
    "isn't it",
    "or something",
    "?",
    ".",
    "!",
    "like",
]
MARKS = frozenset('.,;:!?…"')
UNKNOWN = "z"

Row = dict[str, Any]


def varied(row: Row, chance: random.Random, heads: list[str], acts: int) -> Row:
    """A copy of the row, varied; ``acts`` is how many acts there are, which tells "B-" from "I-" tags."""
    words, tags = list(row["words"]), {head: list(row[head]) for head in heads}
    if chance.random() < 0.5:
        words = [chance.choice(SAME_KIND[w]) if w in SAME_KIND and chance.random() < 0.7 else w for w in words]
    if chance.random() < 0.25:
        words = [_slip(w, chance) if chance.random() < 0.12 else w for w in words]
    if chance.random() < 0.12:
        words = [chance.choice(HEARD_AS[w]) if w in HEARD_AS and chance.random() < 0.4 else w for w in words]
    if chance.random() < 0.06:
        name = chance.choice(LETTERS)
        words = [name if w == UNKNOWN else w for w in words]
    if chance.random() < 0.3 and len(words) > 2:
        words, tags = _without_marks(words, tags, acts)
    if chance.random() < 0.12:
        words, tags = _beside(chance.choice(BEFORE).split(), words, tags, before=True)
    if chance.random() < 0.06:
        words, tags = _beside(chance.choice(AFTER).split(), words, tags, before=False)
    context = row["context"] if chance.random() > 0.2 else []
    expecting = row["expecting"] if chance.random() > 0.08 else "any"
    return {**row, "words": words, **tags, "context": context, "expecting": expecting}


def joined(first: Row, second: Row, heads: list[str]) -> Row:
    """Two turns said in one breath."""
    both = {name: first[name] + second[name] for name in ("words", *heads)}
    weight = 0.5 if first["weight"] and second["weight"] else 0.0
    return {**first, **both, "weight": weight, "topic": OPEN}


def act_places(row: Row, acts: int) -> list[tuple[int, int, int]]:
    """Start, end and number of each act of a labelled row."""
    found: list[tuple[int, int, int]] = []
    for at, tag in enumerate(row["bio"]):
        if 1 <= tag <= acts:
            found.append((at, at + 1, tag))
        elif tag > acts and found and found[-1][1] == at:
            found[-1] = (found[-1][0], at + 1, found[-1][2])
    return found


def mixed(row: Row, place: tuple[int, int], other: Row, its: tuple[int, int], heads: list[str]) -> Row:
    """The row with the words of one act put in place of its own of the same act, said after the same question."""
    found = {
        name: row[name][: place[0]] + other[name][slice(*its)] + row[name][place[1] :] for name in ("words", *heads)
    }
    return {**row, **found, "weight": min(row["weight"], other["weight"])}


def _slip(word: str, chance: random.Random) -> str:
    if len(word) < 4 or not word.isalpha():
        return word
    at, kind = chance.randrange(len(word) - 1), chance.random()
    if kind < 0.3:
        return word[:at] + word[at + 1] + word[at] + word[at + 2 :]
    if kind < 0.55:
        return word[:at] + word[at + 1 :]
    if kind < 0.8:
        return word[:at] + word[at] + word[at:]
    return word[:at] + chance.choice("abcdefghijklmnopqrstuvwxyz") + word[at + 1 :]


def _without_marks(words: list[str], tags: dict[str, list[int]], acts: int) -> tuple[list[str], dict[str, list[int]]]:
    kept = [at for at, word in enumerate(words) if word not in MARKS]
    if not kept:
        return words, tags
    begun = tags["bio"]
    for at, word in enumerate(words[:-1]):
        if word in MARKS and 1 <= begun[at] <= acts and begun[at + 1] == begun[at] + acts:
            begun[at + 1] = begun[at]  # the act begins at the next word then
    return [words[at] for at in kept], {head: [found[at] for at in kept] for head, found in tags.items()}


def _beside(
    more: list[str], words: list[str], tags: dict[str, list[int]], before: bool
) -> tuple[list[str], dict[str, list[int]]]:
    outside = {head: [0 if head in {"bio", "arg"} else OPEN] * len(more) for head in tags}
    if before:
        return more + words, {head: outside[head] + found for head, found in tags.items()}
    return words + more, {head: found + outside[head] for head, found in tags.items()}
