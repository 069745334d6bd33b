"""Files as teachers and pupils type them, exactly; and that nothing right is crossed, however written."""

import time
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from processes import chattutor

from chattutor.paper.marking import MarkedWork, mark
from chattutor.paper.piece_of_work import PaperWork, Stray
from chattutor.paper.work import works
from chattutor.paper.working import marked_lines
from dialogue.algebra.equation import read_equation
from dialogue.algebra.moves import Move, carry_out
from dialogue.algebra.solver import solve_by_steps
from dialogue.algebra.writing import BOARD, TYPED
from dialogue.learner.families import draw

FILES = [
    file
    for name in (
        "messy",
        "messy_again",
        "messy_blind",
        "messy_third",
        "messy_fourth",
        "messy_fifth",
        "messy_sixth",
        "messy_seventh",
    )
    for file in tomllib.loads(Path(__file__).with_name(f"{name}.toml").read_text("utf-8"))["file"]
]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file["typed"].splitlines()[0][:20])
def test_every_line_is_read_or_refused_with_its_text(tmp_path: Path, file: dict[str, Any]) -> None:
    path = tmp_path / ("work.csv" if "," in file["typed"].splitlines()[0] else "work.txt")
    path.write_text(file["typed"], encoding="utf-8")
    done = chattutor(*file["command"], path)
    told = done.stderr.replace(f"{path}, ", "").replace(str(path), "THIS")
    assert (done.stdout, told) == (file["said"], file["told"])
    assert done.returncode == file["code"]


WRAPPED = (
    "{}", "{} ✓", "=> {}", "∴ {}", "so {}", "{}   (÷2)", "step 2: {}", "{}.", "I did it and got {}", "~~9 = 9~~ {}",
    "check: {}", "- {}", "{} ok", "{}   | -3", "then {} because it balances",
)  # fmt: skip


@settings(max_examples=120, deadline=None)
@given(st.integers(1, 15), st.integers(0, 999), st.integers(0, 14), st.data())
def test_no_right_line_is_crossed_however_it_is_written(stage: int, seed: int, place: int, data: st.DataObject) -> None:
    task = draw(stage, seed % 7, place + 1)[-1]
    style = data.draw(st.sampled_from([BOARD, TYPED]))
    lines = [
        (number, data.draw(st.sampled_from(WRAPPED)).format(worked.equation.text(style)))
        for number, worked in enumerate(solve_by_steps(task.equation), 1)
    ]
    for each in marked_lines(task.equation, lines):
        assert not each.wrong and not each.problem, (task.equation.text(), lines, each.text)


@settings(max_examples=60, deadline=None)
@given(st.integers(6, 14), st.integers(0, 14), st.sampled_from([-3, -2, -1, 1, 2, 5]), st.sampled_from(WRAPPED))
def test_a_wrong_line_is_crossed_however_it_is_written(stage: int, place: int, more: int, wrap: str) -> None:
    """One more or less on the right of a line, so that nothing it could mean is right."""
    task = draw(stage, 3, place + 1)[-1]
    worked = next((each for each in solve_by_steps(task.equation) if isinstance(each.step, Move)), None)
    if worked is None or task.solution.value is None:
        return
    text = f"{worked.equation.text(TYPED)} {'+' if more > 0 else '-'} {abs(more)}"
    (line,) = marked_lines(task.equation, [(1, wrap.format(text))])
    assert line.wrong, (task.equation.text(), text)


@pytest.mark.parametrize(
    ("equation", "text", "answer"),
    [
        ("6x = 20", "x = 3.33", "close"), ("6x = 20", "x = 3.34", "wrong"), ("6x = 20", "x = 3", "wrong"),
        ("8n = 2", "n = 0.3", "close"), ("8n = 2", "n = 0.25", "step"), ("6x = 20", "x = 3.333...", "step"),
        ("6x = 20", "x = 3 r 2", "close"), ("6x = 20", "x = 4 r 2", "wrong"), ("6x = 20", "x = 3.33 (2dp)", "close"),
    ],
)  # fmt: skip
def test_rounded_answers(equation: str, text: str, answer: str) -> None:
    """20/6 is 3.3333..., 2/8 is 0.25: worked by hand."""
    (line,) = marked_lines(read_equation(equation), [(1, text)])
    assert ("wrong" if line.wrong else line.kind) == answer


def test_an_operation_at_the_side_is_the_move_it_says() -> None:
    equation = read_equation("3x + 2 = 14")
    (line,) = marked_lines(equation, [(1, "-2    -2")])
    assert isinstance(line.step, Move)
    assert carry_out(line.step, equation).text() == "3*x = 12"


