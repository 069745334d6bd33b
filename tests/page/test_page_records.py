"""Records, marking and sheets on the teacher's pages: what the command line does about a class is done there too."""

import argparse
import io
import re
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from invented_class import write_class
from page_clients import ORIGIN, SECRET, browser, options
from starlette.testclient import TestClient

from chattutor.commands import equations, logs, mark, review
from chattutor.page.record_routes import actions
from chattutor.page.server_state import Service
from chattutor.page.tokens import Tokens
from chattutor.session_logs.reader import read_session

pytestmark = pytest.mark.timeout(120)

WHERE = {
    "review": {
        "folders": "--logs of the server", "json": "for scripts", "html": "/teacher", "csv": "/teacher/class.csv",
        "plan": "/teacher/tomorrow", "name": "/teacher", "since": "/teacher", "until": "/teacher",
        "over_time": "/teacher/over-time", "half_terms": "/teacher/over-time",
        "parent": "/teacher/learner/CODE/parent", "set": "/teacher/tomorrow",
        "learner": "/teacher/learner/CODE", "key": "--key of the server", "note": "/teacher/note",
        "belongs": "/teacher/belongs", "override": "/teacher/override",
    },
    "logs": {"list": "/teacher/records", "show": "/teacher/records/show/ID", "replay": "/teacher/records/replay/ID"},
    "equations": {
        "stages": "/teacher/equations", "make": "/teacher/equations", "check": "/teacher/equations/look",
        "print": "/teacher/equations/look",
    },
    "mark": {
        "file": "/teacher/marking", "json": "for scripts", "sheet": "/teacher/marking", "page": "/teacher/marking",
        "title": "/teacher/marking", "logs": "/teacher/marking",
    },
}  # fmt: skip
"""Where the page does what each option or action of the commands about a class does."""


