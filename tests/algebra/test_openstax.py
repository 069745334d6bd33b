"""Every published equation in scope is solved to its published answer, one judged step a line; the rest are refused.

Source: OpenStax Prealgebra 2e, Elementary Algebra 2e and Intermediate Algebra 2e, CC BY 4.0 (data/README.md); the book,
module and exercise stand beside each equation in the data.
"""

import json
from pathlib import Path

import pytest

from dialogue.algebra.equation import Solution, read_equation
from dialogue.algebra.refusals import NotAnEquation, NotLinear, OutOfScope, Refusal, SeveralUnknowns, UnknownBelow
from dialogue.algebra.solver import is_solved, solve_by_steps
from dialogue.algebra.with_sympy import solution
from dialogue.judgement import weigh

DATA = Path(__file__).parent / "data" / "openstax_equations.jsonl"
ROWS = [json.loads(line) for line in DATA.read_text(encoding="utf-8").splitlines()]
OUTSIDE = {"inequality", "literal"}
BELOW = {
    "52/91=((-4)/y)", "39/c=13/8", "12/a=((-15)/65)", "84/98=((-6)/x)",
    "7.65/n=17/100", "4.64/n=7.25/100", "98/154=((-7)/p)", "13.53/n=8.25/100",
}  # fmt: skip
INEQUALITIES = [row["equation"] for row in ROWS if row["category"] == "inequality"]
FORMULAS = [row["equation"] for row in ROWS if row["category"] == "literal"]
IN_SCOPE = [row for row in ROWS if row["category"] not in OUTSIDE and row["equation"] not in BELOW]


def published(found: Solution) -> str:
    """A solution as the data writes it."""
    return {"none": "no solution", "every": "all real numbers"}.get(found.kind) or str(found.value)


def test_the_data_are_all_there() -> None:
    assert len(ROWS) == 623
    assert len(IN_SCOPE) == 523


def test_solved_to_the_published_answer() -> None:
    for row in IN_SCOPE:
        equation = read_equation(row["equation"])
        assert published(equation.solution()) == row["solution"], row
        assert solution(equation) == equation.solution(), row
        for worked in solve_by_steps(equation):
            judged = weigh(equation, worked.step)
            assert (judged.balanced, judged.closer, judged.result) == (True, True, worked.equation), row
            equation = worked.equation
        assert is_solved(equation), row
        assert published(equation.solution()) == row["solution"], row


@pytest.mark.parametrize("text", sorted(BELOW))
def test_the_unknown_below_the_line_is_refused(text: str) -> None:
    with pytest.raises(UnknownBelow, match=r"^The unknown is below the line"):
        read_equation(text)


def test_inequalities_are_refused() -> None:
    for text in INEQUALITIES:
        with pytest.raises(NotAnEquation, match=r"^This is an inequality") as refused:
            read_equation(text)
        assert text[refused.value.at or 0] in "<>", text


def test_formulas_are_refused() -> None:
    for text in FORMULAS:
        with pytest.raises(Refusal) as refused:
            read_equation(text)
        assert isinstance(refused.value, SeveralUnknowns | NotLinear) or type(refused.value) is OutOfScope, text
    assert refused.value.sentence.endswith(".")


def test_where_a_published_answer_is_wrong_the_mathematics_rules() -> None:
    # Prealgebra 2e, exercise fs-id1166497376543, publishes m = 0.25
    assert published(read_equation("0.5(16m+34)=-15").solution()) == "-4"


@pytest.mark.parametrize(
    "text",
    [
        "g-(11/12)<-5/18",  # Elementary Algebra 2e, fs-id1168341869697, publishes g < 23/26; it is 23/36
        "d=r*t",  # Elementary Algebra 2e, fs-id1168341926216, publishes r = D/t; it is d/t
        "x-2*y=5",  # Elementary Algebra 2e, fs-id1168345445955, publishes y = (5 - x)/2; it is (x - 5)/2
        "6*u+8*(u-1)>10*u+32",  # Intermediate Algebra 2e, fs-id1167831920272, publishes u > -10; it is u > 10
    ],
)
def test_the_other_wrong_published_answers_are_out_of_scope(text: str) -> None:
    with pytest.raises(OutOfScope):
        read_equation(text)
