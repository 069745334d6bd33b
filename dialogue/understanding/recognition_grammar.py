"""What can be heard after each question: plain data for a recogniser, from the wordings kept for it in heard.toml.

Far more is understood than is listened for: every sentence that can be heard can also be misheard for another.

A phrase is a word (``str``), ``("sequence", phrases)`` or ``("choice", ((phrase, weight), ...))``; weights are above 0
and need not sum to 1. It is finite: nothing repeats without end. Every number, operation and side is in it with the
same weight as any other of its kind, whatever the equation; only the letter of the unknown is taken from the lesson.
"""

from collections.abc import Callable
from functools import lru_cache
from importlib import resources
from typing import Literal, TypeAlias

from dialogue.acts import Expecting
from dialogue.understanding.certain import contexts
from dialogue.understanding.grammar import HEARD, Wording, load
from dialogue.understanding.numbers import TEENS, TENS, UNITS
from dialogue.understanding.templates import Slot, Tree, parsed

GrammarPhrase: TypeAlias = (
    "str | tuple[Literal['sequence'], tuple[GrammarPhrase, ...]] | tuple[Literal['choice'], Branches]"
)
Branches: TypeAlias = "tuple[tuple[GrammarPhrase, float], ...]"
Wordings: TypeAlias = Callable[[str], list[Wording]]

