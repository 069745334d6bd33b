"""What is solved, weighed, refused and judged, exactly (``data/exactly.toml``), and a few values beside it."""

import tomllib
from fractions import Fraction
from pathlib import Path

import pytest

from dialogue.algebra.cost import MEASURES, untidy
from dialogue.algebra.equation import read_equation
from dialogue.algebra.linear import Linear
from dialogue.algebra.moves import Line, Move, Operation, Rewrite, Sides, Step, Verdict, as_written, carry_out
from dialogue.algebra.reading import OWN, read_expression
from dialogue.algebra.refusals import DivisionByZero, Refusal, TooMuch, UnknownBelow
from dialogue.algebra.solver import in_words, solve_by_steps
from dialogue.algebra.terms import added, expanded, multiplied_out, parts, tidy, times
from dialogue.algebra.tree import Negative, Number, decimal_text, uses_decimals, whole
from dialogue.algebra.writing import TYPED, write
from dialogue.judgement import judge

DATA = tomllib.loads((Path(__file__).parent / "data" / "exactly.toml").read_text("utf-8"))
OPERATIONS: dict[str, Operation] = {
    "+": "add", "-": "subtract", "*": "multiply", "/": "divide", ">": "transfer"
}  # fmt: skip
BALANCE = {True: "keeps", False: "breaks", None: "undefined"}


@pytest.mark.parametrize(("text", "steps"), DATA["solved"].items())
def test_solved(text: str, steps: str) -> None:
    found = [f"{in_words(worked.step)} {worked.equation.text(TYPED)}" for worked in solve_by_steps(read_equation(text))]
    assert "; ".join(found) == steps


@pytest.mark.parametrize(("text", "measures"), DATA["costs"].items())
def test_cost(text: str, measures: str) -> None:
    assert " ".join(str(measure(read_equation(text))) for measure in MEASURES) == measures


def test_sides() -> None:
    for text, expected in DATA["sides"].items():
        side = read_expression(text)
        decimals = uses_decimals(side)
        forms = [do(side, decimals) for do in (tidy, expanded, multiplied_out)]
        forms += [times(side, -2, decimals), added(side, read_expression("3 - x"), decimals)]
        terms = " ".join(f"{part.coefficient}[{write(part.body)}]" for part in parts(side))
        assert "; ".join((terms, *(write(form, TYPED) for form in forms), str(untidy(side)))) == expected, text


@pytest.mark.parametrize(("text", "said"), DATA["refused"].items(), ids=range(len(DATA["refused"])))
def test_refused(text: str, said: str) -> None:
    with pytest.raises(Refusal) as refused:
        read_equation(text)
    assert f"{type(refused.value).__name__} {refused.value.at}: {refused.value.sentence}" == said


def _step(text: str, letter: str) -> Step:
    match text.split(" ", 1):
        case ["none" | "every" as kind]:
            return Verdict(kind)
        case ["expand" | "collect" | "swap" | "simplify" as how]:
            return Rewrite(how)
        case [sign, operand] if sign in OPERATIONS and "=" not in text:
            amount, _, side = operand.partition(" ")
            sides: Sides = side or "both"  # type: ignore[assignment]
            return Move(OPERATIONS[sign], read_expression(amount, letter), sides)
    return Line(read_equation(text, letter))


@pytest.mark.parametrize("text", DATA["judged"])
def test_judged(text: str) -> None:
    equation = read_equation(text)
    for step, verdict in DATA["judged"][text].items():
        found = judge(equation, _step(step, equation.letter))
        balance = BALANCE[found.balanced] + (", closer" if found.closer else "")
        result = found.result.text() if found.result else "-"
        assert found.result is None or found.result.letter == equation.letter
        assert "; ".join((balance, result, found.reason or "-", " ".join(found.errors) or "-")) == verdict, step


def test_a_place_is_counted_in_the_line_it_comes_from() -> None:
    for text, at in (("", 7), ("  ", 7), ("3 $", 9), ("(2", 7), ("2)", 8), ("3,5", 7), ("2 +", 10)):
        with pytest.raises(Refusal) as refused:
            read_expression(text, "x", 7)
        assert refused.value.at == at, text


def test_what_this_program_wrote_has_more_room() -> None:
    """Four times the length, the digits and the depth; a sign more is too much."""
    for longest, longer in (("1" * 36, "1" * 37), ("(" * 48 + "x" + ")" * 48, "(" * 49 + "x" + ")" * 49)):
        read_expression(longest, room=OWN)
        with pytest.raises(TooMuch):
            read_expression(longer, room=OWN)
    assert read_equation("x" + " " * 796 + "= 1", room=OWN).text() == "x = 1"
    assert read_equation(f"x = {'1' * 36}", room=OWN).text() == f"x = {'1' * 36}"
    with pytest.raises(TooMuch):
        read_equation("x" + " " * 798 + "= 1", room=OWN)


def test_a_transfer_is_never_carried_out() -> None:
    with pytest.raises(ValueError, match=r"^a transfer names no operation to carry out$"):
        carry_out(Move("transfer", whole(2)), read_equation("x + 2 = 5"))


def test_a_move_as_written() -> None:
    side, two = read_expression("-x"), read_expression("2")
    found = [write(as_written(Move(how, two), side)) for how in ("add", "subtract", "multiply", "divide")]
    assert found == ["-x + 2", "-x - 2", "2*(-x)", "(-x)/2"]


def test_values() -> None:
    assert Linear(3, -2).at(Fraction(1, 2)) == Fraction(-1, 2)
    assert (whole(0), whole(3)) == (Number(Fraction(0)), Number(Fraction(3)))
    assert whole(-3) == Negative(Number(Fraction(3)))


def test_decimals_that_end() -> None:
    assert decimal_text(Fraction(9, 2)) == "4.5"
    assert decimal_text(Fraction(1, 10**6)) == "0.000001"
    assert decimal_text(Fraction(1, 10**7)) is None
    assert decimal_text(Fraction(1, 3)) is None
    assert decimal_text(Fraction(-1, 2)) is None
    assert decimal_text(Fraction(10)) == "10"
    assert decimal_text(Fraction(0)) == "0"


@pytest.mark.parametrize(
    ("side", "refused"), [("3/n", UnknownBelow), ("n/(n + 1)", UnknownBelow), ("n/(2 - 2)", DivisionByZero)]
)
def test_nothing_is_made_of_an_unknown_or_nothing_below_a_line(side: str, refused: type[Refusal]) -> None:
    with pytest.raises(refused):
        parts(read_expression(side, "n"))
