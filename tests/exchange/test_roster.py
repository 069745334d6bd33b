"""A class list in: codes by chance, names in the key file alone."""

import csv
import stat
from pathlib import Path

import pytest
from processes import chattutor
from school import a_folder

from chattutor.cli import main
from chattutor.common.exits import LogTrouble
from chattutor.exchange.name_list import names_in
from chattutor.exchange.roster import make_codes, names, read_key, read_users, with_names

USERS = (
    "sourcedId,status,dateLastModified,enabledUser,orgSourcedIds,role,username,userIds,givenName,familyName\r\n"
    "s-1,,,true,o-1,student,aa,,Ada,Invented\r\n"
    "s-2,,,true,o-1,student,bb,,=1+1,a;=1\r\n"
    "t-1,,,true,o-1,teacher,cc,,Tom,Invented\r\n"
    "s-3,tobedeleted,,true,o-1,student,dd,,Gone,Invented\r\n"
    's-4,,,true,o-1,student,ee,,"Zoë, Ann",Invented\r\n'
)  # OneRoster CSV 1.1, users.csv: the heads are the specification's, the people invented


@pytest.fixture
def users(tmp_path: Path) -> Path:
    """A users.csv with a byte order mark, which the binding tolerates."""
    path = tmp_path / "users.csv"
    path.write_bytes(b"\xef\xbb\xbf" + USERS.encode())
    return path


def test_learners_are_read_and_others_left_out(users: Path) -> None:
    assert [person.source for person in read_users(users)] == ["s-1", "s-2", "s-4"]
    assert read_users(users)[2].name == "Zoë, Ann Invented"


def test_a_name_with_control_characters_before_a_sign_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    users, key = tmp_path / "users.csv", tmp_path / "key.csv"
    users.write_text('sourcedId,givenName,familyName\r\n2,"\'\0\0-xF,a",b\r\n', encoding="utf-8")  # met by fuzzing
    people, _ = make_codes(users, key)
    assert [each.given for each in people] == ["-xF,a"]
    assert read_key(key) == people


def test_codes_are_made_once_and_kept(users: Path, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    first, new = make_codes(users, key)
    again, none_new = make_codes(users, key)
    assert (new, none_new) == (3, 0)
    assert [person.code for person in first] == [person.code for person in again]
    assert len({person.code for person in first}) == 3
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert names(key) == {person.code: person.name for person in first}


def test_no_cell_of_the_key_is_a_formula(users: Path, tmp_path: Path) -> None:
    make_codes(users, tmp_path / "key.csv")
    with (tmp_path / "key.csv").open(encoding="utf-8", newline="") as source:
        cells = [cell for row in csv.reader(source) for cell in row]
    assert {"'=1+1", "a;'=1"} <= set(cells)
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert read_key(tmp_path / "key.csv")[1].name == "=1+1 a;=1"  # and read back it is as it was


@pytest.mark.parametrize("content", [b"", b"name\nAnna\n", b"\xff\xfe\x00", b"sourcedId,givenName\n1,Anna\n"])
def test_what_is_no_class_list_is_refused_in_one_sentence(content: bytes, tmp_path: Path) -> None:
    (tmp_path / "users.csv").write_bytes(content)
    with pytest.raises(LogTrouble, match=r"is not a OneRoster users\.csv|not CSV in UTF-8"):
        read_users(tmp_path / "users.csv")


def test_the_key_is_not_put_beside_the_logs(users: Path, tmp_path: Path) -> None:
    logs = a_folder(tmp_path / "logs")
    done = chattutor("logs", "roster", users, "--key", logs / "key.csv", "--logs", logs)
    assert (done.returncode, (logs / "key.csv").exists()) == (2, False)
    done = chattutor("logs", "roster", users, "--key", tmp_path / "key.csv", "--logs", logs)
    assert (done.returncode, done.stdout[:13]) == (0, "3 codes made,")


def test_names_stand_beside_codes_only_with_the_key(tmp_path: Path) -> None:
    logs = a_folder(tmp_path / "logs")
    key = tmp_path / "key.csv"
    key.write_text("code,givenName,familyName,sourcedId\ninvented,Nobody,Real,s-1\n", encoding="utf-8")
    without, named = chattutor("review", logs), chattutor("review", logs, "--key", key)
    assert (without.returncode, named.returncode) == (0, 0)
    assert "Nobody" not in without.stdout
    assert "Nobody Real (invented)" in named.stdout
    lost = chattutor("review", logs, "--key", tmp_path / "none.csv")
    assert (lost.returncode, lost.stderr.count("\n")) == (1, 1)


def test_a_key_without_codes_is_told_before_any_log_is_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    key = tmp_path / "key.csv"
    key.write_text("givenName,familyName,sourcedId\nNobody,Real,s-1\n", encoding="utf-8")
    monkeypatch.setattr("chattutor.review.class_reading.class_json", lambda *_, **__: pytest.fail("logs were read"))
    assert main(["review", str(tmp_path), "--key", str(key)]) == 1
    assert capsys.readouterr().err == (
        f"chattutor: {key} has no column of codes and one of names: its line 1 is "
        '"givenName, familyName, sourcedId". Two columns will do: code,name.\n'
    )


TABLES = [
    ("code,name\nann1,Ann Invented\nbob2,Bob Invented\n", 'from the column "code", names from the column "name"'),
    (
        "Surname;First name;Login\nInvented;Ann;ann1\nInvented;Bob;bob2\n",
        'from the column "Login", names from the column "First name" and the column "Surname"',
    ),
    ("ann1\tAnn Invented\nbob2\tBob Invented\n", "from column 1, names from column 2"),
    (
        "Pupil,Form,Nr\nAnn Invented,9B,ann1\nBob Invented,9B,bob2\n",
        'from the column "Nr", names from the column "Pupil"',
    ),
]


@pytest.mark.parametrize(("content", "told"), TABLES)
def test_names_are_read_from_any_table_and_what_was_guessed_is_said(content: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "names.csv"
    path.write_text(content, "utf-8")
    found = names_in(path)
    assert found.names == {"ann1": "Ann Invented", "bob2": "Bob Invented"}
    assert told in found.told


def test_a_code_of_two_people_is_refused_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "names.csv"
    path.write_text("code,name\na1,Ann\nb1,Bob\na1,Abe\n", "utf-8")
    with pytest.raises(LogTrouble, match=r'line 4: the code a1 is given to two people \("Ann" and "Abe"\)'):
        names_in(path)


@pytest.mark.parametrize("content", ["", "name\nAnn\n", "a,b\n1,2\n"])
def test_a_table_without_both_is_refused(content: str, tmp_path: Path) -> None:
    path = tmp_path / "names.csv"
    path.write_text(content, "utf-8")
    with pytest.raises(LogTrouble, match=r"no column of codes|is empty"):
        names_in(path)


def test_every_place_of_a_page_is_named() -> None:
    page = {"learners": [{"code": "a"}], "groups": [{"learners": ["a", "b"], "error": "x"}], "turns": 3}
    assert with_names(page, {"a": "Ada"}) == {
        "learners": [{"code": "Ada (a)"}],
        "groups": [{"learners": ["Ada (a)", "b"], "error": "x"}],
        "turns": 3,
    }
