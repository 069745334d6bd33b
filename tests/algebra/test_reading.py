"""Typed equations read as written, shown as a teacher writes them, and refused in one clear sentence."""

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from strategies import equations

from dialogue.algebra.equation import Equation, Solution, read_equation
from dialogue.algebra.reading import MAX_LENGTH, read_expression
from dialogue.algebra.refusals import (
    DecimalComma,
    DivisionByZero,
    NotAnEquation,
    NotLinear,
    OutOfScope,
    Refusal,
    SeveralUnknowns,
    TooMuch,
    UnknownBelow,
    Unreadable,
)
from dialogue.algebra.tree import Negative, Number, Product, Unknown
from dialogue.algebra.writing import ASCII, BOARD, TYPED, Style, write


@pytest.mark.parametrize(
    ("text", "ascii_", "board", "value"),
    [
        ("3x+2=14", "3*x + 2 = 14", "3x + 2 = 14", "4"),
        ("2(x-1)/3 = 4 - x", "2*(x - 1)/3 = 4 - x", "2(x − 1)/3 = 4 − x", "14/5"),
        ("0.5n = 3", "1/2*n = 3", "0.5n = 3", "6"),
        ("12 ÷ 4 × k = 3·5", "12/4*k = 3*5", "(12/4)k = 3 × 5", "5"),
        ("7 − Y = −2", "7 - Y = -2", "7 − Y = −2", "9"),
        ("x = 2 1/2", "x = 5/2", "x = 2 1/2", "5/2"),
        ("2½x = 5", "5/2*x = 5", "2 1/2x = 5", "2"),
        ("x = 2 ½", "x = 5/2", "x = 2 1/2", "5/2"),
        ("½x = 4", "1/2*x = 4", "(1/2)x = 4", "8"),
        ("1/2x = 4", "1/2*x = 4", "(1/2)x = 4", "8"),
        ("３x＝１２", "3*x = 12", "3x = 12", "4"),
        ("x + ٣ = ٥", "x + 3 = 5", "x + 3 = 5", "2"),
        ("[2{x + 1}] = 6\r\n", "2*(x + 1) = 6", "2(x + 1) = 6", "2"),
        ("X + x = 6", "X + X = 6", "X + X = 6", "3"),
        ("x = 3*.5", "x = 3*1/2", "x = 3 × .5", "3/2"),
        ("3 * +x = 6", "3*x = 6", "3x = 6", "2"),
        ("X + 1 = 2x", "X + 1 = 2*X", "X + 1 = 2X", "1"),
        ("x/(2 1/2) = 2", "x/(5/2) = 2", "x/(2 1/2) = 2", "5"),
        ("𝟑𝑥 = 12", "3*x = 12", "3x = 12", "4"),
        ("3 - -x = 5", "3 - (-x) = 5", "3 − (−x) = 5", "2"),
    ],
)
def test_read_and_shown(text: str, ascii_: str, board: str, value: str) -> None:
    equation = read_equation(text)
    assert (equation.text(ASCII), equation.text(BOARD)) == (ascii_, board)
    assert equation.solution() == Solution("one", Fraction(value))


