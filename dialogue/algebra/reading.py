"""Typed mathematics to a tree: a tokeniser and a recursive-descent reader, with bounds on outside text.

Grammar (``/`` and implied multiplication work left to right, so ``1/2x`` is a half of x)::

    sum      = ["-" | "+"] product { ("+" | "-") product }
    product  = signed { ("*" | "/" | nothing) signed }
    signed   = "-" signed | "+" signed | atom
    atom     = number | letter | "(" sum ")"

Nothing is ever evaluated: the text is only looked at.
"""

import re
import unicodedata
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from dialogue.algebra.refusals import (
    DecimalComma,
    NotLinear,
    OutOfScope,
    SeveralUnknowns,
    TooMuch,
    Unreadable,
)
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, SignedTerm, Sum, Unknown, with_leaves

MAX_LENGTH = 200  # characters; the longest textbook equation in the checks has 60
MAX_DEPTH = 12  # brackets and signs inside one another
MAX_DIGITS = 9  # in one number
OWN = 4  # times these bounds: what we write of a line within them, with its spaces, brackets and worked-out numbers

SIGNS = str.maketrans(
    {
        "−": "-", "–": "-", "—": "-", "‒": "-", "‐": "-", "﹣": "-", "－": "-",
        "×": "*", "✕": "*", "✖": "*", "·": "*", "∙": "*", "⋅": "*", "•": "*",
        "÷": "/", "∕": "/", "⁄": "/", "／": "/", "➗": "/", "➖": "-", "➕": "+",
        "[": "(", "]": ")", "{": "(", "}": ")", "（": "(", "）": ")",
        "’": "'", "≤": "<", "≥": ">", "≠": "<",
        "\t": " ", "\n": " ", "\r": " ",
    }
)  # fmt: skip

TOKEN = re.compile(
    r"""(?P<space>\ +)
      | (?P<comma>\d+,\d+)
      | (?P<mixed>\d+\ +\d+\ ?/\ ?\d+(?![\d.]))
      | (?P<number>\d+\.\d+|\.\d+|\d+)
      | (?P<power>\*\*|\^|[⁰¹²³⁴⁵⁶⁷⁸⁹ⁿˣ])
      | (?P<letter>[A-Za-z])
      | (?P<sign>[-+*/()])
      | (?P<stranger>.)""",
    re.VERBOSE | re.DOTALL,
)


FOR_EVER = re.compile(r"\d*\.\d+ *(\.\.+|…)")  # 0.333...
REMAINDER = re.compile(r"\d *(rem|remainder)\b", re.IGNORECASE)
SPACED = re.compile(r"(?<![\d.])[1-9]\d{0,2}( \d{3})+(?![\d.]| *[\d/])")  # 1 000; "3 4" lacks a sign, "2 1/2" is mixed
FULL_STOP = re.compile(r"(\d)\. *$")  # the end of a sentence


class Token(NamedTuple):
    """A piece of the text: what kind, which characters, and where it began."""

    kind: str
    text: str
    at: int


def in_plain_characters(text: str) -> str:
    """The text with unicode signs, wide digits and single-glyph fractions in plain characters."""
    return "".join(plain_characters(text))


def plain_characters(text: str) -> list[str]:
    """What each character of the text becomes in plain characters, so that places in the text can be named.

    Superscripts are kept: turning them into digits would read x squared as "x2".
    """
    if text.isascii():
        return list(text.translate(SIGNS))
    out: list[str] = []
    after_digit = False
    for character in text.translate(SIGNS):
        kind = unicodedata.decomposition(character).partition(" ")[0]
        if kind == "<fraction>":
            fraction = unicodedata.normalize("NFKC", character).replace("⁄", "/")
            # "2½" is the mixed number two and a half, and a bare "½" binds before a letter
            out.append(f" {fraction}" if after_digit else f"({fraction})")
        elif kind in {"<wide>", "<font>"}:
            out.append(unicodedata.normalize("NFKC", character))
        else:
            out.append(" " if unicodedata.category(character) == "Zs" else character)
        if out[-1] != " ":
            after_digit = out[-1].isdecimal()
    return out


