"""Two laws of a turn: the operation beside "undo" is done as named, and a mixed number is never its whole part."""

from fractions import Fraction
from itertools import product

import pytest

from dialogue.acts import Act, Expecting, Value, Work
from dialogue.algebra.equation import Equation
from dialogue.algebra.linear import linear
from dialogue.algebra.moves import INVERSE, Line, Move, Operation
from dialogue.understanding.interpret import interpret

NAMED: dict[Operation, tuple[str, ...]] = {
    "add": ("add {n}", "add {n} to both sides"),
    "subtract": ("subtract {n}", "take away {n}", "minus {n}"),
    "multiply": ("times by {n}", "multiply by {n}"),
    "divide": ("divide by {n}", "divide both sides by {n}"),
}
BESIDE = ("undo?? {}", "undo: {}", "undo it, {}", "to undo it {}", "to undo that you {}", "undo! {}")
MIXED = (
    ("{w} {a}/{b}", "{w} and {a}/{b}", "{words} and {parts}", "{w} and {parts}")
)  # fmt: skip
PARTS = {Fraction(1, 2): "a half", Fraction(3, 4): "three quarters", Fraction(2, 3): "two thirds"}
WHOLES = {2: "two", 4: "four", 13: "thirteen", 27: "twenty seven"}
AROUND: tuple[tuple[str, Expecting], ...] = (
    ("{}", "value"), ("yes {}", "value"), ("yes {}", "yesno"), ("n = {}", "move"), ("n is {}", "any"),
    ("its {}", "value"),
    ("i think {}", "value"), ("{} i got", "value"), ("um {}?", "value"), ("divide by 5 so n = {}", "move"),
    ("no its {}", "value"), ("not 3, {}!", "value"), ("is it {}?", "move"), ("add {} to both sides", "move"),
)  # fmt: skip


@pytest.mark.parametrize("operation", NAMED)
@pytest.mark.parametrize("beside", BESIDE)
def test_the_operation_named_apart_from_undo_is_the_one_meant(operation: Operation, beside: str) -> None:
    for named, asked in product(NAMED[operation], ("move", "term")):
        found = interpret(beside.format(named.format(n=3)), asked, "n")
        moves = [act for act in found.acts if isinstance(act, Move)]
        assert [move.operation for move in moves] == [operation], (beside, named)


@pytest.mark.parametrize("operation", NAMED)
def test_a_thing_done_is_undone(operation: Operation) -> None:
    things = {"add": "plus 3", "subtract": "minus 3", "multiply": "times 3", "divide": "divided by 3"}
    for said in (f"undo the {things[operation]}", f"undo {things[operation]}"):
        found = interpret(said, "move", "n")
        assert found.sure and [getattr(act, "operation", None) for act in found.acts] == [INVERSE[operation]], said


@pytest.mark.parametrize("said", ["undo divide by 3", "undo add 3", "undo take away 3"])
def test_what_may_be_either_is_asked_back(said: str) -> None:
    assert not interpret(said, "move", "n").sure


@pytest.mark.parametrize(("around", "asked"), AROUND)
@pytest.mark.parametrize("written", MIXED)
def test_a_mixed_number_is_never_its_whole_part(around: str, asked: Expecting, written: str) -> None:
    for (whole, words), (part, parts) in product(WHOLES.items(), PARTS.items()):
        number = written.format(w=whole, words=words, a=part.numerator, b=part.denominator, parts=parts)
        said = around.format(number)
        found = interpret(said, asked, "n")
        numbers = [value for act in found.acts for value in _numbers(act)]
        assert whole + part in numbers, (said, found.acts)
        assert Fraction(whole) not in numbers and part not in numbers, (said, found.acts)


def _numbers(act: Act) -> list[Fraction]:
    match act:
        case Value(value) | Move(_, value) | Line(Equation(_, value)) | Work(_, value):
            return [Fraction(linear(value).constant)]
    return []


@pytest.mark.parametrize(
    ("said", "asked"),
    [("4 times 4 1/2 is 18 plus 5 is 23", "value"), ("not 4, 4 and a half! 4 times 4 1/2 is 18 plus 5 is 23", "value")],
)
def test_a_sum_with_a_mixed_number_is_right(said: str, asked: Expecting) -> None:
    found = interpret(said, asked, "n")
    works = [act for act in found.acts if isinstance(act, Work)]
    assert all(linear(work.left) == linear(work.right) for work in works), found.acts
    assert Fraction(23) in [value for act in found.acts for value in _numbers(act)], found.acts


def test_any_sign_has_a_meaning() -> None:
    assert interpret("0²", "any", "x").acts
