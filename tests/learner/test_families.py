"""The fifteen stages: their samples, their numbers, their sets of five, and that no two equations are the same."""

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from itertools import islice, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dialogue.algebra import with_sympy
from dialogue.algebra.equation import read_equation
from dialogue.algebra.tree import Number, walk
from dialogue.learner.families import DrawnTask, draw, drawing
from dialogue.learner.stages import stage, stages, unknown_letters

NUMBERS = [each.number for each in stages()]
SHEETS, SOME_SHEETS = range(40), range(20)  # thousands of every family: tests/bench/bench_families.py
LONG = 5  # the seed of the one drawing of each stage that is looked at far along
CURRICULUM = {"6.EE.B.7", "7.EE.B.4a", "7.EE.A.1", "8.EE.C.7a", "8.EE.C.7b", "A-REI.B.3", "England KS3"}


@cache
def _begun(number: int, seed: int) -> tuple[list[DrawnTask], Iterator[DrawnTask]]:
    return [], drawing(number, seed)


def drawn(number: int, seed: int, count: int) -> list[DrawnTask]:
    """As ``draw``, each equation drawn once for all laws: how many come after does not change the first."""
    so_far, more = _begun(number, seed)
    so_far += islice(more, max(0, count - len(so_far)))
    return so_far[:count]


def test_there_are_fifteen_in_order() -> None:
    assert list(range(1, 16)) == NUMBERS


@pytest.mark.parametrize("number", NUMBERS)
def test_the_sample_has_its_answer_by_sympy(number: int) -> None:
    each = stage(number)
    assert with_sympy.solution(read_equation(each.sample)).value == Fraction(each.answer)


@pytest.mark.parametrize("number", NUMBERS)
def test_the_curriculum_is_named_and_the_ideas_are_known(number: int) -> None:
    """Identifiers: corestandards.org, Mathematics, 2010; National curriculum in England, mathematics, 2013."""
    assert set(stage(number).curriculum) <= CURRICULUM and "England KS3" in stage(number).curriculum
    assert stage(number).ideas
    assert {idea for each in stages() for idea in each.ideas} == {
        "inverse",
        "both-sides",
        "order",
        "collecting",
        "signs",
        "brackets",
        "fractions",
    }


@pytest.mark.parametrize("number", NUMBERS)
def test_every_equation_has_the_solution_sympy_finds(number: int) -> None:
    for task in drawn(number, LONG, 50):
        assert with_sympy.solution(task.equation) == task.solution
        assert read_equation(task.equation.text()) == task.equation


@pytest.mark.parametrize("number", NUMBERS)
def test_no_equation_comes_twice_even_past_the_classroom_numbers(number: int) -> None:
    texts = [task.equation.text() for task in drawn(number, LONG, 300)]
    assert len(set(texts)) == 300


@pytest.mark.parametrize("number", NUMBERS)
def test_but_for_the_set_of_five_no_equation_comes_again_with_another_letter(number: int) -> None:
    some = drawn(number, LONG, 250)
    alike = {task.equation.text().replace(task.equation.letter, "n") for task in some if task.variation == "mixed"}
    assert len(alike) == sum(task.variation == "mixed" for task in some)


@settings(max_examples=15, deadline=None)
@given(st.sampled_from(NUMBERS), st.integers(0, 10**9), st.integers(1, 30), st.integers(0, 30))
def test_a_drawing_is_reproducible_and_grows_only_at_its_end(number: int, seed: int, count: int, more: int) -> None:
    assert draw(number, seed, count + more)[:count] == draw(number, seed, count)


def test_other_seeds_give_other_equations() -> None:
    assert len({draw(6, seed, 1)[0].equation.text() for seed in range(40)}) > 30


@pytest.mark.parametrize("number", NUMBERS)
def test_coefficient_constant_and_answer_differ(number: int) -> None:
    """All numbers of an equation and its answer differ in size, but for the pairs its form needs equal."""
    for task in drawn(number, LONG, 100):
        family = stage(number).family(task.family)
        shown = [part.value for side in task.equation.sides() for part in walk(side) if isinstance(part, Number)]
        sizes = set(shown) | ({abs(task.solution.value)} if task.solution.value is not None else set())
        expected = len(set(task.numbers) - (set() if task.solution.value is not None else {"x"}))
        assert len(sizes) == expected - len(family.alike), task.equation.text()


@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("seed", range(3))
def test_a_set_of_five_changes_one_feature_at_a_time(number: int, seed: int) -> None:
    """Each equation differs from the one before in its form, or in its letter, or in one number that is written (and in
    what follows from it); and always in its answer. A change of form or letter holds the numbers that both forms choose
    and the new one allows."""
    five = drawn(number, seed, 5)
    assert [task.variation == "" for task in five] == [True, False, False, False, False]
    for before, task in pairwise(five):
        assert before.solution != task.solution, (before.equation.text(), task.equation.text())
        written = [name for name in task.numbers if name != "x"]
        changed = [
            before.family != task.family,
            before.equation.letter != task.equation.letter,
            before.family == task.family and task.variation.startswith("another number"),
        ]
        assert sum(changed) == 1, (before.equation.text(), task.equation.text())
        if changed[2]:
            moved = [name for name in written if before.numbers[name] != task.numbers[name]]
            assert moved == [task.variation.split()[-1]], (before.equation.text(), task.equation.text())


