"""The board and the balance as text: exact pictures, at the widths a terminal has."""

import io

import pytest
from rich.console import Console

from chattutor.lesson.screen.balance import drawn
from chattutor.lesson.screen.board_rows import BoardRow, notes, text_rows
from chattutor.lesson.screen.face import Screen
from chattutor.lesson.weighing import GONE, can_be_weighed
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Move, Rewrite
from dialogue.algebra.reading import read_expression
from dialogue.tutor import Plan, Task, Utterance, begin, step

TWO_STEP = read_equation("3x + 2 = 14")
TWO = read_expression("2")


def test_equals_signs_stand_in_one_column_with_the_operation_beside_both_sides() -> None:
    lines = [BoardRow("3x + 2", "14", "− 2", "− 2"), BoardRow("3x", "12", "÷ 3", "÷ 3"), BoardRow("x", "4")]
    assert text_rows(lines, 80) == [
        "  − 2 │ 3x + 2 = 14 │ − 2",
        "  ÷ 3 │     3x = 12 │ ÷ 3",
        "      ▸      x = 4",
    ]


def test_an_operation_on_one_side_stands_beside_that_side_alone() -> None:
    assert text_rows([BoardRow("3x + 2", "14", *notes(Move("subtract", TWO, "left")))], 80) == ["  − 2 ▸ 3x + 2 = 14"]
    assert text_rows([BoardRow("3x + 2", "14", *notes(Move("subtract", TWO, "right")))], 80) == [
        "   ▸ 3x + 2 = 14 │ − 2"
    ]


def test_a_step_that_was_shown_says_so_in_words() -> None:
    lines = [BoardRow("3x + 2", "14", "− 2", "− 2"), BoardRow("3x", "12", mark="shown")]
    assert text_rows(lines, 80)[1] == "      ▸     3x = 12  (shown)"


def test_a_board_too_wide_puts_each_operation_below_its_side() -> None:
    lines = [BoardRow("3(2x + 1) + 4(5x − 2)", "2(x + 17) − 3", "− 2", "− 2"), BoardRow("x", "4")]
    assert text_rows(lines, 50) == [
        "     3(2x + 1) + 4(5x − 2) = 2(x + 17) − 3",
        "                       − 2   − 2",
        "   ▸                     x = 4",
    ]


def test_large_spacing_leaves_a_line_between() -> None:
    assert text_rows([BoardRow("x + 1", "3", "− 1", "− 1"), BoardRow("x", "2")], 80, spacing=1)[1] == ""


@pytest.mark.parametrize(
    ("operation", "operand", "sides", "texts"),
    [
        ("subtract", "2", "both", ("− 2", "− 2")),
        ("divide", "-3", "both", ("÷ (−3)", "÷ (−3)")),
        ("add", "x + 1", "unsaid", ("+ (x + 1)", "+ (x + 1)")),
        ("multiply", "4", "left", ("× 4", "")),
        ("transfer", "4", "unsaid", ("", "")),
    ],
)
def test_the_notes_of_a_move(operation: str, operand: str, sides: str, texts: tuple[str, str]) -> None:
    assert notes(Move(operation, read_expression(operand), sides)) == texts  # type: ignore[arg-type]


def test_a_rewrite_is_noted_in_words() -> None:
    assert notes(Rewrite("expand")) == ("", "multiply out")


def test_a_level_balance() -> None:
    assert drawn(TWO_STEP, 80) == [
        "      3x + 2               14",
        "    ═══════════        ═══════════",
        "         └─────────┬─────────┘",
        "                   ▲",
    ]


@pytest.mark.parametrize(("side", "heavier"), [("left", "right"), ("right", "left")])
def test_taking_from_one_side_makes_the_other_heavier_and_says_so(side: str, heavier: str) -> None:
    move = Move("subtract", read_expression("2"), side)  # type: ignore[arg-type]
    picture = drawn(TWO_STEP, 80, move)
    assert picture[-1].strip() == f"Not level: the {heavier} side is heavier now."
    narrow = drawn(TWO_STEP, 40, move)
    assert narrow == [picture[-1]]


@pytest.mark.parametrize("text", ["x - 3 = 4", "-x = 4", "x + 9 = 2", "3x = -6"])
def test_the_picture_is_gone_with_the_first_negative(text: str) -> None:
    equation = read_equation(text)
    assert not can_be_weighed(equation)
    assert drawn(equation, 80) == [f"({GONE})"]


@pytest.mark.parametrize(
    ("text", "move"),
    [("x - 3 = 4", Move("add", TWO, "left")), ("3x + 2 = 14", Move("subtract", read_expression("20"), "left"))],
)
def test_where_nothing_can_be_drawn_a_one_sided_move_is_told_in_words(text: str, move: Move) -> None:
    assert drawn(read_equation(text), 80, move) == ["    Not level: only the left side was changed."]


def test_a_one_sided_move_that_changes_nothing_tilts_nothing() -> None:
    assert drawn(TWO_STEP, 80, Move("add", read_expression("0"), "left")) == []


@pytest.mark.parametrize("width", [60, 80, 120, 200])
@pytest.mark.parametrize("large", [False, True])
def test_a_lesson_fits_every_width_and_reads_without_colour(width: int, large: bool) -> None:
    out = io.StringIO()
    screen = Screen(large, Console(file=out, width=width, no_color=True, force_terminal=False, highlight=False))
    turn = begin(Plan((Task(TWO_STEP),), seed=3))
    screen.show(turn)
    for text in ("hint", "subtract 2 from the left side", "subtract 2 from both sides", "hint", "stop"):
        turn = step(turn.state, Utterance(text))
        screen.show(turn)
    text = out.getvalue()
    assert "\x1b" not in text
    assert max(len(line) for line in text.splitlines()) <= width
    assert "3x + 2 = 14" in text
    assert "Not level" in text
