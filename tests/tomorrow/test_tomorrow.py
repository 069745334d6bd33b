"""Tomorrow's lesson from last night's logs: every learner has equations, they expose the idea, and a lesson takes them
up by the code. The explanation waits after every question (at least three seconds: trade practice, no source)."""

import csv
import json
from itertools import pairwise
from pathlib import Path

import pytest
from browser import needs_chromium, pages
from playwright.sync_api import Browser
from processes import chattutor
from test_review import session, solved, wrong

from chattutor.session_logs.next_lesson import next_set
from chattutor.tomorrow.explanation import explanation, length
from chattutor.tomorrow.telling_equations import explained, exposes, telling
from dialogue.algebra.equation import read_equation
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.misconceptions.catalogue import beliefs
from dialogue.algebra.with_sympy import solution
from dialogue.learner.records import stage_of

IDEA = "subtract-coefficient"


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """Two who hold an idea, and one who does not."""
    folder = tmp_path / "logs"
    for code in ("ann1", "bob1"):
        session(folder, code, [wrong(0, "n is 48"), wrong(1, "n is 78"), solved(2)])
    session(folder, "cara", [solved(0), solved(1), solved(2)])
    return folder


def planned(logs: Path, out: Path, *more: str) -> list[dict[str, str]]:
    """Tomorrow's lesson, and the rows of its table."""
    done = chattutor("review", logs, "--plan", out, *more)
    assert done.returncode == 0, done.stderr
    with (out / "lessons.csv").open(encoding="utf-8", newline="") as source:
        return list(csv.DictReader(source))


def test_one_command_writes_all_of_tomorrow(logs: Path, tmp_path: Path) -> None:
    rows = planned(logs, tmp_path / "out")
    written = {path.name for path in (tmp_path / "out").iterdir()}
    assert written == {"groups.html", "explanations.html", f"sheet-{IDEA}.html", "lessons.csv"}
    assert {row["code"] for row in rows} == {"ann1", "bob1", "cara"}
    groups = (tmp_path / "out" / "groups.html").read_text("utf-8")
    belief = beliefs()[IDEA]
    for words in ("n is 48", belief.says, belief.opens, *belief.board):
        assert words in groups


def test_a_learners_sheet_does_not_say_what_they_get_wrong(logs: Path, tmp_path: Path) -> None:
    planned(logs, tmp_path / "out")
    text = (tmp_path / "out" / f"sheet-{IDEA}.html").read_text("utf-8")
    sheet, key, answers = text.partition("<h1>Answers</h1>")
    assert key and "Sheet 1" in sheet and answers.count("<li>") == sheet.count('class="number"')
    assert error_table()[IDEA].name not in sheet and IDEA not in sheet
    assert "Then sheet 1:" in (tmp_path / "out" / "groups.html").read_text("utf-8")


@pytest.mark.parametrize("error", ["one-side-only", "combine-unlike-terms", IDEA])
def test_where_there_are_any_a_sheet_begins_with_whole_and_positive_answers(error: str) -> None:
    answers = [each.solution().value for each in telling(error, 8, "seed", 40)]
    gentle = [value is not None and value > 0 and value.denominator == 1 for value in answers]
    assert any(gentle) and gentle == sorted(gentle, reverse=True)


def test_each_learner_has_equations_of_their_own_that_expose_the_idea(logs: Path, tmp_path: Path) -> None:
    rows = planned(logs, tmp_path / "out")
    own = {code: [row["equation"] for row in rows if row["code"] == code] for code in ("ann1", "bob1", "cara")}
    assert own["ann1"] != own["bob1"] and all(len(set(some)) == 5 for some in own.values())
    for text in own["ann1"] + own["bob1"]:
        assert exposes(read_equation(text), IDEA)
        assert solution(read_equation(text)).kind == "one"
    assert [(row["stage"], row["why"]) for row in rows if row["code"] == "cara"] == [
        ("4", "going on"), ("4", "going on"), ("2", "an earlier stage"), ("4", "a variation"), ("5", "going on"),
    ]  # fmt: skip


def test_a_lesson_takes_them_up_by_the_code_once(logs: Path, tmp_path: Path) -> None:
    rows = planned(logs, tmp_path / "out", "--set")
    wanted = [row["equation"] for row in rows if row["code"] == "ann1"]
    assert [row.equation for row in next_set(logs, "ann1")] == wanted
    done = chattutor("lesson", "--learner", "ann1", "--logs", logs, given="stop\n")
    assert done.returncode == 0 and "Your teacher chose these equations for you." in done.stdout
    newest = max((logs / "ann1").glob("*.jsonl"), key=lambda path: path.stat().st_mtime_ns)
    tasks = json.loads(newest.read_bytes().splitlines()[0])["plan"]["tasks"]
    assert [read_equation(task["equation"]) for task in tasks] == list(map(read_equation, wanted))
    assert [task.get("exit", False) for task in tasks] == [False] * 4 + [True]
    assert next_set(logs, "ann1") == []  # begun: the lesson after it is chosen as usual
    assert next_set(logs, "bob1") != []


