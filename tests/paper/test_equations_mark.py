"""``chattutor mark``: typed-in paper work gets the judgement and patterns of a lesson, and its logs."""

import json
from pathlib import Path

import pytest
from processes import chattutor

from chattutor.session_logs.folder import sessions
from chattutor.session_logs.learner_history import past_of

WORK = """\
# Monday
A17: 3x + 2 = 14
3x = 12
x = 4

B2: 5x + 7 = 32
5x = 39
x = 7.8

B2: 4n + 9 = 37
4n = 46
n = 11.5

B3: 3n + 4 = 3n + 9
4 = 9
no solution

C1: x^2 = 4
x = 2

D4: 2(x + 3) = 14
subtract 3 from both sides
purple

E5: 7k = 91
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """The invented work above as a file."""
    made = tmp_path / "work.txt"
    made.write_text(WORK)
    return made


def test_method_and_answer_are_marked_apart(path: Path) -> None:
    done = chattutor("mark", path, "--json")
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    work = [(row["learner"], row["method"], row["answer"]) for row in rows if "equation" in row]
    assert work == [
        ("A17", True, "right"),
        ("B2", False, "wrong"),
        ("B2", False, "wrong"),
        ("B3", True, "right"),
        ("D4", True, "not yet"),
        ("E5", False, "not attempted"),
    ]
    wrong = rows[1]["lines"]
    assert [(line["balanced"], line["errors"][:1]) for line in wrong] == [
        (False, ["opposite-on-other-side"]),
        (True, []),  # right from the learner's own line
    ]
    assert [row["patterns"] for row in rows if row["learner"] == "B2" and "patterns" in row] == [
        ["opposite-on-other-side"]
    ]
    assert [row["patterns"] for row in rows if row["learner"] == "A17" and "patterns" in row] == [[]]


def test_what_cannot_be_marked_is_said_with_its_line_and_the_rest_is_marked(path: Path) -> None:
    done = chattutor("mark", path)
    assert done.returncode == 1
    assert "line 18: The unknown is multiplied by itself" in done.stderr
    assert "  ? purple   This is neither a line of working nor a move." in done.stdout
    assert "B2: seen on two equations or more: Subtracts on one side" in done.stdout


def test_the_work_goes_into_session_logs(path: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    chattutor("mark", path, "--logs", logs)
    found = {session.header.learner: session for session in sessions(logs) if session.header is not None}
    assert set(found) == {"A17", "B2", "B3", "D4", "E5"}
    assert [list(turn.record.errors[:1]) for turn in found["B2"].turns[1:]] == [
        ["opposite-on-other-side"], [], ["opposite-on-other-side"], [],
    ]  # fmt: skip
    assert found["A17"].turns[-1].record.solved
    assert chattutor("logs", "verify", "--logs", logs).returncode == 0


def test_a_table_of_work(tmp_path: Path) -> None:
    table = tmp_path / "work.csv"
    table.write_text("code;equation;1;2\nA1;3x + 2 = 14;3x = 12;x = 4\nA2;4n = 52;n = 48;\n", encoding="utf-8-sig")
    rows = [json.loads(line) for line in chattutor("mark", table, "--json").stdout.splitlines()]
    assert [(row["learner"], row["answer"]) for row in rows if "answer" in row] == [("A1", "right"), ("A2", "wrong")]
    assert rows[1]["lines"][0]["errors"] == ["subtract-coefficient"]


def test_words_of_distress_are_shown_to_the_teacher_and_not_kept(tmp_path: Path) -> None:
    work = tmp_path / "work.txt"
    work.write_text("A1: 3x = 12\nsomeone is hurting me\n")
    done = chattutor("mark", work, "--logs", tmp_path / "logs")
    assert "please read it" in done.stdout
    kept = "".join(file.read_text() for file in (tmp_path / "logs").rglob("*.jsonl"))
    assert "distress" in kept and "hurting" not in kept


def test_a_file_without_work(tmp_path: Path) -> None:
    empty = tmp_path / "empty.txt"
    empty.write_text("just words\n")
    done = chattutor("mark", empty)
    assert done.returncode == 1 and done.stdout == ""
    assert "line 1: This line belongs to no piece of work" in done.stderr
    assert "There is no work in" in done.stderr.splitlines()[-1]


def test_marked_work_is_not_replayed_but_said_to_be_from_paper(tmp_path: Path) -> None:
    (tmp_path / "work.txt").write_text("A17: 3x + 2 = 14\n3x = 12\nx = 4\n", encoding="utf-8")
    assert chattutor("mark", tmp_path / "work.txt", "--logs", tmp_path / "logs").returncode == 0
    (path,) = (tmp_path / "logs").rglob("*.jsonl")
    done = chattutor("logs", "replay", path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "learner A17 (marked from paper)" in done.stdout.splitlines()[0]
    assert "Learner: 3x = 12\nLearner: x = 4\n" in done.stdout
    assert "no conversation to replay" in done.stdout


def test_a_spreadsheets_export_of_work_is_marked(tmp_path: Path) -> None:
    """UTF-16 with semicolons, and what a spreadsheet puts around a text that begins with an equals sign."""
    table = 'Code;Equation;Line 1;Line 2\r\nA17;3x + 2 = 14;"=""3x = 12""";"x = 4"\r\n'
    (tmp_path / "work.csv").write_bytes(table.encode("utf-16"))
    done = chattutor("mark", tmp_path / "work.csv", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    row = json.loads(done.stdout.splitlines()[0])
    assert (row["method"], row["answer"]) == (True, "right")
    assert [line["text"] for line in row["lines"]] == ["3x = 12", "x = 4"]


def test_marked_work_is_evidence_of_its_stage(tmp_path: Path) -> None:
    """A two-step equation and a one-step one, typed in from paper, count for stages 6 and 3 like a lesson's."""
    work = "A17: 3x + 2 = 14\n3x = 12\nx = 4\n\nA17: 4n = 52\nn = 48\n"
    (tmp_path / "work.txt").write_text(work, encoding="utf-8")
    chattutor("mark", tmp_path / "work.txt", "--logs", tmp_path / "logs")
    found = past_of(tmp_path / "logs", "A17")
    assert [(each.stage, each.right, each.purpose) for each in found.history] == [
        (6, True, "asked"),
        (3, False, "asked"),
    ]


SHEET = "1. n + 19 = 43\n2. 4n = 52\n3. 4n + 9 = 37\n"
ANSWERS = "A17\n1. 24\n2. n = 13\n3. 4n = 28\nn = 7\n\nB2\nQ1 n = 62\n2) n = 48\n3) 4n = 46, n = 11.5\n4) n = 3\n"


def test_question_numbers_stand_for_the_equations_of_a_sheet(tmp_path: Path) -> None:
    (tmp_path / "sheet.txt").write_text(SHEET)
    (tmp_path / "work.txt").write_text(ANSWERS)
    done = chattutor("mark", tmp_path / "work.txt", "--sheet", tmp_path / "sheet.txt", "--json")
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert [(row["learner"], row["equation"], row["answer"]) for row in rows if "answer" in row] == [
        ("A17", "n + 19 = 43", "right"), ("A17", "4*n = 52", "right"), ("A17", "4*n + 9 = 37", "right"),
        ("B2", "n + 19 = 43", "wrong"), ("B2", "4*n = 52", "wrong"), ("B2", "4*n + 9 = 37", "wrong"),
    ]  # fmt: skip
    assert 'line 11: The sheet has no question with this number. ("4) n = 3")' in done.stderr


def test_the_page_to_hand_back_asks_about_the_first_wrong_line_and_gives_no_answer(tmp_path: Path) -> None:
    (tmp_path / "work.txt").write_text(
        "B2: 4n + 9 = 37\n4n = 46\nn = 11.5\n\nA<1>: x\n\nA1: 4n + 9 = 37\n4n = 28\nn = 7\n"
    )
    done = chattutor("mark", tmp_path / "work.txt", "--page", tmp_path / "back.html", "--title", "<Tuesday>")
    assert f"Written: {tmp_path / 'back.html'}." in done.stderr
    wrong, right = (tmp_path / "back.html").read_text("utf-8").split("<section")[1:]
    assert "<h1>&lt;Tuesday&gt;</h1>" in wrong and '<span class="code">B2</span>' in wrong
    assert (
        '<span class="mark">\N{WHITE CIRCLE}</span> 4n = 46' in wrong and '<span class="mark"></span> n = 11.5' in wrong
    )
    assert "What did you do to each side? Was it the same thing?" in wrong  # the first question of the error's table
    assert "= 7" not in wrong and "28" not in wrong
    assert "Right, and every step keeps the balance." in right and "Was it the same" not in right


def test_a_table_with_a_column_a_question_is_marked_against_the_sheet(tmp_path: Path) -> None:
    (tmp_path / "sheet.txt").write_text(SHEET)
    (tmp_path / "answers.csv").write_text('Name,Q1,Q2,Q3\nA17,24,n = 13,"4n = 28; n = 7"\nAda B.,62,,n=7\n')
    done = chattutor("mark", tmp_path / "answers.csv", "--sheet", tmp_path / "sheet.txt", "--json")
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert [(row["learner"], row["answer"], row["answer_only"]) for row in rows if "answer" in row] == [
        ("A17", "right", False), ("A17", "right", False), ("A17", "right", False),
        ("Ada-B", "wrong", False), ("Ada-B", "not attempted", False), ("Ada-B", "right", True),
    ]  # fmt: skip


def test_a_list_of_answers_is_refused_without_its_sheet_and_marked_with_it(tmp_path: Path) -> None:
    answers, sheet = tmp_path / "pip.txt", tmp_path / "sheet.txt"
    answers.write_text("1 x=4\n2 x = -3\n3 5\n")
    sheet.write_text("7x = 28\n2x + 9 = 3\n4x - 7 = 13\n")
    alone = chattutor("mark", answers)
    assert (alone.returncode, alone.stdout) == (1, "")
    assert 'line 2: This is an answer without its equation; --sheet FILE names the file with the equations. ("2 x' in (
        alone.stderr
    )
    marked = chattutor("mark", answers, "--sheet", sheet)
    assert (marked.returncode, marked.stdout.count("answer right")) == (0, 3)
    assert "nobody's code or name is given, so this is marked as the work of pip." in marked.stderr


def test_a_wrong_answer_put_right_is_not_crossed_but_a_right_one_after_a_wrong_line_is(tmp_path: Path) -> None:
    path = tmp_path / "work.txt"
    path.write_text("A1: 2x = 8\nx = 16\ncorrection: x = 4\n\nA2: 2x + 3 = 9\n2x = 12\nx = 3\n")
    text = chattutor("mark", path).stdout
    assert "    correction: x = 4   Put right." in text
    assert text.count("\N{BALLOT X}") == 3  # x = 16; 2x = 12 and, from it, x = 3
