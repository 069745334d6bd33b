"""Numbers that reveal thinking: what each wrong rule makes of the equations drawn."""

from fractions import Fraction

import pytest

from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions.answers import wrong_answers
from dialogue.learner.diagnostic import clashes
from dialogue.learner.families import draw
from dialogue.learner.stages import Family, stage, stages
from dialogue.learner.wrong_answer_paths import compared, first_answers

FAMILIES = [(each.number, family) for each in stages() for family in each.families]


def named(value: object) -> str:
    """A readable test id."""
    return value.name if isinstance(value, Family) else str(value)


def clash(text: str) -> tuple[tuple[str, ...], ...]:
    equation = read_equation(text)
    crossed = [frozenset({"opposite-on-other-side", "transfer-without-sign-change", "same-operation"})]
    crossed += [frozenset({"multiply-instead-of-divide", "same-operation"})]
    return clashes(equation, equation.solution(), coincide=crossed)


def test_equations_known_to_hide_an_error_are_found() -> None:
    """Worked by hand: 4 - 2 is 2 and 4 over 2 is 2; 4.5 - 3 is 1.5 and 4.5 over 3 is 1.5; 3 over 3 is 1 either way."""
    assert ("subtract-coefficient",) in clash("2x = 4")
    assert ("subtract-coefficient",) in clash("3x = 4.5")
    assert ("reciprocal-division",) in clash("3x = 3")
    assert clash("4n = 52") == ()


def test_two_errors_with_one_answer_are_found() -> None:
    """2x + 6 = 10: adding the six again gives 2x = 16, and multiplying 2x = 4 by two gives 8 as well."""
    assert ("multiply-instead-of-divide", "opposite-on-other-side") in clash("2x + 6 = 10")
    assert ("subtract-coefficient",) in clash("2x + 6 = 10")  # 4 - 2 is 2, which is right


@pytest.mark.parametrize(
    ("text", "error", "value"),
    [  # worked by hand from the rule's example in the table of errors
        ("x + 9 = 14", "opposite-on-other-side", "23"),
        ("x + 9 = 14", "one-side-only", "14"),
        ("3x = 12", "subtract-coefficient", "9"),
        ("4x = 2", "reciprocal-division", "2"),
        ("4x = 36", "multiply-instead-of-divide", "144"),
        ("x/8 = 2", "divide-instead-of-multiply", "1/4"),
        ("3x + 2 = 20", "combine-unlike-terms", "4"),
        ("x/2 + 3 = 7", "order-reversed", "11"),
        ("2(x + 3) = 11", "partial-distribution", "4"),
    ],
)
def test_first_answers(text: str, error: str, value: str) -> None:
    assert first_answers(read_equation(text))[error] == Fraction(value)


def test_slips_are_not_compared() -> None:
    assert not compared() & {"arithmetic-slip", "decimal-point-slip", "number-line"}
    assert {"subtract-coefficient", "combine-unlike-terms", "order-reversed"} <= compared()


@pytest.mark.parametrize("number", [each.number for each in stages()])
def test_no_equation_of_a_lesson_hides_an_error_or_confuses_two(number: int) -> None:
    """40 of each stage; thousands of every family are in ``tests/bench/bench_families.py``."""
    for task in draw(number, 100, 40):
        family = stage(number).family(task.family)
        assert clashes(task.equation, task.solution, family.hides, family.coincide) == (), task.equation.text()


@pytest.mark.parametrize("number", [each.number for each in stages()])
def test_nor_does_one_drawn_later(number: int) -> None:
    """The 400th to 415th of a drawing, of which only the usual ways were tried."""
    for task in draw(number, 12, 415)[400:]:
        family = stage(number).family(task.family)
        assert clashes(task.equation, task.solution, family.hides, family.coincide) == (), task.equation.text()


@pytest.mark.parametrize(("number", "family"), FAMILIES, ids=named)
def test_what_a_form_is_said_to_force_it_forces(number: int, family: Family) -> None:
    """Every error listed as hidden gives the right answer, and every group one answer, in all equations drawn."""
    drawn = [task for task in draw(number, 7, 50) if task.family == family.name][:8]
    assert drawn
    for task in drawn:
        found = first_answers(task.equation)
        for error in family.hides:
            assert found.get(error, task.solution.value) == task.solution.value, (error, task.equation.text())
        for group in family.coincide:
            assert group <= found.keys()
            assert len({found[error] for error in group}) == 1, (group, task.equation.text())


@pytest.mark.parametrize("number", range(1, 14))
def test_first_answers_are_those_of_the_table_of_errors(number: int) -> None:
    for task in draw(number, 3, 10):
        whole = wrong_answers(task.equation)
        for error, value in first_answers(task.equation).items():
            assert value == whole[error][0], (error, task.equation.text())