@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("seed", range(4))
def test_no_answer_comes_twice_running(number: int, seed: int) -> None:
    for before, task in pairwise(drawn(number, seed, 25)):
        assert before.solution != task.solution, (before.equation.text(), task.equation.text())


@pytest.mark.parametrize("number", range(1, 7))
def test_early_stages_have_gentle_numbers(number: int) -> None:
    """No number over a hundred, in the equation or as its answer, in the first forty of several drawings."""
    for seed in range(4):
        for task in drawn(number, seed, 40):
            assert max(abs(value) for value in task.numbers.values()) < 100, task.equation.text()


def test_constants_are_subtracted_too_in_stages_11_to_14() -> None:
    for number in range(11, 15):
        subtracted = sum("subtracted" in task.family for task in drawn(number, 1, 60)[5:])
        assert 10 <= subtracted <= 45, number


def test_few_equations_of_stage_15_have_no_number() -> None:
    """One of the set of five, at times with none and at times with every number; of the rest about one in ten."""
    sheets = [[task.solution.kind for task in drawn(15, seed, 60)] for seed in range(6)]
    assert {tuple(sorted(set(sheet[:5]))) for sheet in sheets} == {("none", "one"), ("every", "one")}
    assert all(sheet[:5].count("one") == 4 for sheet in sheets)
    rest = [kind for sheet in sheets for kind in sheet[5:]]
    assert {"none", "every"} < set(rest) and rest.count("one") > 0.85 * len(rest)


def test_after_the_set_the_forms_are_mixed() -> None:
    mixed = drawn(7, 3, 40)[5:]
    assert {task.family for task in mixed} == {family.name for family in stage(7).families}
    assert {task.equation.letter for task in mixed} == set(unknown_letters())


def kinds(task: DrawnTask) -> str:
    """What kind of answer it has."""
    value = task.solution.value
    if value is None:
        return task.solution.kind
    return "zero" if value == 0 else "negative" if value < 0 else "whole" if value.denominator == 1 else "fraction"


ANSWERS = {
    **{number: {"whole"} for number in NUMBERS},
    5: {"whole", "fraction", "negative"},
    8: {"whole", "fraction", "negative"},
    14: {"fraction", "negative", "zero"},
    15: {"whole", "none", "every"},
}


@pytest.mark.parametrize("number", NUMBERS)
def test_the_kinds_of_answer_are_those_the_stage_announces(number: int) -> None:
    assert {kinds(task) for task in drawn(number, LONG, 80)} == ANSWERS[number]


SHEET = 8  # equations
SUBTRACTED = re.compile(r"- \d+(?![\d*])")


@pytest.mark.parametrize("number", [11, 12, 13, 14])
def test_subtracted_constants_come_often_enough_on_every_sheet(number: int) -> None:
    """4n - 7 as well as 4n + 7: on every sheet at least two, and two in five or more of all equations."""
    sheets = [[bool(SUBTRACTED.search(task.equation.text())) for task in drawn(number, seed, SHEET)] for seed in SHEETS]
    assert min(map(sum, sheets)) >= 2
    assert 0.4 <= sum(map(sum, sheets)) / (len(sheets) * SHEET) <= 0.6


@pytest.mark.parametrize("number", NUMBERS)
def test_sheets_have_gentle_numbers_and_no_answer_again_at_once(number: int) -> None:
    """Up to 100: a choice."""
    for seed in SHEETS if 11 <= number <= 14 else SOME_SHEETS:
        sheet = drawn(number, seed, SHEET)
        assert all(before.solution != task.solution for before, task in pairwise(sheet)), seed
        written = [abs(value) for task in sheet for name, value in task.numbers.items() if name != "x"]
        assert max(written) <= 100, seed


def test_number_choices_of_the_stages() -> None:
    """The conditions of practising teachers: common practice, no source."""
    for task in drawn(1, LONG, 300):
        assert task.numbers["b"] >= 12 and task.numbers["x"] >= 12  # two digits, not to be spotted
    for task in drawn(2, LONG, 300):
        assert task.numbers["x"] > max(task.numbers["b"], task.numbers["c"])
    for task in drawn(3, LONG, 60):
        assert task.numbers["x"] > 12  # past the tables
    for task in drawn(6, LONG, 300):
        assert (task.numbers["b"] / task.numbers["a"]).denominator != 1
    for task in drawn(11, LONG, 300):
        assert min(task.numbers.values()) > 0 and task.numbers["a"] > task.numbers["d"]
    for task in drawn(12, LONG, 300):
        assert min(task.numbers.values()) > 0 and task.numbers["a"] < task.numbers["d"]


def test_contrasts_hold_the_numbers() -> None:
    times, divided = drawn(3, 1, 1)[0], drawn(4, 1, 1)[0]
    beside, other = times.contrast(), divided.contrast()
    assert beside is not None and other is not None
    assert beside.text() == f"n + {times.numbers['a']} = {times.numbers['c']}"
    assert other.text() == f"{divided.numbers['a']}*n = {divided.solution.value}"
    assert drawn(6, 1, 1)[0].contrast() is None


@pytest.mark.parametrize("number", [0, 16, -1])
def test_a_stage_that_does_not_exist(number: int) -> None:
    with pytest.raises(ValueError, match="stages 1 to 15"):
        draw(number, 1, 1)