ALWAYS = ("control", "say", "ask")  # acts that are heard whatever was asked
ACTS_AFTER: dict[Expecting, tuple[str, ...]] = {
    "any": ("move", "state", "verdict", "rewrite", "inverse", "transfer"),
    "move": ("move", "rewrite", "inverse", "transfer"),
    "value": ("value",),
    "equation": ("state", "verdict"),
    "yesno": (),
    "why": ("state", "verdict"),
    "operations": ("describe", "chain"),
    "term": ("describe", "value", "move"),
    "balance": ("see", "move"),
}
# How often each kind of answer is said, beside the others: a choice, from what the questions ask for. Within a kind
# every wording is as likely as another, and every number, operation and side.
SHARE: dict[str, float] = {
    "move": 12, "state": 12, "value": 12, "number": 4, "describe": 6, "chain": 6, "see": 12, "inverse": 1,
    "transfer": 0.5, "rewrite": 1, "verdict": 0.5, "ask": 0.4, "say": 0.4, "control": 0.4,
}  # fmt: skip
COMMANDS_AFTER_A_NUMBER = 0.1  # "again" and "undo" are as short as a number, and are taken for one only too easily
YES_OR_NO = 12.0  # of "say" where yes or no was asked
WHOLE = 0.25  # of a wording without a number in it ("halve it"), beside one that holds all numbers
SAID = 0.3  # of what may be left out
MOST_NESTED = 2  # "then … then …": how often a name may stand inside itself
ORDINAL_PARTS = ["third", "quarter", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"]


def choice(*phrases: GrammarPhrase) -> GrammarPhrase:
    """One of the phrases, each as likely as another."""
    return ("choice", tuple((phrase, 1.0) for phrase in phrases))


def sequence(*phrases: GrammarPhrase) -> GrammarPhrase:
    """The phrases one after the other; none at all is silence."""
    return ("sequence", phrases)


def weighted(*branches: tuple[GrammarPhrase, float]) -> GrammarPhrase:
    """One of the phrases, as likely as its weight says."""
    return ("choice", branches)


def optional(phrase: GrammarPhrase, said: float = SAID) -> GrammarPhrase:
    """The phrase, or silence; ``said`` is the share of the first."""
    return weighted((phrase, said), (sequence(), 1 - said))


@lru_cache(maxsize=1)
def below_hundred() -> GrammarPhrase:
    """1 to 99, every unit, teen and ten as likely as another."""
    unit, teen, ten = (choice(*words) for words in (UNITS, TEENS, TENS))
    return weighted((unit, len(UNITS)), (teen, len(TEENS)), (sequence(ten, optional(unit, 0.5)), len(TENS)))


@lru_cache(maxsize=1)
def fraction() -> GrammarPhrase:
    """Halves to tenths: "a half", "one third", "an eighth", "three quarters"."""
    singular = ("half", *ORDINAL_PARTS)
    some = choice(*(sequence(choice("an" if part == "eighth" else "a", "one"), part) for part in singular))
    parts = sequence(
        choice(*(unit for unit in UNITS if unit != "one")), choice("halves", *(f"{part}s" for part in ORDINAL_PARTS))
    )
    return choice(some, parts)


@lru_cache(maxsize=1)
def decimal() -> GrammarPhrase:
    """To three places: "two point five", "nought point oh five", "point six"."""
    zero, unit = choice("zero", "nought", "oh"), choice(*UNITS)
    digit = weighted((zero, 1), (unit, len(UNITS)))
    places = sequence(digit, optional(sequence(digit, optional(digit))))
    whole = weighted((below_hundred(), 3), (choice("zero", "nought"), 1))
    return sequence(optional(whole, 0.8), "point", places)


@lru_cache(maxsize=1)
def number() -> GrammarPhrase:
    """0 to 9999, decimals to three places, halves to tenths, mixed numbers, with or without a sign."""
    rest = sequence(optional("and", 0.5), below_hundred())
    some = weighted(("a", 1), (choice(*UNITS), 2))
    hundreds = sequence(some, "hundred", optional(rest, 0.5))
    thousands = sequence(some, "thousand", optional(choice(rest, hundreds)))
    mixed = sequence(below_hundred(), "and", fraction())
    unsigned = weighted(
        ("zero", 0.8), ("nought", 0.2), (below_hundred(), 16), (hundreds, 2), (thousands, 0.5), (decimal(), 2),
        (fraction(), 2), (mixed, 0.5),
    )  # fmt: skip
    return sequence(optional(choice("minus", "negative"), 0.2), unsigned)


@lru_cache(maxsize=1)
def digits() -> GrammarPhrase:
    """A number digit by digit: "one four", "minus two zero five"."""
    digit = choice("zero", *UNITS)
    return sequence(optional(choice("minus", "negative"), 0.2), digit, digit, optional(digit))


@lru_cache(maxsize=1)
def count() -> GrammarPhrase:
    """How many unknowns, or what a term is over: below a hundred, decimals and fractions, with or without a sign."""
    unsigned = weighted((below_hundred(), 10), (decimal(), 1), (fraction(), 1))
    return sequence(optional(choice("minus", "negative"), 0.2), unsigned)


@lru_cache(maxsize=64)
def term(letter: str) -> GrammarPhrase:
    """A number, the unknown, or a number of unknowns; over a number or not."""
    minus = choice("minus", "negative")
    unknown = weighted(
        (sequence(optional(minus, 0.1), letter), 3),
        (sequence(count(), optional(sequence("lots", "of"), 0.1), letter), 5),
    )
    over = sequence(choice("over", sequence("divided", "by")), below_hundred())
    return weighted((number(), 1), (sequence(unknown, optional(over, 0.15)), 1))


@lru_cache(maxsize=64)
def operand(letter: str) -> GrammarPhrase:
    """What is added, subtracted, multiplied or divided by: a number, or a number of unknowns."""
    return weighted((number(), 3), (letter, 0.5), (sequence(count(), letter), 1))


@lru_cache(maxsize=64)
def expression(letter: str) -> GrammarPhrase:
    """Up to three terms; or a number of brackets with two terms, and a term after it."""
    sign = choice("plus", "minus", sequence("take", "away"))
    inner = sequence(term(letter), sign, term(letter))
    opened = choice("brackets", "bracket", sequence("open", choice("bracket", "brackets")))
    closed = choice("bracket", sequence("close", choice("bracket", "brackets")))
    bracket = sequence(
        optional(sequence(count(), optional(choice("times", sequence("lots", "of")))), 0.8),
        opened, inner, optional(closed, 0.5),
    )  # fmt: skip
    over_all = sequence(inner, "all", "over", below_hundred())
    more = sequence(sign, term(letter))
    plain = sequence(term(letter), optional(sequence(more, optional(more, 0.2)), 0.4))
    return weighted((plain, 10), (sequence(bracket, optional(more, 0.2)), 1), (over_all, 0.5))


@lru_cache(maxsize=256)
def hearable(expecting: Expecting, letter: str = "x") -> GrammarPhrase:
    """Everything that can be heard after the question, for a lesson in this letter."""
    return _Hearing(expecting, letter).whole()


def understandable(expecting: Expecting, letter: str = "x") -> GrammarPhrase:
    """What is understood after the question, by every wording there is: for a recogniser that leans on what can be
    said and is not held to it. Too much for an automaton, and 2 MB; sentences can be drawn from it."""
    return _Hearing(expecting, letter, _all_wordings).whole()


def said_in_lessons() -> dict[str, list[str]]:
    """What learners say after each question in invented lessons, the unknown as x. Read anew each time."""
    lines = resources.files("dialogue.understanding").joinpath("en/sayings.txt").read_text("utf-8").splitlines()
    found: dict[str, list[str]] = {}
    for line in lines:
        if not line.startswith("#"):
            expecting, _, text = line.partition(" | ")
            found.setdefault(expecting, []).append(text)
    return found


@lru_cache(maxsize=256)
def _usual(name: str) -> list[Wording]:
    """The wordings of a name in the file of what is listened for."""
    heard = [one for one in load().wordings if one.file == HEARD and one.name in {name, f"heard_{name}"}]
    return [one for one in heard if one.name != name] or heard


@lru_cache(maxsize=512)
def _all_wordings(name: str) -> list[Wording]:
    """The wordings of a name in every file."""
    return [one for one in load().wordings if one.name == name]


class _Hearing:
    """Builds the phrases of one context; a name is built once and shared."""

    def __init__(self, expecting: Expecting, letter: str, wordings: Wordings = _usual) -> None:
        self.expecting, self.letter, self.wordings = expecting, letter, wordings
        self.built: dict[tuple[str, int], GrammarPhrase | None] = {}
        self.inside: list[str] = []

    def whole(self) -> GrammarPhrase:
        """Each kind of answer by its share; "number" is a number alone."""
        acts = (*ALWAYS, *ACTS_AFTER[self.expecting])
        kinds: dict[str, list[tuple[GrammarPhrase, float]]] = {}
        for name in contexts()[self.expecting]:
            for one in self.wordings(name):
                kind = one.means.partition(" ")[0]
                built = self.of(parsed(one.say)) if name != "act" or kind in acts else None
                if built is not None:
                    kinds.setdefault(kind, []).append((built, 1.0 if "{" in one.say else WHOLE))
        share = dict(SHARE)
        if self.expecting == "yesno":
            share["say"] = YES_OR_NO
        elif self.expecting == "value":
            share |= dict.fromkeys(ALWAYS, COMMANDS_AFTER_A_NUMBER)
        branches = [(weighted(*lines), share.get(kind, 1.0)) for kind, lines in kinds.items()]
        return weighted(*branches, *([(digits(), 0.2)] if self.expecting == "value" else []))

    def of(self, tree: Tree) -> "GrammarPhrase | None":
        """The tree with its names filled in; None where nothing of it can be heard."""
        if isinstance(tree, str):
            return tree if tree.replace("'", "").isalpha() else None
        if isinstance(tree, Slot):
            return self.named(tree.name)
        kind, parts = tree
        built = [self.of(part) for part in parts]
        if kind == "choice":
            silent = [one for one in built if one == sequence()]
            heard = [one for one in built if one is not None and one != sequence()]
            if heard and silent:
                return optional(choice(*heard))
            return choice(*heard) if heard else (sequence() if silent else None)
        return sequence(*(one for one in built if one is not None)) if None not in built else None

    def named(self, name: str) -> "GrammarPhrase | None":
        if name == "left_hand":
            return weighted((self.letter, 1), (expression(self.letter), 2))
        if name in {"n", "u"}:
            if self.expecting in {"equation", "value"}:
                return weighted((number(), 6), (expression(self.letter), 1))
            return operand(self.letter)
        if name == "unknown_letter":
            return self.letter
        if name == "anything" or self.inside.count(name) >= MOST_NESTED:
            return None
        key = (name, self.inside.count(name))
        if key not in self.built:
            self.inside.append(name)
            lines = [self.of(parsed(one.say)) for one in self.wordings(name)]
            self.inside.pop()
            heard = [line for line in lines if line is not None]
            self.built[key] = choice(*heard) if heard else None
        return self.built[key]
