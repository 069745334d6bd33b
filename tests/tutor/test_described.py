"""What is done to the unknown, told: every true description of every form confirmed, and no false one.

The equations are invented; that a description is right where it makes the side is arithmetic, tried with numbers.
"""

from fractions import Fraction
from itertools import product

import pytest
from talking import Talk, told, value

from dialogue.algebra.equation import read_equation
from dialogue.algebra.linear import linear
from dialogue.algebra.operations import Done, describes, operations_on
from dialogue.algebra.reading import read_expression
from dialogue.algebra.solver import value_at

FOUR_TIMES, THIRTEEN_MORE = Done("multiply", read_expression("4")), Done("add", read_expression("13"))
DESCRIBED = [
    ("4 - x = 9", (Done("subtract", read_expression("4")),), "described wrong"),
    ("4 - x = 9", (Done("take from", read_expression("4")),), "described"),
    ("4 - x = 9", (Done("multiply", read_expression("-1")), Done("add", read_expression("4"))), "described"),
    ("4 - x = 9", (Done("divide into", read_expression("4")),), "described wrong"),
    ("19 - 4x = 7", (FOUR_TIMES, Done("subtract", read_expression("19"))), "described wrong"),
    ("19 - 4x = 7", (FOUR_TIMES, Done("take from", read_expression("19"))), "described"),
    ("7x + 13 = 34", (THIRTEEN_MORE, Done("multiply", read_expression("7"))), "described unordered"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "operations", "kind"), DESCRIBED)
def test_what_is_wrong_of_the_unknown_is_never_confirmed(text: str, operations: tuple[Done, ...], kind: str) -> None:
    talk = Talk(text, fresh=True)
    assert talk.turn(told(*operations)).record.event == kind


def test_the_side_as_it_stands_describes_it() -> None:
    talk = Talk("4 - x = 9", fresh=True)
    assert talk.turn(value("4 - x")).record.event == "described"


def test_every_description_is_confirmed_if_and_only_if_it_makes_the_side() -> None:
    """Tried with numbers: what was told is done to 5, 7 and 11, and the side worked out for them."""
    numbers = [read_expression(text) for text in ("2", "3", "4", "-1", "-3", "1/2")]
    actions = ("add", "subtract", "multiply", "divide", "take from")
    single = [Done(action, number) for action, number in product(actions, numbers)]  # type: ignore[arg-type]
    for text in ("4 - x = 9", "3x + 2 = 11", "2 - 3x = 8", "x/2 - 3 = 4", "(x + 4)/2 = 5", "-x = 4", "2(x - 3) = 8"):
        equation = read_equation(text)
        longest = len(operations_on(equation))
        for told_in in (*((one,) for one in single), *product(single, repeat=2)):
            if len(told_in) > longest + 1:
                continue
            makes = all(_done(told_in, Fraction(n)) == value_at(equation.left, Fraction(n)) for n in (5, 7, 11))
            assert describes(told_in, equation) is makes, (text, told_in)


def _done(told_in: tuple[Done, ...], number: Fraction) -> Fraction:
    """What comes of a number once all this is done to it."""
    for one in told_in:
        amount = Fraction(linear(one.operand).constant)
        match one.action:
            case "add":
                number += amount
            case "subtract":
                number -= amount
            case "multiply":
                number *= amount
            case "divide":
                number /= amount
            case "take from":
                number = amount - number
    return number
