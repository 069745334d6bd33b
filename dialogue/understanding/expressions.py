"""Expressions as said: from a place in the words, every end that makes an expression, with its tree.

Spoken mathematics is ambiguous where writing is not: "x plus three over four", "two lots of x plus one". Such a
reading is kept as ``AMBIGUOUS``, so that the whole utterance is asked about and never guessed (the ambiguity is named
in the ClearSpeak rules, Brownstein, Soiffer and Frankel, ETS 2015). Signs that were typed keep their written order.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeAlias

from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, SignedTerm, Sum, Unknown, has_unknown
from dialogue.understanding.letter_names import forms
from dialogue.understanding.numbers import DIGITS, HOMOPHONES, NUMBER_WORDS, PARTS, ZERO, NumberFound, number_at

AMBIGUOUS = Unknown("?")
"""Stands for an expression that could be grouped in two ways."""

MAX_DEPTH = 5  # brackets inside one another, as said
MAX_ENDS = 24  # different ways to read on from one place that are followed up

Phrases: TypeAlias = dict[str, list[tuple[str, ...]]]


def _phrases(*phrases: str) -> Phrases:
    """Phrases by their first word, longest first."""
    found: Phrases = {}
    for phrase in sorted(phrases, key=lambda one: -len(one.split())):
        words = tuple(phrase.split())
        found.setdefault(words[0], []).append(words)
    return found


PLUS = _phrases(
    "plus", "+", "add", "and then plus", "then plus", "and add", "added to",
)  # fmt: skip
MINUS = _phrases(
    "minus", "-", "take away", "takeaway", "subtract", "then minus", "and then minus", "taking away", "less", "take",
)  # fmt: skip
NEGATIVE = frozenset({"minus", "negative", "-", "neg"})
TIMES_WORDS = _phrases(
    "times", "multiplied by", "timesed by", "times by", "lots of", "lot of", "multiply by", "groups of",
)  # fmt: skip
OVER_WORDS = _phrases(
    "over", "divided by", "divide by", "shared by", "upon",
)  # fmt: skip
ALL_OVER = _phrases(
    *(
        f"{group} {over}"
        for group in (
            "all", "everything", "the whole thing", "the whole lot", "whole thing", "all of it", "all of that",
            "that all", "then all", "all that", "the lot", "whole", "the whole",
        )
        for over in ("over", "divided by", "shared by", "upon")
    )
)  # fmt: skip
OVER_OR_ALL_OVER = {word: [*OVER_WORDS.get(word, ()), *ALL_OVER.get(word, ())] for word in (*OVER_WORDS, *ALL_OVER)}
ALL_TIMES = _phrases(
    "all times", "all multiplied by", "all timesed by", "then all times",
)  # fmt: skip
OPEN = _phrases(
    "open brackets", "open bracket", "bracket", "brackets", "the bracket", "in brackets", "open parentheses",
    "open parenthesis", "open paren", "parentheses", "parenthesis", "left bracket", "left paren", "left parenthesis",
    "the quantity", "quantity", "into bracket", "into brackets", "a bracket", "open", "the brackets", "paren",
    "of bracket", "of brackets", "in bracket", "opening bracket",
)  # fmt: skip
CLOSE = _phrases(
    "close brackets", "close bracket", "bracket", "brackets", "end bracket", "end brackets", "close the bracket",
    "close the brackets", "close parentheses", "close parenthesis", "close paren", "right bracket", "right paren",
    "right parenthesis", "closed bracket", "closed brackets", "end quantity", "close", "shut bracket",
    "end of bracket", "end parenthesis", "end parentheses", "closing bracket", "bracket closed", "unbracket",
)  # fmt: skip
CLOSING = frozenset({"close", "end", "closing", "closed", "shut"})
IN_BRACKETS = _phrases(
    "in brackets", "in a bracket", "in parentheses", "in the bracket", "in the brackets", "in bracket",
)  # fmt: skip


DETERMINERS = frozenset({"a", "an", "the", "that", "those", "number", "constant", "value", "positive", "coefficient"})
STARTS = frozenset(
    {*DETERMINERS, *NUMBER_WORDS, *ZERO, *HOMOPHONES, *NEGATIVE, *OPEN, "a", "an", "the", "that", "those", "("}
)
"""The words an expression can begin with, beside digits and the letter of the unknown."""


@dataclass(frozen=True, slots=True)
class Joined:
    """A product or quotient being read: how the parts were joined matters to what may follow."""

    tree: Expression
    cost: int
    spoken_times: bool = False  # "two lots of x": what a later "plus" would belong to is not certain
    spoken_over: bool = False
    below_bare: bool = False  # the last thing read stands below "over", and has no brackets


class Expressions:
    """The expressions in one utterance, read once from each place."""

    def __init__(self, tokens: Sequence[str], letter: str) -> None:
        self.tokens, self.letter = tuple(tokens), letter
        self.unknown = Unknown(letter)
        self.forms = forms(letter)
        self._sums: dict[tuple[int, int], list[NumberFound]] = {}

    def at(self, at: int) -> list[NumberFound]:
        """Every expression that begins here: (end, tree, cost); the tree may be ``AMBIGUOUS``."""
        return self.sums(at, 0) if self.begins(self.tokens[at]) else []

    def begins(self, word: str) -> bool:
        """Whether an expression can begin with this word."""
        return word in STARTS or word in self.forms or (word[-1] in DIGITS and not word[0].isalpha())

    def letter_at(self, at: int) -> list[NumberFound]:
        """The letter of the unknown alone, with its plural."""
        cost = self.forms.get(self.tokens[at])
        if cost is None:
            return []
        plural = self.tokens[at + 1 : at + 2] == ("'s",)
        return [(at + 1 + more, self.unknown, cost) for more in range(plural + 1)]

    def _after(self, at: int, phrases: Phrases) -> list[int]:
        """Where each of the phrases said here ends, longest first."""
        if at >= len(self.tokens):
            return []
        options = phrases.get(self.tokens[at], ())
        return [at + len(phrase) for phrase in options if self.tokens[at : at + len(phrase)] == phrase]

    def sums(self, at: int, depth: int) -> list[NumberFound]:
        """Signed products joined by plus and minus."""
        if at >= len(self.tokens) or depth > MAX_DEPTH:
            return []
        key = (at, depth)
        if key not in self._sums:
            self._sums[key] = []
            self._sums[key] = _distinct(self._read_sums(at, depth))
        return self._sums[key]

    def _read_sums(self, at: int, depth: int) -> list[NumberFound]:
        found: list[NumberFound] = []
        queue: list[tuple[int, tuple[SignedTerm, ...], int, Joined]] = []
        starts = [(at, 1)]
        if self.tokens[at] in NEGATIVE:
            starts.append((at + 1, -1))
        for start, sign in starts:
            for end, joined in self.products(start, depth):
                queue.append((end, (SignedTerm(1 if sign > 0 else -1, joined.tree),), joined.cost, joined))
        while queue and len(found) < MAX_ENDS:
            end, terms, cost, last = queue.pop(0)
            tree = _summed(terms)
            found.append((end, tree, cost))
            if not isinstance(tree, Number | Unknown):
                found += self._grouped(end, tree, cost, depth)
            for sign, phrases in ((1, PLUS), (-1, MINUS)):
                for after in self._after(end, phrases):
                    for later_end, later in self.products(after, depth, signed=True):
                        queue.append((later_end, *_next(terms, cost, last, sign, later)))
        return found

    def _grouped(self, end: int, tree: Expression, cost: int, depth: int) -> list[NumberFound]:
        """ "… all over four", "… all times two", "… in brackets (over four)"."""
        found: list[NumberFound] = []
        for after in self._after(end, IN_BRACKETS):
            found.append((after, tree, cost))
            for later in self._after(after, OVER_WORDS):
                found += [(stop, Quotient(tree, by), cost + more) for stop, by, more in self._plain(later)]
            for later in self._after(after, TIMES_WORDS):
                found += [(stop, Product((by, tree)), cost + more) for stop, by, more in self._plain(later)]
        for after in self._after(end, ALL_OVER):
            found += [(stop, Quotient(tree, by), cost + more) for stop, by, more in self._plain(after)]
        for after in self._after(end, ALL_TIMES):
            found += [(stop, Product((by, tree)), cost + more) for stop, by, more in self._plain(after)]
        more_terms: list[NumberFound] = []
        for stop, grouped, so_far in found:
            for sign, phrases in ((1, PLUS), (-1, MINUS)):
                for after in self._after(stop, phrases):
                    more_terms += [
                        (
                            last,
                            _summed((SignedTerm(1, grouped), SignedTerm(1 if sign > 0 else -1, joined.tree))),
                            so_far + joined.cost,
                        )
                        for last, joined in self.products(after, depth, signed=True)
                    ]
        return found + more_terms

    def _plain(self, at: int) -> list[NumberFound]:
        """A number alone, perhaps negative."""
        negative = at < len(self.tokens) and self.tokens[at] in NEGATIVE
        found = number_at(self.tokens, at + negative)
        return [(end, Negative(value) if negative else value, cost) for end, value, cost in found]

    def products(self, at: int, depth: int, signed: bool = False) -> list[tuple[int, Joined]]:
        """Factors side by side, or joined by times and over."""
        found: list[tuple[int, Joined]] = []
        if signed and at < len(self.tokens) and self.tokens[at] in NEGATIVE:
            return [
                (end, Joined(_negated(one.tree), one.cost, one.spoken_times, one.spoken_over, one.below_bare))
                for end, one in self.products(at + 1, depth)
            ]
        queue = [(end, Joined(tree, cost, spoken)) for end, tree, cost, spoken in self.factors(at, depth)]
        while queue and len(found) < MAX_ENDS:
            end, joined = queue.pop(0)
            found.append((end, joined))
            queue += self._beside(end, joined, depth)
            queue += self._times(end, joined, depth)
            queue += self._over(end, joined, depth)
        return found

    def _beside(self, end: int, joined: Joined, depth: int) -> list[tuple[int, Joined]]:
        """ "two x", "two brackets x plus one": nothing said between a number and what it multiplies."""
        if has_unknown(joined.tree) and not self._after(end, OPEN) and self.tokens[end : end + 1] != ("(",):
            return self._parts_of_unknown(end, joined)
        grown: list[tuple[int, Joined]] = []
        for stop, tree, cost, _ in self.factors(end, depth):
            if isinstance(tree, Number) or (isinstance(tree, Quotient) and not has_unknown(tree)):
                continue
            spoken = joined.below_bare
            whole = AMBIGUOUS if spoken else _scaled(joined.tree, tree)
            grown.append((stop, Joined(whole, joined.cost + cost, joined.spoken_times, joined.spoken_over)))
        return grown

    def _parts_of_unknown(self, end: int, joined: Joined) -> list[tuple[int, Joined]]:
        """ "x thirds", "two x fifths"."""
        if end < len(self.tokens) and self.tokens[end] in PARTS and self.tokens[end].endswith("s"):
            bottom = Number(Fraction(PARTS[self.tokens[end]]))
            return [(end + 1, Joined(Quotient(joined.tree, bottom), joined.cost))]
        return []

    def _times(self, end: int, joined: Joined, depth: int) -> list[tuple[int, Joined]]:
        grown: list[tuple[int, Joined]] = []
        typed = self.tokens[end : end + 1] == ("*",) or (
            self.tokens[end : end + 1] == ("x",) and self.letter.lower() != "x"
        )
        for after in [end + 1] if typed else self._after(end, TIMES_WORDS):
            negative = after < len(self.tokens) and self.tokens[after] in NEGATIVE
            for stop, tree, cost, spoken in self.factors(after + negative, depth):
                right = Negative(tree) if negative else tree
                bracketed = isinstance(tree, Sum)
                whole = AMBIGUOUS if joined.below_bare and not typed else _multiplied(joined.tree, right)
                loose = joined.spoken_times or spoken or not (typed or bracketed)
                grown.append((stop, Joined(whole, joined.cost + cost, loose, joined.spoken_over)))
        return grown

    def _over(self, end: int, joined: Joined, depth: int) -> list[tuple[int, Joined]]:
        grown: list[tuple[int, Joined]] = []
        typed = self.tokens[end : end + 1] == ("/",)
        grouped = isinstance(joined.tree, Sum)  # a bracket may be followed by "all over" too
        for after in [end + 1] if typed else self._after(end, OVER_OR_ALL_OVER if grouped else OVER_WORDS):
            negative = after < len(self.tokens) and self.tokens[after] in NEGATIVE
            for stop, tree, cost, _ in self.factors(after + negative, depth):
                by = Negative(tree) if negative else tree
                twice = joined.spoken_over and not typed
                whole = AMBIGUOUS if twice else Quotient(joined.tree, by)
                bare = not isinstance(tree, Sum)
                grown.append(
                    (stop, Joined(whole, joined.cost + cost, joined.spoken_times, not typed, bare and not typed))
                )
        return grown

    def factors(self, at: int, depth: int) -> list[tuple[int, Expression, int, bool]]:
        """A number, the unknown, a bracket, or "a third of x": (end, tree, cost, whether "of" joined it)."""
        if at >= len(self.tokens):
            return []
        word = self.tokens[at]
        found: list[tuple[int, Expression, int, bool]] = []
        numbers = number_at(self.tokens, at)
        for end, tree, cost in numbers:
            found.append((end, tree, cost, False))
            if end < len(self.tokens) and self.tokens[end] == "of" and isinstance(tree, Quotient):
                found += [
                    (stop, _scaled(tree, of), cost + more, True) for stop, of, more, _ in self.factors(end + 1, depth)
                ]
        if word in self.forms and not (word in {"a", "an"} and (numbers or self._unknown_next(at + 1))):
            found.append((at + 1, self.unknown, self.forms[word], False))
            if self.tokens[at + 1 : at + 2] == ("'s",):  # "the x's"
                found.append((at + 2, self.unknown, self.forms[word], False))
        if word in DETERMINERS:
            found += [one for one in self.factors(at + 1, depth) if word != "a" or not isinstance(one[1], Quotient)]
        if word == "(":
            found += self._typed_bracket(at, depth)
        else:
            found += self._spoken_bracket(at, depth)
        return found

    def _unknown_next(self, at: int) -> bool:
        return at < len(self.tokens) and self.tokens[at] in self.forms

    def _typed_bracket(self, at: int, depth: int) -> list[tuple[int, Expression, int, bool]]:
        return [
            (end + 1, tree, cost, False)
            for end, tree, cost in self.sums(at + 1, depth + 1)
            if self.tokens[end : end + 1] == (")",)
        ]

    def _spoken_bracket(self, at: int, depth: int) -> list[tuple[int, Expression, int, bool]]:
        found: list[tuple[int, Expression, int, bool]] = []
        if at and self.tokens[at - 1] in CLOSING:
            return found  # the second word of "close bracket" opens nothing
        for start in self._after(at, OPEN)[:1]:
            for end, tree, cost in self.sums(start, depth + 1):
                closed = self._after(end, CLOSE)
                found += [(after, tree, cost, False) for after in closed]  # any expression may be said in brackets
                if not closed and (isinstance(tree, Sum) or tree is AMBIGUOUS) and self._may_end(end):
                    # with nothing said at the end, a bracket of two terms runs up to the equals sign
                    sure = isinstance(tree, Sum) and len(tree.terms) == 2
                    found.append((end, tree if sure else AMBIGUOUS, cost, False))
        return found

    def _may_end(self, end: int) -> bool:
        """Whether an unclosed bracket can end here: at the end of the expression, not before another term."""
        return not any(self._after(end, follows) for follows in (PLUS, MINUS, OVER_WORDS, TIMES_WORDS))


def _distinct(found: list[NumberFound]) -> list[NumberFound]:
    best: dict[tuple[int, Expression], int] = {}
    for end, tree, cost in found:
        best[end, tree] = min(cost, best.get((end, tree), cost))
    return [(end, tree, cost) for (end, tree), cost in best.items()][:MAX_ENDS]


def _summed(terms: tuple[SignedTerm, ...]) -> Expression:
    if any(term.body is AMBIGUOUS for term in terms):
        return AMBIGUOUS
    if len(terms) == 1:
        return Negative(terms[0].body) if terms[0].sign < 0 else terms[0].body
    return Sum(terms)


def _next(
    terms: tuple[SignedTerm, ...], cost: int, last: Joined, sign: int, later: Joined
) -> tuple[tuple[SignedTerm, ...], int, Joined]:
    """The sum with one more term, unless how it was said leaves the grouping open."""
    unsure = last.spoken_times or later.spoken_times or later.spoken_over
    body = AMBIGUOUS if unsure else later.tree
    return (*terms, SignedTerm(1 if sign > 0 else -1, body)), cost + later.cost, later


def _negated(tree: Expression) -> Expression:
    return AMBIGUOUS if tree is AMBIGUOUS else Negative(tree)


def _scaled(by: Expression, body: Expression) -> Expression:
    """``2/3`` of ``x`` is written ``2*x/3``; everything else stands side by side."""
    if AMBIGUOUS in (by, body):
        return AMBIGUOUS
    if isinstance(by, Quotient) and isinstance(by.top, Number):
        top = body if by.top.value == 1 else _multiplied(by.top, body)
        return Quotient(top, by.bottom)
    return _multiplied(by, body)


def _multiplied(left: Expression, right: Expression) -> Expression:
    if AMBIGUOUS in (left, right):
        return AMBIGUOUS
    return Product((*left.factors, right)) if isinstance(left, Product) else Product((left, right))