@pytest.mark.parametrize(
    ("equation", "lines", "wrong"),
    [
        ("2x = 14", ["x = 7 x"], False),  # a cross, typed
        ("2x = 14", ["x = 6 x"], True),
        ("3p = 195", ["p = 65p"], False),  # pence
        ("3p = 195", ["p = 60p"], True),
        ("4x = 36", ["x = 9      |  = 36"], False),
        ("4x = 36", ["x = 8      |  = 36"], True),
        ("8 + 2x = 20", ["2x = 12 = x = 6"], False),  # equals signs that only go on
        ("8 + 2x = 20", ["2x = 12 = x = 5"], True),
        ("5x + 2 = 17", ["5x = 15  (taken 2 off [red: 5x = 19])"], False),
        ("8x - 5 = 27", ["8x = 27 - 5    <- red ring"], True),
        ("2X = 14", ["2 x X = 14", "X = 7"], False),
        ("2X = 14", ["2 x X = 15"], True),
        ("2(x - 3) = 10", ["÷2", "x - 3 = 5", "+3    x = 8"], False),  # what is done, then what comes of it
        ("2(x - 3) = 10", ["÷2", "x - 3 = 5", "+3    x = 9"], True),
        ("4x = 20", ["x = 20 : 4"], False),
        ("4x = 20", ["x = 20 : 5"], True),
        ("2y = 9", ["y = 4 and a half"], False),
        ("2y = 9", ["y = 5 and a half"], True),
        ("0.5x = 2.5", ["x = 5    -1.2", "---", "2.5"], False),  # a sum in the margin
        ("0.5x = 2.5", ["x = 4    -1.2", "---", "2.5"], True),
        ("5 - x = 2", ["- x = 3"], False),  # a bullet
        ("5 - x = 2", ["-x = 3"], True),
        ("14x = 24", ["x = 1.71  (24 ÷ 14 = 1.714...)"], False),
    ],
)
def test_what_stands_behind_a_line_hides_no_error_and_makes_none(equation: str, lines: list[str], wrong: bool) -> None:
    done = marked_lines(read_equation(equation), list(enumerate(lines, 1)))
    assert any(each.wrong or each.problem for each in done) == wrong


def test_under_a_line_that_was_not_read_nothing_is_crossed() -> None:
    """What followed from it nobody knows; the next line is judged again."""
    lines = [(1, "4 ( x -"), (2, "2 ) = 12"), (3, "x - 2 = 3"), (4, "x = 6")]
    unread, after, last = list(marked_lines(read_equation("6x = 42"), lines))[-3:]
    assert unread.problem and after.problem and not after.wrong
    assert last.wrong  # x - 2 = 3 is now the line above


SAME = "Ada\nQ1  3x + 5 = 20\nx = 5\nQ2  2(x + 1) = 10\nx = 4\n\nBo\n"


@pytest.mark.parametrize(
    ("theirs", "equations", "doubted"),
    [
        ("Q1  3x + 5 = 20\nx = 5\nQ2  2x + 1 = 10\nx = 4.5", ["3x + 5 = 20", "2(x + 1) = 10"], 0),  # the same sheet
        ("Q2  2x + 1 = 10\nx = 4.5", [], 2),  # who knows?
        ("Q1  7x + 4 = 60\nx = 8\nQ2  2x + 1 = 10\nx = 4.5", ["7x + 4 = 60", "2x + 1 = 10"], 0),  # another sheet
        ("Q1  y = 5\nQ2  x = 4", ["2(x + 1) = 10"], 1),  # an answer of another letter is none to it
        ("Q2  2x = 8\nx = 4", ["2(x + 1) = 10"], 0),
    ],
)
def test_what_others_have_under_a_number(theirs: str, equations: list[str], doubted: int) -> None:
    """Nothing is ticked that may be a wrong first line from it, and nobody is marked by another sheet."""
    found = [each for each in works(SAME + theirs) if not isinstance(each, PaperWork) or each.code == "Bo"]
    assert [each.equation for each in found if isinstance(each, PaperWork)] == equations
    assert len([each for each in found if isinstance(each, Stray)]) == doubted


def test_what_somebody_left_undone_is_not_asked_of_the_next() -> None:
    typed = "Ada\nQ1  2x = 8\nx = 4\nQ2  3x = 9\n\nBo\n2x = 8\nx = 4"
    assert [(each.code, each.equation) for each in works(typed) if isinstance(each, PaperWork)] == [
        ("Ada", "2x = 8"), ("Ada", "3x = 9"), ("Bo", "2x = 8"),
    ]  # fmt: skip


def test_a_name_before_a_question_is_a_name_without_any_gap() -> None:
    found = list(works("Ada   Q1   2x = 8\nx = 4\nAda   Q2   3x = 9\nx = 3\nBo   Q3   4x = 8\nx = 2\n"))
    assert [(each.code, each.equation) for each in found if isinstance(each, PaperWork)] == [
        ("Ada", "2x = 8"), ("Ada", "3x = 9"), ("Bo", "4x = 8"),
    ]  # fmt: skip


