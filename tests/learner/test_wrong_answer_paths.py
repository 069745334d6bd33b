"""The quick proof goes only the ways remembered, and must say what trying every rule on every line says."""

from functools import cache
from itertools import islice

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dialogue.algebra.board import board_of
from dialogue.algebra.misconceptions.right_steps import right_lines
from dialogue.learner.families import draw, drawing
from dialogue.learner.stages import stages
from dialogue.learner.wrong_answer_paths import UsualWays, compared, first_answers, first_ways, order, path_to

NUMBERS = [each.number for each in stages()]


@pytest.mark.parametrize("number", NUMBERS)
def test_paths_sort_as_the_search_comes_upon_their_lines(number: int) -> None:
    for task in draw(number, 4, 8):
        paths = [path_to(reached) for reached in right_lines(board_of(task.equation))]
        assert paths[0] == () and len(set(paths)) == len(paths)
        assert sorted(paths, key=order) == paths, task.equation.text()


@pytest.mark.parametrize("number", NUMBERS)
def test_the_usual_ways_lead_to_the_first_answers(number: int) -> None:
    """Learnt from 60 equations, they give in the next 40 what trying everything gives: in all stages but the last all
    of it; of the last, where one family's numbers open and close ways, at least 99 answers in 100."""
    ways: dict[str, UsualWays] = {}
    told = missed = 0
    for place, task in enumerate(draw(number, 21, 100)):
        own = ways.setdefault(task.family, UsualWays())
        if place < 60:
            assert own.learn(task.equation) == first_answers(task.equation)
            continue
        found, all_of_them = own.answers(task.equation), first_answers(task.equation)
        told += len(all_of_them)
        missed += sum(found.get(error) != value for error, value in all_of_them.items())
        assert found.keys() <= all_of_them.keys()
    assert missed == 0 if number < 15 else missed * 100 < told


@cache
def learnt(number: int) -> dict[str, UsualWays]:
    ways: dict[str, UsualWays] = {}
    for task in draw(number, 1, 60):
        ways.setdefault(task.family, UsualWays()).learn(task.equation)
    return ways


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(NUMBERS[:-1]), st.integers(0, 10**6), st.integers(0, 12))
def test_the_quick_proof_agrees_with_the_whole_one_whatever_is_drawn(number: int, seed: int, more: int) -> None:
    """One equation from a drawing of any seed, its ways learnt from another drawing."""
    task = next(islice(drawing(number, seed), more, None))
    assert learnt(number)[task.family].answers(task.equation) == first_answers(task.equation), task.equation.text()


def test_every_way_is_of_an_error_compared() -> None:
    for task in draw(15, 2, 20):
        assert first_ways(task.equation).keys() <= compared()