def tokens(text: str, start: int, room: int) -> list[Token]:
    """Cut the text up; ``start`` is its own place in the line it comes from, ``room`` multiplies the bounds.

    Raises TooMuch past the bounds, DecimalComma, NotLinear for a power, Unreadable for anything unknown.
    """
    within_length(text, room)
    characters = plain_characters(text)
    source = "".join(characters)
    places = [start + index for index, character in enumerate(characters) for _ in character]
    _no_such_number(source, places)
    source = FULL_STOP.sub(r"\1", source)
    found: list[Token] = []
    for match in TOKEN.finditer(source):
        kind, piece, at = match.lastgroup or "", match.group(), places[match.start()]
        if kind in {"letter", "sign"} or (kind in {"number", "mixed"} and len(piece) <= MAX_DIGITS):
            found.append(Token(kind, piece, at))
        elif kind != "space":
            found.append(_bounded(kind, piece, at, found[-1].kind if found else "", room))
    return found


def _no_such_number(source: str, places: list[int]) -> None:
    """Refuse what looks like one number and is none, or another than it would be read as. Raises Unreadable."""
    if found := FOR_EVER.search(source):
        raise Unreadable("The digits of this number go on: please write it as a fraction.", places[found.start()])
    if found := REMAINDER.search(source):
        asked = "An answer with a remainder is not one number: please write a fraction or a decimal."
        raise Unreadable(asked, places[found.start()])
    if found := SPACED.search(source):
        spaced = found.group()
        raise Unreadable(f"Is {spaced} one number? Please write it without spaces.", places[found.start()])


def within_length(text: str, room: int) -> None:
    """Raise TooMuch where a text is too long to be an equation."""
    if len(text) > MAX_LENGTH * room:
        raise TooMuch(f"That is too long to be one equation: the most is {MAX_LENGTH} characters.", MAX_LENGTH)


def _bounded(kind: str, piece: str, at: int, before: str, room: int) -> Token:
    """A long number that is within the bounds; for anything else, what is said of it."""
    if kind == "comma":
        raise DecimalComma(f"Is {piece} a decimal? Please write it with a point.", at)
    if kind == "power":
        if before == "letter":
            raise NotLinear(at)
        raise OutOfScope("There is a power here, and I only work with linear equations.", at)
    if kind == "stranger":
        raise _stranger(piece, at)
    if sum(map(str.isdecimal, piece)) > MAX_DIGITS * room:
        raise TooMuch(f"That number is too long: the most is {MAX_DIGITS} digits.", at)
    return Token(kind, piece, at)


def _stranger(character: str, at: int) -> Unreadable:
    if unicodedata.category(character)[0] in {"C", "M", "Z"}:  # control marks, lone accents, odd separators
        return Unreadable(f"There is a sign here that cannot be seen (U+{ord(character):04X}): type it again.", at)
    return Unreadable(f"I do not know the sign {character} in an equation.", at)


