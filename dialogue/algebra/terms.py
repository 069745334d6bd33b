"""A side of an equation as a list of terms, and what can be done to it without opening its brackets.

A term is a coefficient times a body: the number one, the unknown, or a bracket kept shut. So
``2*(x + 3) + 5`` has the terms ``2`` times ``(x + 3)`` and ``5`` times one, and taking 5 away leaves
``2*(x + 3)``, as on a board.
"""

from dataclasses import dataclass
from fractions import Fraction

from dialogue.algebra.exact import Exact, exact
from dialogue.algebra.linear import linear
from dialogue.algebra.tree import (
    Expression,
    Negative,
    Number,
    Product,
    Quotient,
    Sum,
    Unknown,
    constant,
    has_unknown,
    scaled,
    total,
)

ONE = Number(Fraction(1))


@dataclass(frozen=True, slots=True)
class Addend:
    """``coefficient`` times ``body``; ``body`` is ONE, the unknown, or a sum in a bracket."""

    coefficient: Exact
    body: Expression

    @property
    def is_constant(self) -> bool:
        """Whether it is a number."""
        return isinstance(self.body, Number)

    @property
    def is_unknown(self) -> bool:
        """Whether it is some of the unknown."""
        return isinstance(self.body, Unknown)

    @property
    def is_bracket(self) -> bool:
        """Whether it is a bracket kept shut."""
        return not (self.is_constant or self.is_unknown)

    def times(self, factor: Exact) -> "Addend":
        """The term, so many times."""
        return Addend(self.coefficient * factor, self.body)


def parts(side: Expression) -> list[Addend]:
    """The terms of a side in the order written, like terms not yet collected.

    A bracket that is only added (``(x + 1) + 3``) is opened; one subtracted, multiplied or divided is not. Raises
    OutOfScope for an unknown or nothing below a line.
    """
    match side:
        case Sum(terms):
            return [part for term in terms for part in (parts if term.sign > 0 else _subtracted)(term.body)]
        case Negative(body):
            return _subtracted(body)
    return [_part(side)]


def _subtracted(body: Expression) -> list[Addend]:
    """The terms of a side taken away; a bracket is taken -1 times, as a whole."""
    if isinstance(body, Sum) and has_unknown(body):
        return [Addend(-1, body)]
    return [part.times(-1) for part in parts(body)]


def _part(side: Expression) -> Addend:
    """A side that is one term."""
    match side:  # the usual terms first
        case Unknown():
            return Addend(1, side)
        case Number(value):
            return Addend(exact(value), ONE)
        case Product((Number(value), Unknown() as unknown)):
            return Addend(exact(value), unknown)
    if not has_unknown(side):
        return Addend(linear(side).constant, ONE)
    match side:
        case Negative(body):
            return _part(body).times(-1)
        case Quotient(top, bottom):
            return _part(top).times(linear(Quotient(ONE, bottom)).constant)
        case Product(factors):
            coefficient: Exact = 1
            inside: Expression = ONE
            for factor in factors:
                if has_unknown(factor) and linear(factor).coefficient:
                    inner = _part(factor)
                    coefficient, inside = coefficient * inner.coefficient, inner.body
                else:
                    coefficient *= linear(factor).constant
            return Addend(coefficient, inside)
    return Addend(1, side)


def collected(found: list[Addend]) -> list[Addend]:
    """Like terms added up, each where its kind first stood; terms that come to nothing are gone."""
    sums: dict[Expression | type[Expression], Addend] = {}
    for part in found:
        kind = part.body if part.is_bracket else type(part.body)
        earlier = sums.get(kind)
        sums[kind] = Addend(earlier.coefficient + part.coefficient, part.body) if earlier else part
    return [part for part in sums.values() if part.coefficient]


def written(found: list[Addend], decimals: bool = False) -> Expression:
    """The terms as a side of an equation; a lone bracket taken once is opened."""
    shown = [
        constant(part.coefficient, decimals) if part.is_constant else scaled(part.coefficient, part.body, decimals)
        for part in found
    ]
    return total(shown)


def tidy(side: Expression, decimals: bool = False) -> Expression:
    """The side with like terms collected and its multiplied brackets left shut."""
    return written(collected(opened(parts(side))), decimals)


def opened(found: list[Addend]) -> list[Addend]:
    """Brackets taken exactly once are only grouping: their terms join the side."""
    out: list[Addend] = []
    for part in found:
        if part.is_bracket and part.coefficient == 1:
            out.extend(opened(parts(part.body)))
        else:
            out.append(part)
    return out


def expanded(side: Expression, decimals: bool = False) -> Expression:
    """The side with every bracket multiplied out and like terms collected: ``coefficient*x + constant``."""
    return written(collected(flat(parts(side))), decimals)


def flat(found: list[Addend]) -> list[Addend]:
    """Every bracket multiplied out, like terms not collected."""
    out: list[Addend] = []
    for part in found:
        if part.is_bracket:
            out.extend(inner.times(part.coefficient) for inner in flat(parts(part.body)))
        else:
            out.append(part)
    return out


def multiplied_out(side: Expression, decimals: bool = False) -> Expression:
    """The side with every bracket multiplied out, like terms left as they fall."""
    return written([part for part in flat(parts(side)) if part.coefficient], decimals)


def added(side: Expression, more: Expression, decimals: bool = False) -> Expression:
    """The side with ``more`` added and like terms collected."""
    return written(collected(opened([*parts(side), *parts(more)])), decimals)


def times(side: Expression, factor: Exact, decimals: bool = False) -> Expression:
    """The side with every term multiplied by ``factor``, like terms collected."""
    multiplied = [part.times(factor) for part in collected(opened(parts(side)))]
    return written(collected(opened(multiplied)), decimals)
