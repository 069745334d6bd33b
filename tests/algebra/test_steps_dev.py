"""The judge against invented steps judged beforehand (data/README.md): all of the half that is worked with."""

import json
from typing import Any

from judged_steps import DATA, step_of

from dialogue.algebra.equation import read_equation
from dialogue.judgement import Judgement, weigh


def weighed(row: dict[str, Any]) -> Judgement:
    """The judgement of a row's step."""
    equation = read_equation(row["equation"])
    return weigh(equation, step_of(row, equation.letter))


def same_result(row: dict[str, Any], judged: Judgement) -> bool:
    """Whether the line after the step is the row's, side by side and by value (a row may leave it out)."""
    if row["result"] is None:
        return True
    due = read_equation(row["result"], read_equation(row["equation"]).letter)
    return judged.result is not None and judged.result.linear() == due.linear()


ROWS = [json.loads(line) for line in (DATA / "steps_dev.jsonl").read_text(encoding="utf-8").splitlines()]


def test_judged_as_a_teacher_would() -> None:
    for row in ROWS:
        judged = weighed(row)
        assert (judged.balanced, judged.closer) == (row["balanced"], row["closer"]), row
        assert same_result(row, judged), row