class _Reader:
    """One pass over the tokens; ``depth`` bounds the recursion, and every letter is written as ``letter``."""

    def __init__(self, parts: list[Token], end: int, letter: str, deepest: int) -> None:
        self.coming = iter((*parts, Token("", "", end)))
        self.next = next(self.coming)
        self.letter = letter
        self.deepest = deepest

    def peek(self) -> str:
        return self.next.text

    def kind(self) -> str:
        return self.next.kind

    def place(self) -> int:
        return self.next.at

    def take(self) -> Token:
        token = self.next
        self.next = next(self.coming)
        return token

    def sum(self, depth: int) -> Expression:
        if depth > self.deepest:
            raise TooMuch("There are too many brackets inside one another.", self.place())
        terms = [SignedTerm(-1 if self.peek() == "-" else 1, self._first(depth))]
        while self.peek() in {"+", "-"} and self.kind() == "sign":
            sign = self.take().text
            terms.append(SignedTerm(1 if sign == "+" else -1, self.product(depth)))
        if len(terms) == 1:
            return Negative(terms[0].body) if terms[0].sign < 0 else terms[0].body
        return Sum(tuple(terms))

    def _first(self, depth: int) -> Expression:
        if self.peek() in {"+", "-"}:
            self.take()
        return self.product(depth)

    def product(self, depth: int) -> Expression:
        left = self.signed(depth)
        while True:
            if self.peek() == "/":
                self.take()
                left = Quotient(left, self.signed(depth))
            elif self.peek() == "*":
                self.take()
                left = _times(left, self.signed(depth))
            elif self.kind() == "letter" or self.peek() == "(":
                left = _times(left, self.signed(depth))
            elif self.kind() in {"number", "mixed"}:
                raise Unreadable("A sign is missing before this number.", self.place())
            else:
                return left

    def signed(self, depth: int) -> Expression:
        if depth > self.deepest:
            raise TooMuch("There are too many signs one after another.", self.place())
        if self.peek() == "-":
            self.take()
            return Negative(self.signed(depth + 1))
        if self.peek() == "+":
            self.take()
            return self.signed(depth + 1)
        return self.atom(depth)

    def atom(self, depth: int) -> Expression:
        if self.kind() in {"number", "mixed"}:
            return _number(self.take())
        if self.kind() == "letter":
            self.take()
            return Unknown(self.letter)
        if self.peek() == "(":
            opened = self.take()
            inside = self.sum(depth + 1)
            if self.peek() != ")":
                raise Unreadable("A bracket is opened and not closed.", opened.at)
            self.take()
            return inside
        closed = self.peek() == ")" and not depth
        missing = "a bracket is closed that was not opened" if closed else "something is missing"
        raise Unreadable(f"I cannot read this: {missing}.", self.place())


def _times(left: Expression, right: Expression) -> Expression:
    return Product((*left.factors, right)) if isinstance(left, Product) else Product((left, right))


def _number(token: Token) -> Expression:
    if token.kind == "number" and len(token.text) < 4:
        return _short_number(token.text)
    if token.kind == "mixed":
        start, _, fraction = token.text.partition(" ")
        top, _, bottom = fraction.replace(" ", "").partition("/")
        if int(bottom) == 0:
            raise Unreadable("A fraction cannot have zero below the line.", token.at)
        return Number(int(start) + Fraction(int(top), int(bottom)), f"{start} {top}/{bottom}")
    return _plain_number(token.text)


def _plain_number(text: str) -> Number:
    return Number(Fraction(text), text) if "." in text else Number(Fraction(int(text)))


_short_number = lru_cache(maxsize=1200)(_plain_number)  # the numbers of a lesson come again and again


def read_expression(text: str, letter: str | None = None, start: int = 0, room: int = 1) -> Expression:
    """The expression typed, as written; ``letter`` is the equation's letter, if it is known; ``room`` multiplies the
    bounds (OWN for text that this program wrote).

    Letters of either case count as the same letter. Raises a Refusal with one clear sentence; its place is
    counted from ``start``, where the text begins in the line it comes from.
    """
    parts = tokens(text, start, room)
    if not parts:
        raise Unreadable("There is nothing here to read.", start)
    found = tuple(dict.fromkeys(token.text for token in parts if token.kind == "letter"))
    reader = _Reader(parts, start + len(text), letter or "".join(found[:1]), MAX_DEPTH * room)
    read = reader.sum(0)
    if reader.kind():
        closed = "A bracket is closed that was not opened." if reader.peek() == ")" else "I cannot read this part."
        raise Unreadable(closed, reader.place())
    one_letter(found, letter)
    return read


def one_letter(found: tuple[str, ...], letter: str | None) -> str:
    """The letter to write where ``found`` stand, all of one letter in either case. Raises SeveralUnknowns."""
    shown = tuple(dict.fromkeys((letter, *found))) if letter else found
    if len(shown) > 1 and len({name.lower() for name in shown}) > 1:
        raise SeveralUnknowns(shown)
    return shown[0] if shown else "x"


def renamed(expression: Expression, letter: str) -> Expression:
    """The same expression with every unknown called ``letter``."""
    return with_leaves(expression, lambda leaf: Unknown(letter) if isinstance(leaf, Unknown) else leaf)
