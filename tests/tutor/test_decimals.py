"""Decimals stay decimals: nothing said of an equation with decimals has a fraction that could be a decimal."""

import re

import pytest
from talking import begin, line, move, respond, value
from test_walks import in_order

from dialogue.acts import Act, Describe, Value
from dialogue.algebra.equation import read_equation
from dialogue.algebra.solver import solve_by_steps
from dialogue.algebra.writing import TYPED
from dialogue.tutor.core.questions import due_value
from dialogue.tutor.core.state import Plan, Task, Utterance


def test_after_a_line_without_a_decimal_they_come_back() -> None:
    steps = [each.equation.text(TYPED) for each in solve_by_steps(read_equation("2x + 1.5 = 4.5"))]
    assert steps == ["2x = 3", "x = 1.5"]
    assert [each.equation.text(TYPED) for each in solve_by_steps(read_equation("2x = 3"))] == ["x = 3/2"]
    assert read_equation("0.3x = 1").solution().value == read_equation("x = 10/3").solution().value  # has no end


@pytest.mark.parametrize("stated", [False, True])
def test_a_lesson_says_and_writes_them(stated: bool) -> None:
    state = begin(Plan((Task(read_equation("2x + 1.5 = 4.5")),))).state
    acts: list[Act | None] = [Describe(in_order(state.equation)), move("subtract", "1.5")]
    acts += [line("2x = 3"), value("1.5")] if stated else [None, None]
    said = []
    for _ in range(14):
        act = acts.pop(0) if acts else None
        if act is None:
            due = due_value(state)
            act = value("1.5") if due is None else Value(due)
        turn = respond(state, Utterance("given"), act)
        said += [reply.text for reply in turn.replies]
        state = turn.state
        if state.phase == "done":
            break
    assert any("1.5" in text for text in said) and state.solved
    assert not [text for text in said if re.search(r"\d/\d", text)]
