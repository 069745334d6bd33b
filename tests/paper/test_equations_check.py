"""``chattutor equations check`` on files as they come: encodings, spreadsheets' exports, mistakes, size."""

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from processes import chattutor

from chattutor.common.exits import CannotGoOn
from chattutor.paper.sets import doing, read_set
from dialogue.learner.wrong_answer_paths import compared

PLAIN = """\
# our set
Warm up:
1) 3x + 7 = 31   # good
b. 2x = 4
x^2 = 9
Harder:
3x + 1 = 3x + 2
2(x + 3) = 2x + 6
x + y = 3
2x = 4
hello
2,5x = 5
5/x = 2
7 = 7
"""


def written(tmp_path: Path, content: str | bytes, name: str = "set.txt") -> Path:
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def test_each_line_is_answered_in_plain_words_and_the_rest_is_used(tmp_path: Path) -> None:
    done = chattutor("equations", "check", written(tmp_path, PLAIN))
    assert done.returncode == 1 and done.stderr == ""
    assert done.stdout.splitlines() == [
        'Line 4: The answer hides an error: subtracting the coefficient also gives 2. ("b. 2x = 4")',
        'Line 5: The unknown is multiplied by itself here, and I only work with linear equations. ("x^2 = 9")',
        'Line 7: No number solves this equation; learners will have to say so. ("3x + 1 = 3x + 2")',
        'Line 8: Every number solves this equation; learners will have to say so. ("2(x + 3) = 2x + 6")',
        'Line 9: I can work with one unknown at a time, and this has x and y. ("x + y = 3")',
        'Line 10: This equation is on line 4 too; it is used once. ("2x = 4")',
        'Line 11: There is no equals sign here, so this is not an equation. ("hello")',
        'Line 12: This was read as 2.5x = 5. ("2,5x = 5")',
        'Line 13: The unknown is below the line of a fraction here, and I only work with linear equations. ("5/x = 2")',
        'Line 14: There is no unknown letter in this equation. ("7 = 7")',
        "5 equations can be used, 6 lines cannot.",
    ]


def test_headings_and_item_numbers_are_understood(tmp_path: Path) -> None:
    found = read_set(written(tmp_path, PLAIN))
    assert [(item.line, item.heading) for item in found.items] == [
        (3, "Warm up"), (4, "Warm up"), (7, "Harder"), (8, "Harder"), (12, "Harder"),
    ]  # fmt: skip
    assert found.items[0].equation.text() == "3*x + 7 = 31"


@pytest.mark.parametrize("typed", ["x = 0.333...", "x = 0.333…", "2. 3x = 0.5..  "])
def test_digits_that_go_on_are_no_room_for_an_answer(tmp_path: Path, typed: str) -> None:
    done = chattutor("equations", "check", written(tmp_path, f"{typed}\n2x = 10 ...\n"))
    assert done.stdout.splitlines() == [
        f'Line 1: The digits of this number go on: please write it as a fraction. ("{typed.strip()}")',
        "1 equation can be used, 1 line cannot.",
    ]


@pytest.mark.parametrize("content", ["", "# only a remark\n\n"])
def test_a_file_without_an_equation_is_said_to_be_one(tmp_path: Path, content: str) -> None:
    done = chattutor("equations", "check", written(tmp_path, content))
    assert (done.returncode, done.stdout) == (1, "") and "There is no equation in" in done.stderr


def test_json_is_a_line_a_finding_and_nothing_else(tmp_path: Path) -> None:
    done = chattutor("equations", "check", written(tmp_path, "2x = 4\n?\n"), "--json")
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert [(row["line"], row["kind"], row["used"]) for row in rows] == [
        (1, "hides an error", True),
        (2, "out of scope", False),
    ]
    assert done.stderr == "1 equation can be used, 1 line cannot.\n"


TEXT = "3x \N{MINUS SIGN} 2 = 10\n4n \N{DIVISION SIGN} 2 = 26\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    mark = {"utf-16-le": b"", "utf-16-be": b""}.get(encoding, b"")
    found = read_set(written(tmp_path, mark + TEXT.encode(encoding)))
    assert [item.equation.text() for item in found.items] == ["3*x - 2 = 10", "4*n/2 = 26"]


