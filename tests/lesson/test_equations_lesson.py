"""A lesson from a teacher's own file: what cannot be used is told with its line, the rest is used."""

from pathlib import Path

import pytest

from chattutor.common.exits import PlanTrouble
from chattutor.lesson.plans import MAX_EQUATIONS, MOST_TOLD, plan_of_file


def used(path: Path) -> list[str]:
    return [task.equation.text() for task in plan_of_file(path, 1).tasks]


def test_bad_lines_are_told_and_the_rest_is_used(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "set.txt"
    path.write_bytes(b"# mine\nFirst:\n1) 3x + 4 = 19\nx^2 = 4\n3x + 4 = 19\n2n - 5 = 9 # caf\xe9\n")
    assert used(path) == ["3*x + 4 = 19", "2*n - 5 = 9"]
    told = capsys.readouterr().err.splitlines()
    assert [line.split(": ")[2] for line in told] == ["Line 4", "Line 5"]


def test_a_spreadsheets_export(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "set.csv"
    path.write_bytes("Topic;Equation\r\nfirst;x + 2 = 7\r\nsecond;4x = 52\r\n".encode("utf-16"))
    assert used(path) == ["x + 2 = 7", "4*x = 52"]
    assert capsys.readouterr().err == ""


def test_many_bad_lines_are_counted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "set.txt"
    path.write_text("x + 2 = 7\n" + "?\n" * (MOST_TOLD + 3), encoding="utf-8")
    assert used(path) == ["x + 2 = 7"]
    told = capsys.readouterr().err.splitlines()
    assert len(told) == MOST_TOLD + 1
    assert "3 more lines cannot be used" in told[-1]


def test_of_very_many_equations_the_first_are_used(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "set.txt"
    path.write_text("".join(f"x + {each} = {2 * each + 1}\n" for each in range(3, 100_003)), encoding="utf-8")
    assert len(used(path)) == MAX_EQUATIONS == 500
    (told,) = capsys.readouterr().err.splitlines()
    assert told.endswith("Line 501: Only the first 500 equations are used; the file was not read from this line on.")


def test_nothing_to_use(tmp_path: Path) -> None:
    path = tmp_path / "set.txt"
    path.write_text("?\n", encoding="utf-8")
    with pytest.raises(PlanTrouble, match="There is no equation"):
        plan_of_file(path, 1)
    with pytest.raises(PlanTrouble, match="cannot be read"):
        plan_of_file(tmp_path / "none.txt", 1)