def test_a_table_of_codes_gives_each_their_own(logs: Path, tmp_path: Path) -> None:
    planned(logs, tmp_path / "out")
    table = tmp_path / "out" / "lessons.csv"
    done = chattutor("lesson", "--learner", "new1", "--equations", table, "--logs", logs, given="stop\n")
    assert done.returncode == 1
    assert f"There is no equation for learner new1 in {table} that can be used." in done.stderr
    mine = tmp_path / "mine.csv"
    mine.write_text("Code;x\n", "utf-8")
    mine.write_text("Equation,Code\n3x = 12,ann1\nrubbish,ann1\n5x = 45,bob1\n", "utf-8")
    done = chattutor("lesson", "--learner", "ann1", "--equations", mine, "--logs", logs, given="stop\n")
    assert done.returncode == 0 and "3x = 12" in done.stdout and "5x" not in done.stdout


def test_what_is_set_goes_when_the_learner_is_erased_and_is_no_fault(logs: Path, tmp_path: Path) -> None:
    planned(logs, tmp_path / "out", "--set")
    assert chattutor("logs", "verify", logs).returncode == 0
    assert chattutor("logs", "erase", "ann1", "--logs", logs, "--yes").returncode == 0
    assert not (logs / "ann1").exists()


@pytest.mark.parametrize("error", sorted(beliefs()))
def test_an_explanation_waits_shows_what_is_wrong_and_ends_with_a_question(error: str) -> None:
    equation = explained(error, 6)
    assert equation is not None
    cues = explanation(beliefs()[error], equation)
    assert 45 <= length(cues) <= 150  # two minutes, or less where there is no answer to put in
    assert cues[-1].do == "ask"
    for cue, after in pairwise(cues):
        assert cue.do != "ask" or (after.do == "pause" and after.seconds >= 3)
    written = " ".join(cue.text for cue in cues if cue.do == "write")
    answer = solution(equation).value
    shown = "" if answer is None else str(answer).replace("-", "\N{MINUS SIGN}")
    letter = equation.letter
    assert answer is None or f"{letter} = {shown} " in written or f"{shown} = {letter} " in written


@pytest.mark.parametrize("error", sorted(beliefs()))
def test_the_equations_of_a_sheet_expose_its_idea(error: str) -> None:
    some = telling(error, 6, "seed", 6)
    assert len({each.text() for each in some}) == len(some) == 6
    no_value = {"divide-by-unknown", "divide-by-zero", "solution-refused", "running-equals"}
    assert error in no_value or all(exposes(each, error) for each in some)
    assert error in error_table()


def test_whoever_reads_a_coefficient_as_a_digit_is_first_given_equations_of_one_step() -> None:
    """Of stage 3 only such as 3n = 39 show it: 3 and then 9. The rest of a sheet is of the next stages that do."""
    stages_given = [stage_of(each) for each in telling("coefficient-as-digit", 3, "seed", 10)]
    assert stages_given[:2] == [3, 3] and set(stages_given) <= {3, 6, 8} and len(stages_given) == 10


@needs_chromium
def test_two_half_pages_print_on_one_sheet_and_an_explanation_on_one(
    logs: Path, chromium: Browser, tmp_path: Path
) -> None:
    session(logs, "dev1", [wrong(0, "n = 208", "same-operation"), wrong(1, "n = 504", "same-operation")])
    planned(logs, tmp_path / "out")
    assert pages(chromium, tmp_path / "out" / "groups.html") == 1
    assert pages(chromium, tmp_path / "out" / "explanations.html") == 2


def test_a_class_without_a_group_still_has_a_lesson(tmp_path: Path) -> None:
    session(tmp_path / "logs", "cara", [solved(0), solved(1)])
    rows = planned(tmp_path / "logs", tmp_path / "out")
    assert len(rows) == 5
    assert "There is no group to re-teach." in (tmp_path / "out" / "groups.html").read_text("utf-8")


def test_whoever_works_at_two_steps_is_set_two_steps(tmp_path: Path) -> None:
    """What is due of earlier stages, and a first try that went wrong, do not make a lesson of one step."""
    session(tmp_path / "logs", "two1", [solved(3), {"task": 0, "event": "skip"}])
    session(tmp_path / "logs", "two2", [wrong(3, "n = 1", "arithmetic-slip"), solved(3)])
    rows = planned(tmp_path / "logs", tmp_path / "out")
    assert [row["stage"] for row in rows if row["code"] == "two1"] == ["6"] * 5
    assert sum(row["stage"] >= "6" for row in rows if row["code"] == "two2") == 5
    page = json.loads(chattutor("review", tmp_path / "logs", "--learner", "two1", "--json").stdout)
    assert page["next"]["stage"] == 6