@pytest.mark.parametrize(
    ("text", "kind", "at"),
    [
        ("", NotAnEquation, None),
        ("   ", NotAnEquation, None),
        ("x" * 1_000_000, TooMuch, MAX_LENGTH),
        ("x=" + "1" * 1_000_000, TooMuch, MAX_LENGTH),
        ("(" * 10_000 + "x" + ")" * 10_000 + "=1", TooMuch, MAX_LENGTH),
        ("(" * 90 + "x" + ")" * 90 + "=1", TooMuch, 13),
        ("x = " + "-" * 90 + "1", TooMuch, 18),
        ("x = " + "+" * 90 + "1", TooMuch, 18),
        ("x = 3\x07", Unreadable, 5),
        ("\x00x = 3", Unreadable, 0),
        ("\u200fx = 3", Unreadable, 0),
        ("x = 3\u202e", Unreadable, 5),
        ("x\u200b = 3", Unreadable, 1),
        ("x = 😀", Unreadable, 4),
        ("😀 = x", Unreadable, 0),
        ("x = 4️⃣", Unreadable, 5),
        ("9**9**9**9", NotAnEquation, None),
        ("x = 9**9**9**9", OutOfScope, 5),
        ("x = 9^9", OutOfScope, 5),
        ("x = 3²", OutOfScope, 5),
        ("(x + 1)^2 = 4", OutOfScope, 7),
        ("1/0 = x", DivisionByZero, None),
        ("x/0 = 3", DivisionByZero, None),
        ("x/(2 - 2) = 3", DivisionByZero, None),
        ("x = 2 3/0", Unreadable, 4),
        ("__import__('os')", NotAnEquation, None),
        ("x = __import__('os')", Unreadable, 4),
        ("x + y = 3", SeveralUnknowns, None),
        ("xy = 3", SeveralUnknowns, None),
        ("x = 2y", SeveralUnknowns, None),
        ("2 d_1 = 3", OutOfScope, 2),
        ("x 3", NotAnEquation, None),
        ("x = 3 = 4", NotAnEquation, 6),
        ("x == 3", NotAnEquation, 3),
        ("2x <= 4", NotAnEquation, 3),
        ("x ≠ 4", NotAnEquation, 2),
        ("x² = 4", NotLinear, 1),
        ("4 = x^2", NotLinear, 5),
        ("x**2 = 4", NotLinear, 1),
        ("x*x = 4", NotLinear, None),
        ("xx = 4", NotLinear, None),
        ("x(x + 1) = 2", NotLinear, None),
        ("3/x = 4", UnknownBelow, None),
        ("1/(x + 1) = 2", UnknownBelow, None),
        ("x = 3,5", DecimalComma, 4),
        ("x = 0.333...", Unreadable, 4),
        ("x = .3…", Unreadable, 4),
        ("x = 2 remainder 1", Unreadable, 4),
        ("x = 1 000", Unreadable, 4),
        ("x + 12 500 = 1", Unreadable, 4),
        ("x = 5..", Unreadable, 5),
        ("0*x*x + 3x = 6", NotLinear, None),
        ("(x - x)*x + 3x = 6", NotLinear, None),
        ("x(x + 1 - x) = 4", NotLinear, None),
        ("x*x - x*x + 3x = 6", NotLinear, None),
        ("3/(x - x + 3) = x", UnknownBelow, None),
        ("1,000 = x", DecimalComma, 0),
        ("½ + x = 3 4", Unreadable, 10),
        ("x = (3", Unreadable, 4),
        ("x = 3)", Unreadable, 5),
        ("3x = 4 +", Unreadable, 8),
        ("3x = *4", Unreadable, 5),
        ("x =", Unreadable, 2),
        ("= x", Unreadable, 0),
        ("x = 1.2.3", Unreadable, 7),
        ("x = 1234567890", TooMuch, 4),
    ],
    ids=lambda value: repr(value)[:30],
)
def test_refused_in_one_clear_sentence(text: str, kind: type[Refusal], at: int | None) -> None:
    with pytest.raises(Refusal) as refused:
        read_equation(text)
    assert type(refused.value) is kind
    assert refused.value.at == at
    sentence = refused.value.sentence
    assert sentence[0].isupper()
    assert sentence[-1] in ".?"
    assert len(sentence) <= 120
    assert sentence.isprintable()


@settings(max_examples=600, deadline=None)
@given(st.one_of(st.text(max_size=60), st.text("0123456789xX+-*/()=. ½²−×", max_size=40)))
def test_any_text_is_read_or_refused(text: str) -> None:
    for read in (read_equation, read_expression):
        try:
            read(text)
        except Refusal as refusal:
            assert refusal.at is None or 0 <= refusal.at <= max(len(text), 1)


@pytest.mark.parametrize("style", [ASCII, BOARD, TYPED], ids=["ascii", "board", "typed"])
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(equation=equations(depth=1))
def test_what_is_written_reads_back(style: Style, equation: Equation) -> None:
    text = equation.text(style)
    assume(len(text) <= MAX_LENGTH)
    again = read_equation(text, equation.letter)
    assert again.linear() == equation.linear()
    if style.typed:
        assert again == equation
    assert read_equation(again.text(style), equation.letter) == again


def test_a_decimal_is_kept_apart_from_the_number_before_it() -> None:
    product = Product((Number(Fraction(3)), Number(Fraction(1, 2), ".5")))
    assert write(product, BOARD) == "3 × .5"
    assert read_expression(write(product, TYPED)) == product


def test_the_letter_of_the_lesson() -> None:
    assert read_expression("X", "x") == Unknown("x")
    assert read_expression("-3", "n") == Negative(Number(Fraction(3)))
    with pytest.raises(SeveralUnknowns, match="x and n"):
        read_equation("n = 3", "x")
    assert read_equation("0 = 5", "n").letter == "n"
    assert read_equation("-X/2 + 3(X - 1) = 4 - X", "x").text() == "-x/2 + 3*(x - 1) = 4 - x"
