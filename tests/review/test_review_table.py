"""The class page as a table for a spreadsheet."""

import csv
import io
from pathlib import Path

import pytest
from processes import chattutor
from test_review import session, solved, wrong

from chattutor.review.evidence import OUTCOMES
from chattutor.session_logs.spreadsheet import as_it_was, harmless


def test_a_row_for_each_learner_and_stage(tmp_path: Path) -> None:
    """Every way that an equation can go has a column."""
    session(tmp_path / "logs", "able", [wrong(0, "n is 1"), solved(0), solved(1), solved(3, "shown")])
    target = tmp_path / "class.csv"
    assert chattutor("review", tmp_path / "logs", "--csv", target).returncode == 0
    with target.open(newline="", encoding="utf-8") as source:
        rows = list(csv.reader(source))
    assert rows[0] == ["learner", "stage", "now", *OUTCOMES]
    assert rows[1:] == [["able", "3", "independent", *"110001"], ["able", "6", "shown", *"000100"]]


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r+", "＝", '"='])
def test_no_cell_is_a_formula(start: str) -> None:
    assert harmless(f"{start}1+1") == f"'{start.strip()}1+1"
    assert harmless("bob1") == "bob1"


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("a;=1", "a;'=1"),
        ("a; +1;@b;c-d", "a;' +1;'@b;c-d"),
        ('a;"=1"', 'a;\'"=1"'),
        ("a;\t=1", "a;' =1"),
        ("a=1;b", "a=1;b"),
    ],
)
def test_no_part_of_a_cell_is_a_formula_where_semicolons_part_cells(typed: str, written: str) -> None:
    out = io.StringIO()
    csv.writer(out).writerow(["first", harmless(typed)])
    parted = next(csv.reader([out.getvalue()], delimiter=";"))
    assert not [cell for cell in parted if cell.strip(' "').startswith(("=", "+", "-", "@"))]
    assert harmless(typed) == written
    assert as_it_was(harmless(typed)) == typed.replace("\t", " ")