@pytest.fixture(scope="module")
def invented(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An invented class of three, one lesson each."""
    return write_class(tmp_path_factory.mktemp("invented") / "class", 3, 1)


@pytest.fixture
def class_logs(invented: Path, tmp_path: Path) -> Path:
    """A copy of it, that may be changed."""
    return Path(shutil.copytree(invented, tmp_path / "class"))


@pytest.fixture
def teacher(class_logs: Path) -> TestClient:
    """A browser in which the teacher has come in."""
    service = Service(options(logs=class_logs), class_logs, Tokens(SECRET))
    found = browser(service)
    found.get(f"/teacher?key={service.keys['teacher']}")
    return found


def _codes(logs: Path) -> list[str]:
    return sorted(path.name for path in logs.iterdir() if path.is_dir())


def _names(command: str) -> Iterator[str]:
    """The options of a command, or its actions where it has any."""
    parser = argparse.ArgumentParser()
    made = parser.add_subparsers()
    {"review": review, "logs": logs, "equations": equations, "mark": mark}[command].add_parser(made)
    for option in made.choices[command]._actions:
        if isinstance(option, argparse._SubParsersAction):
            yield from option.choices
        elif option.dest != "help":
            yield option.dest


@pytest.mark.parametrize("command", WHERE)
def test_whatever_a_command_does_about_a_class_has_its_place(command: str) -> None:
    here = set(WHERE[command]) | (set(actions()) if command == "logs" else set())
    names = {name for name in _names(command) if name != "action"}
    assert names - here == set()


def test_lessons_are_listed_and_read(teacher: TestClient, class_logs: Path) -> None:
    page = teacher.get("/teacher/records").text
    assert all(code in page for code in _codes(class_logs))
    ways = re.findall(r'href="(/teacher/records/show/[0-9a-f]{16})"', page)
    assert len(ways) == 3
    text = teacher.get(ways[0]).text
    assert "Tutor:" in text and "Learner:" in text and "Session of" in text
    assert "Tutor:" in teacher.get(ways[0].replace("show", "replay")).text
    one = _codes(class_logs)[1]
    assert len(re.findall("/records/show/", teacher.get(f"/teacher/records?learner={one}").text)) == 1
    assert teacher.get("/teacher/records?learner=..%2f").status_code == 422
    for odd in ("show/--help", "show/..%2f", "erase/x", "list", "erase", "show/zz"):
        assert "usage:" not in teacher.get(f"/teacher/records/{odd}").text, odd


def test_files_are_looked_over_and_judged_again(teacher: TestClient, class_logs: Path) -> None:
    assert "3 sound" in teacher.get("/teacher/records/verify").text
    (class_logs / "odd.jsonl").write_text("<b>no log</b>\n", "utf-8")
    page = teacher.get("/teacher/records/verify").text
    assert "1 with something wrong" in page and "<b>no" not in page
    assert "turns would be understood or judged" in teacher.get("/teacher/records/judge-again").text
    assert "a fit needs at least 30" in teacher.get("/teacher/records/fit").text


def test_records_are_handed_out(teacher: TestClient, class_logs: Path) -> None:
    code = _codes(class_logs)[0]
    answer = teacher.get(f"/teacher/records/export?field0={code}")
    assert f'filename="{code}.zip"' in answer.headers["content-disposition"]
    assert any(name.endswith(".jsonl") for name in zipfile.ZipFile(io.BytesIO(answer.content)).namelist())
    assert answer.headers["content-type"] != "text/html"
    lines = teacher.get("/teacher/records/xapi?field0=&field1=https%3A%2F%2Fschool.invalid").text.splitlines()
    assert len(lines) > 3 and all('"actor"' in line for line in lines)
    assert teacher.get("/teacher/records/export?field0=").status_code == 422


def test_erasing_is_asked_about_and_then_done(teacher: TestClient, class_logs: Path) -> None:
    code, *others = _codes(class_logs)
    form = {"field0": code, "field1": ""}
    asked = teacher.post("/teacher/records/erase", data=form, headers=ORIGIN).text
    assert "Delete this for good?" in asked and _codes(class_logs) == [code, *others]
    done = teacher.post("/teacher/records/erase", data=form | {"sure": "yes"}, headers=ORIGIN).text
    assert "Deleted" in done and _codes(class_logs) == others
    assert teacher.get("/teacher/records/erase").status_code == 303  # an address alone deletes nothing


def test_logs_are_brought_together(teacher: TestClient, class_logs: Path, tmp_path: Path) -> None:
    stick = write_class(tmp_path / "stick", 5, 1)
    done = teacher.post("/teacher/records/collect", data={"field0": str(stick)}, headers=ORIGIN).text
    assert re.search(r"Into .*: \d+ new", done) and len(_codes(class_logs)) == 5
    wrong = teacher.post("/teacher/records/collect", data={"field0": "--help"}, headers=ORIGIN).text
    assert "usage:" not in wrong and "There is no folder --help" in wrong


def test_codes_are_made_from_a_class_list(teacher: TestClient, tmp_path: Path) -> None:
    users = tmp_path / "users.csv"
    users.write_text(
        "sourcedId,status,enabledUser,givenName,familyName,role\nu1,active,true,Ada,Invented,student\n", "utf-8"
    )
    form = {"field0": str(users), "field1": str(tmp_path / "key.csv")}
    assert "1 codes made" in teacher.post("/teacher/records/roster", data=form, headers=ORIGIN).text
    assert "Ada" in (tmp_path / "key.csv").read_text("utf-8")


def test_a_lesson_is_another_learners(teacher: TestClient, class_logs: Path) -> None:
    one, two, *_ = _codes(class_logs)
    (path,) = (class_logs / one).glob("*.jsonl")
    header = read_session(path).header
    assert header is not None
    form = {"learner": one, "session": header.id, "whose": two}
    assert teacher.post("/teacher/belongs", data=form, headers=ORIGIN).status_code == 303
    page = teacher.get(f"/teacher/learner/{two}").text
    assert page.count(f'<option value="{header.id}"') == 2  # to be judged, and to be given to another
    assert teacher.get(f"/teacher/learner/{one}").status_code == 422  # nothing is left of theirs
    bad = form | {"learner": two, "whose": "a b"}
    assert teacher.post("/teacher/belongs", data=bad, headers=ORIGIN).status_code == 422


def test_half_a_page_for_a_parent(teacher: TestClient, class_logs: Path) -> None:
    page = teacher.get(f"/teacher/learner/{_codes(class_logs)[0]}/parent").text
    assert "Equations:" in page and "judgement" not in page
    assert teacher.get("/teacher/learner/nobody/parent").status_code == 422


WORK = "A17: 3x + 2 = 14\r\n3x = 12\r\nx = 4\r\n\r\nB18: 3x + 2 = 14\r\n3x = 16\r\n"


def test_work_on_paper_is_marked(teacher: TestClient, class_logs: Path) -> None:
    page = teacher.post("/teacher/marking/mark", data={"work": WORK, "do": "marks"}, headers=ORIGIN).text
    assert "A17: 3x + 2 = 14: answer right" in page and "\N{BALLOT X} 3x = 16" in page and "A17: 3x + 2" in page
    back = teacher.post("/teacher/marking/mark", data={"work": WORK, "do": "page", "title": "<b>"}, headers=ORIGIN)
    assert "\N{CHECK MARK}" in back.text and "&lt;b&gt;" in back.text and "A17" in back.text
    assert "A17" not in _codes(class_logs)
    given = {"work": "A17\n1. 3x = 12, x = 4\n", "sheet": "3x + 2 = 14\n", "count": "on", "do": "marks"}
    assert "answer right" in teacher.post("/teacher/marking/mark", data=given, headers=ORIGIN).text
    assert "A17" in _codes(class_logs)
    assert teacher.post("/teacher/marking/mark", data={"work": " "}, headers=ORIGIN).status_code == 422
    odd = teacher.post("/teacher/marking/mark", data={"work": "<script>x</script>"}, headers=ORIGIN).text
    assert "<script>x" not in odd and "work.txt" not in odd


def test_sheets_are_as_the_command_prints_them(teacher: TestClient) -> None:
    drawn = teacher.get("/teacher/equations?stage=3,5&count=4&seed=2&words=on").text
    lines = drawn.partition("<textarea")[2].partition(">")[2].partition("</textarea>")[0].splitlines()
    assert sum("=" in line for line in lines) == 4 and any(line.startswith("# ") and "Let" in line for line in lines)
    assert 'value="3,5"' in drawn and "name=words checked" in drawn
    form = {
        "equations": "3x + 2 = 14", "title": "Warm up", "group": "8B", "date": "Monday", "instruction": "Solve.",
        "key": "full", "do": "print",
    }  # fmt: skip
    sheet = teacher.post("/teacher/equations/look", data=form, headers=ORIGIN).text
    assert all(each in sheet for each in ("Warm up", "8B", "Monday", "Solve.", "x = 4"))
    key = teacher.post("/teacher/equations/look", data=form | {"only": "key"}, headers=ORIGIN).text
    assert "x = 4" in key and len(key) < len(sheet)
    kept = teacher.post("/teacher/equations/look", data=form | {"do": "check"}, headers=ORIGIN).text
    assert 'value="Warm up"' in kept and '<option value="full" selected>' in kept
    assert teacher.get("/teacher/equations?stage=99").status_code == 422
    assert teacher.get("/teacher/equations?stage=--help").status_code == 422
