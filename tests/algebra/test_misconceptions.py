"""What explains a step: published wrong lines, judged steps, and what must never be blamed."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from judged_steps import DATA, outcomes, totals

from dialogue.algebra.board import board_of, equation_from
from dialogue.algebra.equation import Equation, read_equation
from dialogue.algebra.misconceptions import explain, search
from dialogue.algebra.misconceptions.right_steps import right_lines
from dialogue.algebra.moves import Line, Move, Rewrite, Verdict
from dialogue.algebra.reading import read_expression
from dialogue.algebra.solver import solve_by_steps
from dialogue.judgement import judge


def named(equation: str, line: str) -> list[str]:
    before = read_equation(equation)
    return [one.error for one in explain(before, Line(read_equation(line, before.letter)))]


# Equation facts of the MaE data set (Otero, Druga & Lan 2024, arXiv:2412.03765, MIT licence), each with the study
# the data set cites: equation, wrong line, and the error that must be among those named (first, where marked).
MAE = [
    ("13*n + 196 = 391", "13*n = 196 - 391", "reversed-subtraction"),  # MaE33-1, Linchevski & Herscovics 1996
    ("13*n + 196 = 391", "13*n = -195", "reversed-subtraction"),  # the same, worked out
    ("16*n - 215 = 265", "16*n = 265 - 215", "transfer-without-sign-change"),  # MaE33-3
    ("16*n - 215 = 265", "n = 25/8", "transfer-without-sign-change"),
    ("x + 4 = 2", "x = 2", "sign-drop"),  # MaE49-3, Vlassis 2008: a negative solution refused
    ("7 - (1/2)*n = 18", "n = 22", "sign-drop"),  # MaE52-1, Perrenet & Wolters 1994
    ("-(1/2)*n = 11", "n = 22", "sign-drop"),
    ("t - 24 = 23*t", "-24 = 24*t", "transfer-without-sign-change"),  # MaE52-2
    ("2*x + x = 24", "x = 2", "coefficient-as-digit"),  # MaE55-1, Ashlock 2006
    ("3*x + 2*x = 50", "x = 0", "coefficient-as-digit"),  # MaE55-2
    ("5*x + 6*x = 110", "x = 0", "coefficient-as-digit"),  # MaE55-3
    ("-8 - 3 = x", "x = 11", "like-terms-sign"),  # MaE32-4, Bishop et al. 2016
    ("23 = 2 + 5 + x + 4 + 6", "40 = x", "transfer-without-sign-change"),  # MaE31-2, Warren 2003
    # rows about expressions, as one side of an equation
    ("x = -8 + 6", "x = 2", "like-terms-sign"),  # MaE18-1, Ashlock 2006
    ("x = 5 - 9", "x = 4", "like-terms-sign"),  # MaE18-2
    ("x = 7 - 2", "x = -5", "like-terms-sign"),  # MaE18-3
    ("x = 4 - 3", "x = 7", "like-terms-sign"),  # MaE18-4
    ("x = -6 - 8", "x = 2", "like-terms-sign"),  # MaE19-1
    ("x = -8 - 3", "x = 5", "like-terms-sign"),  # MaE19-2
    ("x = -4 - 3", "x = 7", "like-terms-sign"),  # MaE19-3
    ("x = -2 - 5", "x = 7", "like-terms-sign"),  # MaE19-4
]

# Out of reach, and why (MaE ids): two errors in one line whose second is a slip (33-4, 32-1, 49-1), a step that
# multiplies by a number that is subtracted (52-3), order of operations with no unknown (34-1, 34-2), division turned
# round with no unknown (31-3), no wrong step (33-2, 52-4, 55-4), words into symbols, substitution and concepts
# (45, 34-4, 04, 46, 53, 54, 51, 47).
OUT_OF_REACH = [
    ("19*n + 67 - 11*n - 48 = 131", "n = 72"),  # MaE33-4
    ("m - 3 = 4*m", "m = 3*m"),  # MaE52-3
    ("x + 1 - 3 + 1 - 1 + 2 - 1 = 6", "x = 15"),  # MaE32-1
    ("44 = 14 + 2*x + x", "x = 5"),  # MaE49-1
]


@pytest.mark.parametrize(("equation", "line"), OUT_OF_REACH)
def test_out_of_reach(equation: str, line: str) -> None:
    """Listed so that a rule which comes to explain one of them is noticed, and moved up."""
    likely = [one for one in explain(read_equation(equation), Line(read_equation(line))) if one.weight > 0.01]
    assert not likely


@pytest.mark.parametrize(("equation", "line", "error"), MAE)
def test_published_wrong_lines(equation: str, line: str, error: str) -> None:
    assert error in named(equation, line)


# Rules as the literature states them (wrong rules in errors.toml, each with its study), numbers ours; the first named.
RULES = [
    ("x + 17 = 40", "x = 57", "opposite-on-other-side"),
    ("x + 17 = 40", "x = 40 + 17", "transfer-without-sign-change"),
    ("x + 17 = 40", "x = 40", "one-side-only"),
    ("x - 4 = 13", "x = 9", "opposite-on-other-side"),  # Booth & Koedinger 2008: 4 taken from x - 4 = 13
    ("7*x = 91", "x = 84", "subtract-coefficient"),
    ("8*x = 6", "x = 4/3", "reciprocal-division"),
    ("5*x + 20 = 45", "x + 20 = 9", "divide-one-term-only"),
    ("x/5 + 4 = 9", "x + 4 = 45", "multiply-one-term-only"),
    ("3*x + 8 = 44", "11*x = 44", "combine-unlike-terms"),
    ("5 + x = 30", "5*x = 30", "combine-unlike-terms"),  # Booth et al. 2014: 5 + x as 5x
    ("4*(x + 7) = 60", "4*x + 7 = 60", "partial-distribution"),
    ("-4*(x - 7) = 60", "-4*x - 28 = 60", "distribution-sign"),
    ("50 - (x + 7) = 30", "50 - x + 7 = 30", "distribution-sign"),
    ("4*x - 9*x = 35", "5*x = 35", "like-terms-sign"),
    ("-5*x = 60", "x = 12", "sign-drop"),
    ("3*x + 8 = 44", "x = 20/3", "order-reversed"),
    ("6*x = 42", "x = 252", "multiply-instead-of-divide"),
    ("2*x/3 = 9", "x = 6", "multiply-instead-of-divide"),  # reciprocal not inverted
    ("x/4 = 20", "x = 5", "divide-instead-of-multiply"),
    ("x + 38 = 91", "x = 35", "arithmetic-slip"),
    ("0.05*x = 3", "x = 6", "decimal-point-slip"),
    ("6*x = 4*x", "6 = 4", "divide-by-unknown"),
    ("3*x + 2 = 3*x + 9", "x = 0", "zero-solution-confusion"),
    ("30 - x = 12", "x - 30 = 12", "turned-difference"),  # Herscovics & Linchevski 1994: 23 = 37 - n read backwards
    ("115 - n + 9 = 61", "115 - n - 9 = 61", "detached-minus"),  # Herscovics & Linchevski 1994: 115 - n + 9
    ("5*x = 12 + 3*x", "5*x = 15", "unknown-as-number"),  # Sleeman 1984: numbers collected, coefficients or not
]


@pytest.mark.parametrize(("equation", "line", "error"), RULES)
def test_documented_rules_come_first(equation: str, line: str, error: str) -> None:
    assert named(equation, line)[0] == error


def test_precedence_of_the_common_list() -> None:
    """like-terms-sign and distribution-sign before sign-drop; slips after all others."""
    assert named("4*x - 9*x + 2 = 12", "5*x + 2 = 12")[0] == "like-terms-sign"
    both = named("-6*(x + 1) = 24", "6*x + 6 = 24")
    assert both.index("distribution-sign") < both.index("sign-drop") if "sign-drop" in both else True
    assert named("4*n = 8", "n = 4") == ["subtract-coefficient", "arithmetic-slip"]


def test_what_is_not_worked_out_holds_no_slip() -> None:
    """-195 may be a slip of sign; 196 - 391 shows which way round it was taken."""
    assert named("13*n + 196 = 391", "13*n = 196 - 391") == ["reversed-subtraction"]
    assert named("13*n + 196 = 391", "13*n = -195")[0] == "arithmetic-slip"


@pytest.mark.parametrize(
    ("equation", "line"),
    [
        ("3*x + 2 = 23", "x = 40"),
        ("9*y = 117", "y = 41"),
        ("4*(x + 3) = 44", "x = 103"),
        ("6*t + 5 = 41", "6*t = 6*t + 5 - 5 + 41 - 41"),
    ],
)
def test_unexplained_is_an_answer(equation: str, line: str) -> None:
    assert named(equation, line) == []


MOVES = [
    ("x + 9 = 14", "add", "9", "both", ["same-operation"]),
    ("x + 9 = 14", "subtract", "9", "both", []),
    ("x + 9 = 14", "subtract", "9", "left", ["one-side-only"]),
    ("x + 9 = 14", "add", "9", "left", ["one-side-only", "same-operation"]),
    ("x + 9 = 14", "add", "0", "left", []),
    ("8*y = 72", "multiply", "8", "both", ["same-operation", "multiply-instead-of-divide"]),
    ("y/8 = 72", "divide", "8", "unsaid", ["same-operation", "divide-instead-of-multiply"]),
    ("y/8 = 72", "multiply", "8", "both", []),
    ("-y = 5", "multiply", "-1", "both", []),
    ("4*x = 20", "multiply", "-1", "both", []),
    ("23 - 4*x = 3", "subtract", "4*x", "both", ["same-operation"]),
    ("23 - 4*x = 3", "add", "4*x", "both", []),
    ("11 - 2*y = 3*y + 1", "add", "3*y", "both", ["same-operation"]),
    ("x + 8 = 20", "add", "x", "both", []),
    ("9*a = 0", "divide", "a", "both", ["divide-by-unknown"]),
    ("4*x = 8", "divide", "0", "both", ["divide-by-zero"]),
    ("4*x = 8", "divide", "0", "left", ["divide-by-zero"]),
    ("4*x = 8", "multiply", "0", "both", []),
    ("4*x = 8", "transfer", "4", "unsaid", []),
]


@pytest.mark.parametrize(("equation", "operation", "operand", "sides", "errors"), MOVES)
def test_moves(equation: str, operation: str, operand: str, sides: str, errors: list[str]) -> None:
    move = Move(operation, read_expression(operand), sides)  # type: ignore[arg-type]
    assert [one.error for one in explain(read_equation(equation), move)] == errors


VERDICTS = [
    ("8*x + 5 = 5", "none", ["zero-solution-confusion"]),
    ("8*x + 5 = 5", "every", ["zero-solution-confusion"]),
    ("7*k = 2*k", "none", ["divide-by-unknown", "zero-solution-confusion"]),
    ("2*x + 1 = 2*x + 1", "none", ["zero-solution-confusion"]),
    ("2*x + 1 = 2*x + 4", "every", ["zero-solution-confusion"]),
    ("2*x + 1 = 2*x + 4", "none", []),
    ("x + 9 = 4", "none", ["solution-refused"]),  # Vlassis 2008 in MaE49-3: a negative solution refused
    ("x + 4 = 9", "none", []),
]


@pytest.mark.parametrize(("equation", "kind", "errors"), VERDICTS)
def test_verdicts(equation: str, kind: str, errors: list[str]) -> None:
    assert [one.error for one in explain(read_equation(equation), Verdict(kind))] == errors  # type: ignore[arg-type]


def equations(seed: int) -> Equation:
    """An equation of a random form with random numbers."""
    draw = random.Random(seed)
    a, b, c, d = (draw.randint(2, 30) for _ in range(4))
    form = draw.choice(
        (
            "{a}*x + {b} = {c}",
            "x/{a} - {b} = {c}",
            "{a} - {b}*x = {c}",
            "{a}*(x - {b}) = {c}",
            "{a}*x + {b} = {c}*x - {d}",
            "{a}*x - {b}*x + {c} = {d}",
            "(x + {a})/{b} + {c} = {d}",
            "{a} - (x + {b}) = {c}*x",
            "0.{a}*x + {b} = {c}.5",
        )
    )
    return read_equation(form.format(a=a, b=b, c=c, d=d))


@given(st.integers(0, 10**6))
@settings(max_examples=60, deadline=None)
def test_right_steps_are_never_blamed(seed: int) -> None:
    equation = equations(seed)
    for worked in solve_by_steps(equation):
        assert explain(equation, Line(worked.equation)) == ()
    for reached in right_lines(board_of(equation)):
        assert equation_from(reached.board, equation.letter).solution() == equation.solution()
        assert explain(equation, Line(equation_from(reached.board, equation.letter))) == ()
    assert explain(equation, Rewrite("collect")) == ()


@given(st.integers(0, 10**6), st.sampled_from(["add", "subtract", "multiply", "divide"]), st.integers(1, 30))
@settings(max_examples=80, deadline=None)
def test_a_move_that_comes_closer_is_never_blamed(seed: int, operation: str, operand: int) -> None:
    equation = equations(seed)
    for said in (str(operand), f"{operand}*x", f"1/{operand}"):
        move = Move(operation, read_expression(said))  # type: ignore[arg-type]
        verdict = judge(equation, move)
        if verdict.closer:
            assert verdict.errors == ()
        elif verdict.balanced:
            assert set(verdict.errors) <= {
                "same-operation",
                "multiply-instead-of-divide",
                "divide-instead-of-multiply",
            }


@given(st.integers(0, 10**6), st.integers(-40, 40), st.integers(1, 9))
@settings(max_examples=60, deadline=None)
def test_the_search_is_bounded(seed: int, top: int, below: int) -> None:
    """Bounded by count and not by the clock, so that a log judged again gives the same."""
    before = equations(seed)
    target = search.Target(read_equation(f"x = {top}/{below}"))
    list(search._one_error(board_of(before), target, search.MOST_LINES))
    list(search._one_error_twice(board_of(before), target))
    # at the end the wrong rules of one line are still listed, though no longer looked at
    assert target.work <= search.MOST_WORK + 1500


LONG = ("5(x - 2) + 3(2x + 1) = 4(x + 3) - 2(x - 7)", "4(2(x + 1) - (x - 3)) = 60 - 3(x - 2)")  # invented


@pytest.mark.parametrize("equation", LONG)
def test_the_longest_equations_stay_within_the_same_work(equation: str) -> None:
    """Lines of many brackets that nothing explains; the work is counted, not timed."""
    before = read_equation(equation)
    target = search.Target(read_equation("8x + 4 = 37"))
    list(search._one_error(board_of(before), target, search.MOST_LINES))
    assert target.is_spent
    assert target.work <= search.MOST_WORK + 1500


def test_judged_steps_to_work_with() -> None:
    """tests/algebra/data/README.md says where the judgements come from."""
    found = totals(outcomes(DATA / "steps_dev.jsonl"))
    assert found["ours_first"] >= 0.95
    assert found["theirs_first"] >= 0.95
    assert found["right_blamed"] == 0
    assert found["unexplained_kept"] == found["unexplained"]


def test_judged_steps_held_back() -> None:
    """Totals only: these rows are not looked at while the rules are worked on."""
    found = totals(outcomes(DATA / "steps_held.jsonl"))
    assert found["ours_first"] >= 0.95
    assert found["theirs_first"] >= 0.95
    assert found["right_blamed"] == 0
