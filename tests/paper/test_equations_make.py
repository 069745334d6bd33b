"""``chattutor equations make``: JSON lines of a stage, reproducible, nothing else on standard output."""

import json
import re
from fractions import Fraction
from itertools import pairwise

import pytest
from processes import chattutor

from dialogue.algebra import with_sympy
from dialogue.algebra.equation import read_equation

MADE = ("equations", "make")


@pytest.mark.parametrize("stage", [1, 8, 15])
def test_a_line_an_equation_each_with_the_solution_sympy_finds(stage: int) -> None:
    done = chattutor(*MADE, "--stage", str(stage), "--count", "20", "--seed", "7", "--json")
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert (done.returncode, done.stderr, len(rows)) == (0, "", 20)
    assert len({row["equation"] for row in rows}) == 20
    for row in rows:
        assert set(row) == {"stage", "equation", "solution"} and row["stage"] == stage
        assert row["equation"].isascii()
        found = with_sympy.solution(read_equation(row["equation"]))
        words = {"none": "no solution", "every": "all numbers"}
        assert row["solution"] == words.get(found.kind, str(found.value))
        assert found.value is None or Fraction(row["solution"]) == found.value


def test_the_same_seed_gives_the_same_bytes_and_another_gives_others() -> None:
    one, again, other = (chattutor(*MADE, "--stage", "6", "--seed", seed, "--json").stdout for seed in ("3", "3", "4"))
    assert one == again != other


def test_without_json_it_is_a_file_that_check_accepts(tmp_path: object) -> None:
    path = f"{tmp_path}/set.txt"
    with open(path, "w", encoding="utf-8") as out:
        out.write(chattutor(*MADE, "--stage", "10", "--count", "8").stdout)
    done = chattutor("equations", "check", path)
    assert (done.returncode, done.stdout) == (0, "8 equations can be used, 0 lines cannot.\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--stage", "16"), "There are stages 1 to 15, and 16 is not one of them."),
        (("--stage", "six"), "not a stage number"),
        (("--stage", "3,16"), "There are stages 1 to 15, and 16 is not one of them."),
        (("--stage", "3-"), "not a stage number"),
        (("--stage", "6-3"), "names no stage"),
        (("--stage", "6", "--count", "0"), "a whole number from 1 to 100000"),
        ((), "--stage"),
    ],
)
def test_what_cannot_be_made_is_said_in_one_line(words: tuple[str, ...], said: str) -> None:
    done = chattutor(*MADE, *words, "--json")
    assert done.returncode == 2 and done.stdout == ""
    assert said in done.stderr and len(done.stderr.splitlines()) == 1


def test_the_stages_are_listed_with_their_curriculum() -> None:
    done = chattutor("equations", "stages")
    assert (done.returncode, done.stderr) == (0, "")
    assert len(done.stdout.splitlines()) == 45
    assert " 6  Two steps                   4n + 9 = 37           n = 7" in done.stdout
    rows = [json.loads(line) for line in chattutor("equations", "stages", "--json").stdout.splitlines()]
    assert [row["stage"] for row in rows] == list(range(1, 16))
    for row in rows:
        assert str(with_sympy.solution(read_equation(row["sample"])).value) == row["answer"]
        assert "England KS3" in row["curriculum"]


def test_several_stages_come_in_turn_and_no_answer_twice_running() -> None:
    done = chattutor(*MADE, "--stage", "3,5-6", "--count", "30", "--json")
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert [row["stage"] for row in rows] == [3, 5, 6] * 10
    assert all(one["solution"] != other["solution"] for one, other in pairwise(rows))


def test_no_equation_of_several_stages_comes_again_turned_round_or_with_another_letter() -> None:
    """Drawn apart, stages 3 and 5 gave 3k = 60 and 60 = 3t with this seed."""
    done = chattutor(*MADE, "--stage", "3,5,6", "--count", "60", "--seed", "1")
    equations = [re.sub("[a-z]", "x", line).split(" = ") for line in done.stdout.splitlines()[1:]]
    assert len({frozenset(sides) for sides in equations}) == len(equations) == 60


def test_in_words_each_equation_has_a_story_above_it_and_check_still_reads_the_file(tmp_path: object) -> None:
    made = chattutor(*MADE, "--stage", "10", "--count", "6", "--words").stdout
    lines = made.splitlines()[1:]
    assert all(line.startswith("# ") and "? Let " in line for line in lines[::2]) and len(lines) == 12
    assert len({line.split(".")[0].strip("# 0123456789") for line in lines[::2]}) >= 3  # not one story six times
    path = f"{tmp_path}/set.txt"
    with open(path, "w", encoding="utf-8") as out:
        out.write(made)
    assert chattutor("equations", "check", path).stdout == "6 equations can be used, 0 lines cannot.\n"
