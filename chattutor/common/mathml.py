"""Expressions and equations as presentation MathML (MathML Core, W3C): fractions stacked, brackets as in the text."""

from html import escape

from dialogue.algebra.equation import Equation
from dialogue.algebra.tree import Expression, Negative, Number, Product, Quotient, Sum, Unknown, walk
from dialogue.algebra.writing import BOARD, write

PLUS, MINUS, TIMES, BESIDE = "+", "\N{MINUS SIGN}", "\N{MULTIPLICATION SIGN}", "\N{INVISIBLE TIMES}"


def math(expression: Expression) -> str:
    """A ``<math>`` element with full-size fractions; its plain text is kept for screen readers."""
    return f'<math displaystyle="true" alttext="{escape(write(expression, BOARD))}">{_row(expression)}</math>'


def equation_math(equation: Equation) -> str:
    """A whole equation as one ``<math>`` element, its fractions small enough for a line of text."""
    inside = f"{_row(equation.left)}<mo>=</mo>{_row(equation.right)}"
    return f'<math alttext="{escape(equation.text(BOARD))}"><mrow>{inside}</mrow></math>'


def expression_math(expression: Expression) -> str:
    """An expression as one ``<math>`` element for a line of text."""
    return f'<math alttext="{escape(write(expression, BOARD))}">{_row(expression)}</math>'


def labelled_math(expression: Expression, words: str) -> str:
    """A ``<math>`` element with full-size fractions that is read out in these words."""
    return f'<math displaystyle="true" aria-label="{escape(words)}">{_row(expression)}</math>'


def _row(expression: Expression) -> str:
    match expression:
        case Number(value, written):
            if not written and value.denominator != 1:
                return f"<mfrac><mn>{value.numerator}</mn><mn>{value.denominator}</mn></mfrac>"
            return f"<mn>{escape(written) or value}</mn>"
        case Unknown(letter):
            return f"<mi>{escape(letter)}</mi>"
        case Negative(body):
            return f'<mrow><mo form="prefix">{MINUS}</mo>{_held(body)}</mrow>'
        case Sum(terms):
            out = ""
            for place, term in enumerate(terms):
                sign = MINUS if term.sign < 0 else PLUS
                form = "infix" if place else "prefix"
                out += f'<mo form="{form}">{sign}</mo>' if place or term.sign < 0 else ""
                out += _held(term.body)
            return f"<mrow>{out}</mrow>"
        case Product(factors):
            out = _held(factors[0])
            for factor in factors[1:]:
                numeral = isinstance(factor, Number | Negative)
                out += f"<mo>{TIMES if numeral else BESIDE}</mo>{_held(factor)}"
            return f"<mrow>{out}</mrow>"
        case Quotient(top, bottom):
            return f"<mfrac>{_row(top)}{_row(bottom)}</mfrac>"


def _held(expression: Expression) -> str:
    """In brackets where it would otherwise fall apart."""
    if isinstance(expression, Sum | Negative):
        tall = "true" if any(isinstance(part, Quotient) for part in walk(expression)) else "false"
        opened, closed = (f'<mo stretchy="{tall}">{sign}</mo>' for sign in "()")
        return f"<mrow>{opened}{_row(expression)}{closed}</mrow>"
    return _row(expression)
