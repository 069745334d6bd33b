"""What can be heard after each question, from the same wordings that are understood: plain data for a recogniser.

A phrase is a word (``str``), ``("sequence", phrases)`` or ``("choice", ((phrase, weight), ...))``; weights are above 0
and need not sum to 1. It is finite: nothing repeats without end. Every number, operation and side is in it with the
same weight as any other of its kind, whatever the equation; only the letter of the unknown is taken from the lesson.
"""

from collections import Counter
from functools import lru_cache
from typing import Literal, TypeAlias

from dialogue.language.choosing import contexts
from dialogue.language.grammar import HEARD, Wording, load
from dialogue.language.letters import CERTAIN, SOUNDS
from dialogue.language.numerals import TEENS, TENS, UNITS
from dialogue.language.templates import Part, Tree, parsed
from dialogue.meaning import Expecting

Phrase: TypeAlias = "str | tuple[Literal['sequence'], tuple[Phrase, ...]] | tuple[Literal['choice'], Branches]"
Branches: TypeAlias = "tuple[tuple[Phrase, float], ...]"

ALWAYS = ("control", "say", "ask")  # acts that are heard whatever was asked
ACTS_AFTER: dict[Expecting, tuple[str, ...]] = {
    "any": ("move", "state", "verdict", "rewrite", "inverse", "same", "transfer", "value"),
    "move": ("move", "rewrite", "inverse", "same", "transfer"),
    "value": ("value",),
    "equation": ("state", "verdict"),
    "yesno": (),
    "operations": ("describe", "chain"),
    "term": ("describe", "value", "move"),
    "balance": ("see", "move"),
}
MOST_WORDINGS = 3  # of each rule, of those with mathematics in them, the first: the files give the usual ones first
MOST_BRANCHES_HEARD = 20  # of each choice in a usual wording: all of them
MOST_BRANCHES_ALWAYS = 6  # of each choice in a question or a command: short, and heard whatever was asked
MOST_PHRASES = 8  # of each class, the first
MOST_NESTED = 2  # "then … then …": how often a name may stand inside itself
ORDINAL_PARTS = ["third", "quarter", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"]


def choice(*phrases: Phrase) -> Phrase:
    """One of the phrases, each as likely as another."""
    return ("choice", tuple((phrase, 1.0) for phrase in phrases))


def sequence(*phrases: Phrase) -> Phrase:
    """The phrases one after the other; none at all is silence."""
    return ("sequence", phrases)


def optional(phrase: Phrase) -> Phrase:
    """The phrase, or silence."""
    return choice(phrase, sequence())


@lru_cache(maxsize=1)
def number() -> Phrase:
    """0 to 9999, decimals to three places, halves to tenths, mixed numbers, with or without a sign."""
    unit, teen, ten = (choice(*words) for words in (UNITS, TEENS, TENS))
    below_hundred = choice(unit, teen, sequence(ten, optional(unit)))
    rest = sequence(optional("and"), below_hundred)
    hundreds = sequence(choice("a", unit), "hundred", optional(rest))
    thousands = sequence(choice("a", unit), "thousand", optional(choice(rest, hundreds)))
    zero = choice("zero", "nought", "oh")
    digit = choice(zero, unit)
    places = sequence(digit, optional(sequence(digit, optional(digit))))
    decimal = sequence(optional(choice(zero, below_hundred)), "point", places)
    one_part = sequence(choice("a", "one"), choice("half", *ORDINAL_PARTS))
    parts = sequence(unit, choice("halves", *(f"{part}s" for part in ORDINAL_PARTS)))
    fraction = choice(one_part, parts)
    mixed = sequence(below_hundred, "and", fraction)
    unsigned = choice("zero", "nought", below_hundred, hundreds, thousands, decimal, fraction, mixed)
    return sequence(optional(choice("minus", "negative")), unsigned)


@lru_cache(maxsize=64)
def term(letter: str) -> Phrase:
    """A number, the unknown, or a number of unknowns; over a number or not."""
    name = choice(letter, *(sound for sound in SOUNDS.get(letter, ()) if sound in CERTAIN))
    unknown = choice(
        name, sequence(choice("a", "an", "the"), name), sequence(number(), optional(sequence("lots", "of")), name)
    )
    return sequence(choice(number(), unknown), optional(sequence(choice("over", sequence("divided", "by")), number())))


@lru_cache(maxsize=64)
def operand(letter: str) -> Phrase:
    """What is added, subtracted, multiplied or divided by: a number, or a number of unknowns."""
    return choice(number(), letter, sequence(number(), letter))


@lru_cache(maxsize=64)
def expression(letter: str) -> Phrase:
    """Up to three terms; or a number of brackets with two terms, and a term after it."""
    sign = choice("plus", "minus", sequence("take", "away"))
    inner = sequence(term(letter), sign, term(letter))
    opened = choice("brackets", "bracket", sequence("open", choice("bracket", "brackets")))
    closed = choice("bracket", sequence("close", choice("bracket", "brackets")))
    bracket = sequence(
        optional(sequence(number(), optional(choice("times", sequence("lots", "of"))))), opened, inner, optional(closed)
    )
    over_all = sequence(inner, "all", "over", number())
    plain = sequence(term(letter), optional(sequence(sign, term(letter), optional(sequence(sign, term(letter))))))
    return choice(plain, sequence(bracket, optional(sequence(sign, term(letter)))), over_all)


@lru_cache(maxsize=256)
def hearable(expecting: Expecting, letter: str = "x") -> Phrase:
    """Everything that can be heard after the question, for a lesson in this letter."""
    return _Hearing(expecting, letter).whole()


@lru_cache(maxsize=256)
def vocabulary(expecting: Expecting, letter: str = "x") -> frozenset[str]:
    """Every word in ``hearable``."""
    words: set[str] = set()
    waiting: list[Phrase] = [hearable(expecting, letter)]
    seen: set[int] = set()
    while waiting:
        phrase = waiting.pop()
        if isinstance(phrase, str):
            words.add(phrase)
        elif id(phrase) not in seen:
            seen.add(id(phrase))
            waiting += phrase[1] if phrase[0] == "sequence" else (branch for branch, _ in phrase[1])
    return frozenset(words)


@lru_cache(maxsize=256)
def _usual(name: str) -> list[Wording]:
    """The usual wordings of a name: those of the file for it, or (questions, commands) the first of each rule."""
    heard = [one for one in load().wordings if one.file == HEARD and one.name in {name, f"heard_{name}"}]
    own = [one for one in heard if one.name != name] or heard
    if name != "act" and own:
        return own
    counted: Counter[str] = Counter()
    found = list(own)
    heard_already = {one.means.partition(" ")[0] for one in found}
    for one in load().wordings:
        if one.name == name and one.file != HEARD and one.means.partition(" ")[0] not in heard_already:
            if one.example and "{" not in one.say:
                found.append(one)  # no mathematics in it: short
                continue
            counted[one.means] += 1
            if counted[one.means] <= (MOST_WORDINGS if one.example else MOST_PHRASES):
                found.append(one)
    return found


class _Hearing:
    """Builds the phrases of one context; a name is built once and shared."""

    def __init__(self, expecting: Expecting, letter: str) -> None:
        self.expecting, self.letter = expecting, letter
        self.built: dict[tuple[str, int], Phrase | None] = {}
        self.inside: list[str] = []
        self.most = MOST_BRANCHES_HEARD

    def whole(self) -> Phrase:
        acts = (*ALWAYS, *ACTS_AFTER[self.expecting])
        branches: list[Phrase] = []
        for name in contexts()[self.expecting]:
            lines = _usual(name)
            if name == "act":
                lines = [one for one in lines if one.means.partition(" ")[0] in acts]
            for one in lines:
                always = one.means.partition(" ")[0] in ALWAYS
                self.most = MOST_BRANCHES_ALWAYS if always else MOST_BRANCHES_HEARD
                built = self.of(parsed(one.say))
                branches += [built] if built is not None else []
        return choice(*branches)

    def of(self, tree: Tree) -> "Phrase | None":
        """The tree with its names filled in; None where nothing of it can be heard."""
        if isinstance(tree, str):
            return tree if tree.replace("'", "").isalpha() else None
        if isinstance(tree, Part):
            return self.named(tree.name)
        kind, parts = tree
        built = [self.of(part) for part in parts]
        if kind == "choice":
            silent = [one for one in built if one == sequence()]
            heard = [one for one in built if one is not None and one != sequence()][: self.most]
            return choice(*heard, *silent) if heard else (sequence() if silent else None)
        return sequence(*(one for one in built if one is not None)) if None not in built else None

    def named(self, name: str) -> "Phrase | None":
        if name in {"n", "u", "left_hand", "right_hand"}:
            if self.expecting in {"equation", "value"} or name in {"left_hand", "right_hand"}:
                return expression(self.letter)
            return operand(self.letter)
        if name == "unknown_letter":
            return self.letter
        if name == "anything" or self.inside.count(name) >= MOST_NESTED:
            return None
        key = (f"{name} {self.most}", self.inside.count(name))
        if key not in self.built:
            self.inside.append(name)
            lines = [self.of(parsed(one.say)) for one in _usual(name)]
            self.inside.pop()
            heard = [line for line in lines if line is not None]
            self.built[key] = choice(*heard) if heard else None
        return self.built[key]
