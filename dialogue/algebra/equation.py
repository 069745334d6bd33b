"""An equation as written, its letter, and what solves it."""

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from typing import Literal, TypeAlias

from dialogue.algebra.linear import Linear, linear
from dialogue.algebra.reading import one_letter, plain_characters, read_expression, renamed, within_length
from dialogue.algebra.refusals import NotAnEquation, NotLinear, OutOfScope, UnknownBelow, Unreadable
from dialogue.algebra.tree import Expression, Product, Quotient, has_unknown, letters, uses_decimals, walk
from dialogue.algebra.writing import ASCII, Style, write

SolutionKind: TypeAlias = Literal["one", "none", "every"]


@dataclass(frozen=True, slots=True)
class Solution:
    """What makes an equation true: one number, none, or every number (``value`` is None for the last two)."""

    kind: SolutionKind
    value: Fraction | None = None


NO_NUMBER, EVERY_NUMBER = Solution("none"), Solution("every")
NAMED = re.compile(r"\b[A-Za-z]_\w|π|\bpi\b")  # quantities with names of their own: d_1, pi


@dataclass(frozen=True)
class Equation:
    """Two sides as written. ``letter`` is the unknown's, also where it has gone (``0 = 5``); ``after_decimals``: it
    comes from an equation with decimals, so what is worked out of it is written with decimals too."""

    left: Expression
    right: Expression
    letter: str
    after_decimals: bool = field(default=False, compare=False, repr=False)

    def linear(self) -> tuple[Linear, Linear]:
        """The exact linear form of each side; raises OutOfScope where a side is not linear."""
        return self._linear

    def solution(self) -> Solution:
        """The solution; raises OutOfScope where a side is not linear."""
        return self._solution

    @cached_property  # asked for several times in every judgement
    def _linear(self) -> tuple[Linear, Linear]:
        return linear(self.left), linear(self.right)

    @cached_property
    def _solution(self) -> Solution:
        return solve(*self._linear)

    def swapped(self) -> "Equation":
        """The same equation with its sides exchanged."""
        return Equation(self.right, self.left, self.letter, self.after_decimals)

    def after(self, before: "Equation") -> "Equation":
        """This line as one that comes of another: once with decimals, always with decimals."""
        return replace(self, after_decimals=True) if before.decimals and not self.decimals else self

    def sides(self) -> tuple[Expression, Expression]:
        """Left, right."""
        return self.left, self.right

    def side_with_unknown(self) -> Expression:
        """The left side where the unknown is there, else the right."""
        return self.left if has_unknown(self.left) else self.right

    @property
    def decimals(self) -> bool:
        """Whether it, or an equation that it comes from, is written with decimals, so that its later lines are too."""
        return self.after_decimals or uses_decimals(self.left) or uses_decimals(self.right)

    def text(self, style: Style = ASCII) -> str:
        """``left = right``."""
        return f"{write(self.left, style)} = {write(self.right, style)}"


def solve(left: Linear, right: Linear) -> Solution:
    """The solution of left = right."""
    difference = left - right
    if difference.coefficient:
        return Solution("one", -Fraction(difference.constant) / difference.coefficient)
    return NO_NUMBER if difference.constant else EVERY_NUMBER


def read_equation(text: str, letter: str | None = None, room: int = 1) -> Equation:
    """Read ``left = right`` as typed, in one unknown.

    ``letter`` is the lesson's letter, if there is one; ``room`` is as for ``read_expression``. Raises a Refusal
    with one clear sentence and, where that helps, the place: not readable, not one equals sign, two unknowns, not
    linear, unknown below the line.
    """
    within_length(text, room)
    characters = plain_characters(text)
    for sign in "<>":
        if sign in characters:
            raise NotAnEquation("This is an inequality, and I work with equations.", characters.index(sign))
    equals = [place for place, character in enumerate(characters) if character == "="]
    if not equals:
        raise NotAnEquation("There is no equals sign here, so this is not an equation.")
    if len(equals) > 1:
        raise NotAnEquation("There is more than one equals sign; please give one equation at a time.", equals[1])
    if named := NAMED.search(text):
        raise OutOfScope("This is a formula with named quantities, and I work with one unknown letter.", named.start())
    before, after = text[: equals[0]], text[equals[0] + 1 :]
    for side, where in ((before, "left"), (after, "right")):
        if not side.strip():
            raise Unreadable(f"There is nothing on the {where} of the equals sign.", equals[0])
    sides = read_expression(before, room=room), read_expression(after, start=equals[0] + 1, room=room)
    return equation_of(*sides, letter)


def equation_of(left: Expression, right: Expression, letter: str | None = None) -> Equation:
    """An equation from two sides already read. Raises SeveralUnknowns, NotLinear, UnknownBelow, DivisionByZero."""
    found = tuple(dict.fromkeys((*letters(left), *letters(right))))
    name = one_letter(found, letter or one_letter(found, None))
    if found not in {(), (name,)}:
        left, right = renamed(left, name), renamed(right, name)
    equation = Equation(left, right, name)
    equation.linear()
    _written_linearly(left)
    _written_linearly(right)
    return equation


def _written_linearly(side: Expression) -> None:
    """Refuse the unknown times itself, or below the line, also where it would cancel, as a power is refused wherever it
    is written. Raises NotLinear, UnknownBelow."""
    for part in walk(side):
        match part:
            case Product(factors) if sum(map(has_unknown, factors)) > 1:
                raise NotLinear()
            case Quotient(_, bottom) if has_unknown(bottom):
                raise UnknownBelow()
