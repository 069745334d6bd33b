"""Hypothesis strategies, all in one place: equations in one unknown, as a class would meet them and stranger.

Every tree made here is one that reading typed text can give: nothing is made that no learner could write.
"""

from fractions import Fraction

from hypothesis import strategies as st

from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.moves import Move
from dialogue.algebra.refusals import Refusal
from dialogue.algebra.tree import (
    Expression,
    Negative,
    Number,
    Product,
    Quotient,
    SignedTerm,
    Sum,
    Unknown,
    has_unknown,
)
from dialogue.algebra.writing import TYPED

LETTERS = "xnyabkmpqrtwz"
SIGNS = st.sampled_from((1, 1, -1))

letters = st.sampled_from(LETTERS)
whole_numbers = st.one_of(st.integers(0, 20), st.integers(0, 200), st.integers(0, 9999))
counts = st.integers(2, 20)
bottoms = st.one_of(st.integers(2, 10), st.integers(2, 120))


def _whole(value: int) -> Expression:
    return Number(Fraction(value))


@st.composite
def _decimals(draw: st.DrawFn) -> Expression:
    text = f"{draw(st.integers(0, 150))}.{draw(st.text('0123456789', min_size=1, max_size=3))}"
    return Number(Fraction(text), text)


@st.composite
def _mixed(draw: st.DrawFn) -> Expression:
    bottom = draw(st.integers(2, 12))
    whole, top = draw(st.integers(1, 30)), draw(st.integers(1, min(bottom - 1, 9)))
    return Number(whole + Fraction(top, bottom), f"{whole} {top}/{bottom}")


wholes = whole_numbers.map(_whole)
fractions = st.builds(lambda top, bottom: Quotient(_whole(top), _whole(bottom)), st.integers(1, 60), bottoms)
numbers: st.SearchStrategy[Expression] = st.one_of(wholes, wholes, wholes, _decimals(), fractions, _mixed())
"""Numbers of at least zero, as written: whole, decimal, fraction, mixed."""


@st.composite
def terms(draw: st.DrawFn, letter: str, depth: int = 2) -> Expression:
    """One term without its sign: a number, or the unknown multiplied, divided, or both; brackets to ``depth``."""
    kinds = ["number", "unknown", "multiple", "share", "multiple share", "part"]
    if depth:
        kinds += ["bracket", "bracket", "bracket share", "bracket part", "product first", "negative"]
    unknown = Unknown(letter)
    match draw(st.sampled_from(kinds)):
        case "number":
            return draw(numbers)
        case "unknown":
            return unknown
        case "multiple":
            return Product((draw(st.one_of(wholes, counts.map(_whole), _decimals())), unknown))
        case "share":
            return Quotient(unknown, _whole(draw(bottoms)))
        case "multiple share":
            return Quotient(Product((_whole(draw(counts)), unknown)), _whole(draw(bottoms)))
        case "part":
            return Product((draw(fractions), unknown))
        case "bracket":
            return Product((draw(st.one_of(counts.map(_whole), _decimals())), draw(sums(letter, depth - 1))))
        case "bracket share":
            return Quotient(draw(sums(letter, depth - 1)), _whole(draw(bottoms)))
        case "bracket part":
            inside = draw(sums(letter, depth - 1))
            over = Quotient(Product((_whole(draw(counts)), inside)), _whole(draw(bottoms)))
            return draw(st.sampled_from((Product((draw(fractions), inside)), over)))
        case "product first":
            return Product((draw(sums(letter, depth - 1)), _whole(draw(counts))))
        case _:
            return Negative(draw(st.one_of(numbers, st.just(unknown))))


@st.composite
def sums(draw: st.DrawFn, letter: str, depth: int = 1) -> Expression:
    """Two or three signed terms, or now and then a bracketed sum among them."""
    bodies = draw(st.lists(terms(letter, depth), min_size=2, max_size=3 if depth else 2))
    return Sum(tuple(SignedTerm(draw(SIGNS), body) for body in bodies))


@st.composite
def expressions(draw: st.DrawFn, letter: str = "x", depth: int = 1) -> Expression:
    """One side of an equation."""
    side = draw(st.one_of(terms(letter, depth), sums(letter, depth)))
    return Negative(side) if draw(st.integers(0, 5)) == 0 and not isinstance(side, Negative | Sum) else side


def any_tree() -> st.SearchStrategy[Expression]:
    """Any tree that the types allow, whether or not typed text gives it: spoken words make others."""
    leaves = st.one_of(numbers, st.builds(Number, st.fractions(min_value=0, max_value=99)), st.builds(Unknown, letters))

    def grown(inner: st.SearchStrategy[Expression]) -> st.SearchStrategy[Expression]:
        some = st.lists(inner, min_size=2, max_size=3).map(tuple)
        signed = st.lists(st.builds(SignedTerm, SIGNS, inner), min_size=2, max_size=3).map(tuple)
        return st.one_of(
            st.builds(Negative, inner),
            st.builds(Sum, signed),
            st.builds(Product, some),
            st.builds(Quotient, inner, inner),
        )

    return st.recursive(leaves, grown, max_leaves=6)


def _as_read(equation: Equation) -> Equation | None:
    """The equation as reading its own writing gives it, or None where it is out of scope."""
    try:
        return read_equation(equation.text(TYPED), equation.letter)
    except Refusal:
        return None


@st.composite
def equations(draw: st.DrawFn, depth: int = 1) -> Equation:
    """A linear equation in one unknown, as written: unknown on one side or both, ``depth`` brackets deep at most."""
    letter = draw(letters)
    sides = st.tuples(expressions(letter, depth), expressions(letter, depth))
    left, right = draw(sides.filter(lambda both: any(map(has_unknown, both))))
    equation = _as_read(Equation(left, right, letter))
    if equation is None:
        equation = Equation(Unknown(letter), draw(numbers), letter)
    return equation


@st.composite
def moves(draw: st.DrawFn, letter: str = "x") -> Move:
    """A move of any operation but transfer, by a number or a multiple of the unknown, on any sides."""
    operation = draw(st.sampled_from(("add", "subtract", "multiply", "divide")))
    operand = draw(
        st.one_of(
            numbers,
            numbers.map(Negative),
            st.just(Unknown(letter)),
            counts.map(lambda count: Product((_whole(count), Unknown(letter)))),
        )
    )
    return Move(operation, operand, draw(st.sampled_from(("both", "left", "right"))))  # type: ignore[arg-type]


def spoken_alike(equation: Equation) -> Equation:
    """The equation as its words write it: ``2x/3`` for ``(2/3)x``, ``-2 + x`` for ``(-2) + x``; else as it is."""
    return Equation(_alike(equation.left), _alike(equation.right), equation.letter)


def _alike(expression: Expression) -> Expression:
    match expression:
        case Negative(body):
            return Negative(_alike(body))
        case Sum(terms):
            first, *rest = (SignedTerm(term.sign, _alike(term.body)) for term in terms)
            if first.sign > 0 and isinstance(first.body, Negative):
                first = SignedTerm(-1, first.body.body)
            return Sum((first, *rest))
        case Quotient(top, bottom):
            return Quotient(_alike(top), _alike(bottom))
        case Product((Quotient(Number() as top, Number() as bottom), body)):
            inner = _alike(body)
            return Quotient(inner if top.value == 1 else Product((top, inner)), bottom)
        case Product(factors):
            return Product(tuple(map(_alike, factors)))
    return expression