def test_answers_in_a_list_are_never_steps_of_the_one_before() -> None:
    found = list(works("Ada\n1) 2x = 8\nx = 4\n\nBo\n1) x = 4\n2) x = 7\n"))
    assert [each.equation for each in found if isinstance(each, PaperWork) and each.code == "Bo"] == ["2x = 8"]
    assert [each.text for each in found if isinstance(each, Stray)] == ["x = 7"]


@pytest.mark.parametrize("gap", [" ", "| ", "x = 2 / ", "Ada   ", "by ", "(", "--- ", "~~"])
def test_a_line_made_to_be_slow_is_not(gap: str) -> None:
    """20,000 characters, as many as are looked at, twice; a second or so on a machine at rest."""
    text = f"x = 5{gap * (20_000 // len(gap))}= 2"
    begun = time.process_time()
    done = [mark(each) for each in works(f"Ada\n1) 3x + 2 = 14\n{text}\n{text}\nx = 4\n")]
    assert done and time.process_time() - begun < 20


LIST = "Quiz\nQ1  5x + 3 = 28     Q2  4(x - 2) = 20\n\nAda\n1. 5x = 25\nx = 5\n7/9\n\nBo\n2. {}\n"


@pytest.mark.parametrize(
    ("first", "answer", "wrong"),
    [
        ("4x - 2 = 20", "not yet", True), ("x = 7", "right", False), ("5 + 2 = 7\nx = 7", "right", False),
        ("-", "not attempted", False),
    ],
)  # fmt: skip
def test_a_sheet_above_the_names_says_what_was_asked(first: str, answer: str, wrong: bool) -> None:
    ada, bo = [each for each in map(mark, works(LIST.format(first))) if isinstance(each, MarkedWork)]
    assert (ada.code, ada.answer, bo.equation.text()) == ("Ada", "right", "4*(x - 2) = 20")
    assert bo.answer == answer
    assert any(line.wrong for line in bo.lines) == wrong


def test_under_a_drawn_heading_the_first_line_behind_a_name_is_working() -> None:
    behind = "Ada:  6x + 15 = 9;  x = -1  [3]\nBo:  6x + 5 = 9;  6x = 4\nCy:  -\n"
    typed = f"*** Q12  Solve 3(2x + 5) = 9 (3 marks) ***\n\n{behind}"
    ada, bo, cy = [each for each in map(mark, works(typed)) if isinstance(each, MarkedWork)]
    assert {each.equation.text() for each in (ada, bo, cy)} == {"3*(2*x + 5) = 9"}
    assert (ada.answer, ada.method, bo.lines[0].wrong, cy.answer) == ("right", True, True, "not attempted")


def test_in_a_talk_nobodys_line_is_anothers_and_none_is_a_question_without_its_number() -> None:
    said = [
        "Ada: whats q4",
        "Bo: 8x - 5 = 3x + 20",
        "Ada: 8x-3x = 25",
        "Bo: 8x-3x = 15",
        "Ada: x=5",
        "Bo: lol",
        "Bo: x=3",
    ]
    done = list(map(mark, works("".join(f"[19:0{at}] {each}\n" for at, each in enumerate(said)))))
    bo, ada = [each for each in done if isinstance(each, MarkedWork)]
    assert (ada.code, ada.answer, ada.method) == ("Ada", "right", True)
    assert (bo.code, bo.answer, [line.wrong for line in bo.lines]) == ("Bo", "wrong", [False, True, False])
    given = ["Ada: did u get q4?", "Bo: 8x-3x = 20-5", "Bo: x = 3", "Ada: x = 3 too"]  # no question, but his first line
    assert not [
        each
        for each in works("".join(f"[19:0{at}] {each}\n" for at, each in enumerate(given)))
        if isinstance(each, PaperWork)
    ]
    unasked = "".join(f"[19:0{at}] {each}\n" for at, each in enumerate(said[2:]))
    assert not [each for each in works(unasked) if isinstance(each, PaperWork)]


def test_a_number_behind_an_answer_is_no_other_answer_and_a_sum_hides_none() -> None:
    equation = read_equation("4x = 20")
    assert not any(each.wrong for each in marked_lines(equation, [(1, "x = 5"), (2, "7/9")]))
    assert list(marked_lines(equation, [(1, "x = 20/4"), (2, "6")]))[-1].wrong


@pytest.mark.parametrize(
    ("elsewhere", "asked"), [("4x = l2\n5x = 1O", "2x + 1 = 9"), ("4x = 12\n5x = 10", "2x + l = 9")]
)
def test_an_l_is_a_one_only_where_the_file_shows_that_it_is_a_scan(elsewhere: str, asked: str) -> None:
    found = [each for each in works(f"Ada\n1) 2x + l = 9\n\n2) {elsewhere}\n") if isinstance(each, PaperWork)]
    assert found[0].equation == asked
    assert isinstance(mark(found[0]), MarkedWork) == (asked != "2x + l = 9")