def test_an_old_windows_file_is_read_and_said_to_be_one(tmp_path: Path) -> None:
    found = read_set(written(tmp_path, "3x \N{EN DASH} 2 = 10\nk\xf7\x32 = 7".encode("cp1252")))
    assert [item.equation.text() for item in found.items] == ["3*x - 2 = 10", "k/2 = 7"]
    assert found.findings[0].kind == "encoding" and "Windows-1252" in found.findings[0].sentence


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_a_spreadsheets_export(tmp_path: Path, sign: str, end: str) -> None:
    table = [["Nr", "Equation", "Note"], ["1", "3x + 7 = 31", '"a, b; c"'], ["2", '"4n = 52"', ""], ["", "", ""]]
    found = read_set(written(tmp_path, end.join(sign.join(row) for row in table), "set.csv"))
    assert [(item.line, item.equation.text()) for item in found.items] == [(2, "3*x + 7 = 31"), (3, "4*n = 52")]
    assert found.findings == ()


@pytest.mark.parametrize("cell", ['"=4n=52"', '"=""4n = 52"""', "'4n = 52", '"""4n = 52"""', '"=4n = 52"'])
def test_what_a_spreadsheet_puts_around_an_equation_is_left_away(tmp_path: Path, cell: str) -> None:
    """A cell that begins with an equals sign is a formula to a spreadsheet, so people write it as a text."""
    found = read_set(written(tmp_path, f"Nr;Gleichung\r\n1;3x + 7 = 31\r\n2;{cell}\r\n".encode("utf-8-sig")))
    assert [(item.line, item.equation.text()) for item in found.items] == [(2, "3*x + 7 = 31"), (3, "4*n = 52")]
    assert found.findings == ()


def test_any_letter_may_stand_for_the_unknown_on_each_line(tmp_path: Path) -> None:
    letters = "abcdefghijklmnopqrstuvwxyz"
    lines = "\n".join(f"7{letter} + {place + 12} = {place + 19 + 7 * 13}" for place, letter in enumerate(letters))
    found = read_set(written(tmp_path, lines))
    assert "".join(item.equation.letter for item in found.items) == letters
    assert found.findings == ()


def test_a_table_without_a_heading_is_looked_through_for_equals_signs(tmp_path: Path) -> None:
    found = read_set(written(tmp_path, "one;3x + 7 = 31\ntwo;4n = 52\n"))
    assert [item.equation.text() for item in found.items] == ["3*x + 7 = 31", "4*n = 52"]


NO_TEXT = [(b"PK\x03\x04rest", "save it as CSV"), (b"%PDF-1.7", "a PDF"), (b"\x00\x01\x00\x00\x00", "not a text file")]


@pytest.mark.parametrize(("content", "said"), NO_TEXT)
def test_what_is_no_text_is_said_at_once(tmp_path: Path, content: bytes, said: str) -> None:
    with pytest.raises(CannotGoOn, match=said):
        read_set(written(tmp_path, content))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.one_of(st.binary(max_size=200), st.text(alphabet='123x+-*/=()., ;\t"#:\r\n', max_size=120).map(str.encode)))
def test_any_bytes_are_read_or_refused_with_a_sentence(tmp_path: Path, content: bytes) -> None:
    try:
        found = read_set(written(tmp_path, content))
    except CannotGoOn as trouble:
        assert trouble.sentence
    else:
        assert all(finding.sentence for finding in found.findings)


def test_a_missing_file_is_one_line_and_a_code() -> None:
    done = chattutor("equations", "check", "nowhere.txt")
    assert done.returncode == 1 and done.stdout == ""
    assert done.stderr == "chattutor: nowhere.txt cannot be read: No such file or directory.\n"


def test_thousands_of_lines_with_duplicates(tmp_path: Path) -> None:
    """A hundred thousand are timed in ``tests/bench/bench_learner.py``; here each line comes twice."""
    lines = [f"{number % 300 + 2}x + {number // 300} = {number}" for number in range(2_500)]
    found = read_set(written(tmp_path, "\n".join(lines + lines)))
    assert len(found.items) == 2_500
    assert sum(finding.kind == "duplicate" for finding in found.findings) == 2_500
    assert found.findings[-1].kind == "not checked"


def test_every_error_that_can_be_hidden_has_its_phrase() -> None:
    assert all(doing(error) for error in compared() - {"divide-by-unknown"})
