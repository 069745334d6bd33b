"""The teacher's pages: class, learner, equations; notes and judgements by clicking; names that stay where they are."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from invented_class import write_class
from page_clients import HOST, ORIGIN, SECRET, browser, options
from starlette.testclient import TestClient

from chattutor.page.server_state import Service
from chattutor.page.tokens import Tokens
from chattutor.session_logs.next_lesson import next_set
from chattutor.session_logs.notes import read_notes

pytestmark = pytest.mark.timeout(120)

KEY = "code,givenName,familyName,sourcedId\n{code},Ada,Invented,u1\n"
PAGES = (
    "/teacher", "/teacher/over-time", "/teacher/tomorrow", "/teacher/tomorrow/groups.html", "/teacher/class.csv",
    "/teacher/learner/avocet-02", "/teacher/learner/avocet-02/parent", "/teacher/equations", "/teacher/marking",
    "/teacher/records", "/teacher/records/verify", "/teacher/records/show/0123",
)  # fmt: skip
FORMS = (
    "/teacher/tomorrow/make", "/teacher/note", "/teacher/override", "/teacher/belongs", "/teacher/equations/look",
    "/teacher/marking/mark", "/teacher/records/erase", "/teacher/live/words",
)  # fmt: skip


@pytest.fixture(scope="module")
def class_logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An invented class of six, one lesson each."""
    return write_class(tmp_path_factory.mktemp("class"), 6, 1)


@pytest.fixture
def school(class_logs: Path, tmp_path: Path) -> Service:
    """A server over these logs, with a key that names one learner."""
    key = tmp_path / "7b.csv"
    key.write_text(KEY.format(code=_codes(class_logs)[1]), "utf-8")
    return Service(options(key=[key]), class_logs, Tokens(SECRET))


@pytest.fixture
def teacher(school: Service) -> TestClient:
    """A browser in which the teacher has come in."""
    found = browser(school)
    answer = found.get(f"/teacher?key={school.keys['teacher']}")
    assert answer.headers["location"] == "/teacher"
    return found


def _codes(logs: Path) -> list[str]:
    return sorted(path.name for path in logs.iterdir() if path.is_dir())


@pytest.mark.parametrize("path", PAGES)
def test_nobody_else_sees_them(school: Service, let_in: Callable[..., TestClient], path: str) -> None:
    for client in (browser(school), let_in(of=school)):
        assert client.get(path).status_code == 403
        assert client.get(f"/teacher?key={school.keys['here']}").status_code == 403


@pytest.mark.parametrize("path", FORMS)
def test_nobody_else_writes_there(school: Service, let_in: Callable[..., TestClient], path: str) -> None:
    for client in (browser(school), let_in(of=school)):
        assert client.post(path, data={"learner": "avocet-02", "text": "x"}, headers=ORIGIN).status_code == 403


def test_the_class_page_is_the_reviews_with_names_and_ways_to_each_learner(
    teacher: TestClient, school: Service, class_logs: Path
) -> None:
    text = teacher.get("/teacher").text
    one, named, *_ = _codes(class_logs)
    assert text.count(f'href="/teacher/learner/{named}">Ada Invented ({named})<') > 1  # wherever the name stands
    assert f'href="/teacher/learner/{one}">{one}<' in text
    assert text.count("<main") == 1 and "See first" in text and "http-equiv" not in text
    assert not re.search(r"href=[^>]*(Ada|Invented)", text)
    assert "Ada" not in teacher.get(f"/teacher/learner/{named}").headers.get("location", "")


def test_a_class_and_days_are_chosen(teacher: TestClient, class_logs: Path) -> None:
    named = _codes(class_logs)[1]
    chosen = teacher.get("/teacher?class=0").text
    assert set(re.findall(r'href="/teacher/learner/([^"]+)"', chosen)) == {named}
    assert "There are no lessons on these days yet" in teacher.get("/teacher?since=2099-01-01").text
    assert "There are no lessons on these days yet" in teacher.get("/teacher?until=1999-01-01").text
    for odd in ("class=9", "class=-1", "class=x", "since=%3Cb%3E", "since=2026", "class=1e3"):
        found = teacher.get(f"/teacher?{odd}").text
        assert len(set(re.findall(r'href="/teacher/learner/([^"]+)"', found))) == 6 and "<b>since" not in found, odd


def test_the_class_over_time(teacher: TestClient) -> None:
    text = teacher.get("/teacher/over-time").text
    assert text.count("<main") == 1 and "Ada Invented" in text and "Minutes are counted" in text
    chosen = teacher.get("/teacher/over-time?class=0").text
    assert "Ada Invented" in chosen and "avocet-01" not in chosen


def test_the_teacher_sets_when_half_terms_begin(teacher: TestClient, class_logs: Path) -> None:
    where = "/teacher/over-time/half-terms"
    wrong = teacher.post(where, data={"days": "soon"}, headers=ORIGIN)
    assert "Half-terms, line 1: a first day and a name, please" in wrong.text
    assert teacher.post(where, data={"days": "2026-01-05 <First>"}, headers=ORIGIN).status_code == 303
    text = teacher.get("/teacher/over-time").text
    assert ">2026-01-05 &lt;First&gt;</textarea>" in text and "<th scope=row>&lt;First&gt;: " in text
    assert (class_logs / "half-terms.txt").read_text("utf-8") == "2026-01-05 <First>\n"


def test_tomorrows_lesson_is_made_and_set(
    teacher: TestClient, class_logs: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "own"))
    assert "<ul>" not in teacher.get("/teacher/tomorrow").text
    assert teacher.post("/teacher/tomorrow/make", data={"give": "on"}, headers=ORIGIN).status_code == 303
    links = re.findall(r'href="(/teacher/tomorrow/[^"]+)"', teacher.get("/teacher/tomorrow").text)
    assert {"/teacher/tomorrow/groups.html", "/teacher/tomorrow/lessons.csv"} <= set(links)
    for link in links:
        assert teacher.get(link).status_code == 200
    assert teacher.get("/teacher/tomorrow/..%2fpage.key").status_code in {303, 404}
    assert any(next_set(class_logs, code) for code in _codes(class_logs))


def test_the_table_is_for_a_spreadsheet(teacher: TestClient) -> None:
    answer = teacher.get("/teacher/class.csv?class=0")
    assert answer.headers["content-type"].startswith("text/csv") and "Ada Invented" in answer.text
    assert "attachment" in answer.headers["content-disposition"]


def test_notes_and_judgements_are_kept(teacher: TestClient, class_logs: Path) -> None:
    code = _codes(class_logs)[2]
    note = "Ask about <b>brackets</b> & “signs”."
    sent = teacher.post("/teacher/note", data={"learner": code, "text": note}, headers=ORIGIN)
    assert sent.headers["location"] == f"/teacher/learner/{code}"
    page = teacher.get(f"/teacher/learner/{code}").text
    assert "Ask about &lt;b&gt;brackets&lt;/b&gt; &amp;" in page
    session = re.findall(r'<option value="([0-9a-f]{16})"', page)[0]
    form = {"learner": code, "session": session, "judgement": "right"}
    turn = next(
        number for number in range(1, 30)
        if teacher.post("/teacher/override", data={**form, "turn": str(number)}, headers=ORIGIN).status_code == 303
    )  # fmt: skip
    kept = read_notes(class_logs, code)
    assert [text for _, text in kept.notes] == [note] and kept.overrides == {(session, turn): "right"}
    assert "in place of" in teacher.get(f"/teacher/learner/{code}").text


@pytest.mark.parametrize(
    ("path", "form"),
    [
        ("/teacher/note", {"learner": "../..", "text": "x"}),
        ("/teacher/note", {"learner": "nobody-here", "text": "x"}),
        ("/teacher/note", {"learner": "avocet-02", "text": " "}),
        ("/teacher/override", {"learner": "avocet-02", "session": "x", "turn": "1", "judgement": "right"}),
        ("/teacher/override", {"learner": "avocet-02", "session": "", "turn": "<b>", "judgement": "right"}),
        ("/teacher/override", {}),
    ],
)
def test_what_cannot_be_kept_is_told_in_a_sentence(teacher: TestClient, path: str, form: dict[str, str]) -> None:
    answer = teacher.post(path, data=form, headers=ORIGIN)
    assert answer.status_code == 422 and "<h1>That could not be done</h1>" in answer.text and "<b>" not in answer.text


def test_a_learner_who_is_not_there(teacher: TestClient) -> None:
    assert teacher.get("/teacher/learner/nobody").status_code == 422
    assert teacher.get("/teacher/learner/..%2f..").status_code in {404, 422}


def test_equations_are_drawn_checked_and_printed(teacher: TestClient) -> None:
    drawn = teacher.get("/teacher/equations?stage=11&count=5&seed=3").text
    lines = drawn.partition("<textarea")[2].partition(">")[2].partition("</textarea>")[0].split("\n")
    assert len([line for line in lines if "=" in line]) == 5
    given = "3x + 2 = 14\r\n7 = 7\r\n<script>x</script>\r\nx/0 = 1"
    looked = teacher.post("/teacher/equations/look", data={"equations": given, "do": "check"}, headers=ORIGIN).text
    assert 'name=stage size=8 value="6"' in looked  # of equations that were typed
    assert "Line 2: There is no unknown letter" in looked and "Line 3:" in looked and "Line 4:" in looked
    assert "<script>x" not in looked and looked.count("<math") == 1
    sheet = teacher.post(
        "/teacher/equations/look",
        data={"equations": given, "title": "Warm <up>", "do": "print", "key": "short"},
        headers=ORIGIN,
    )
    assert "Warm &lt;up&gt;" in sheet.text and "<b>x = 4</b>" in sheet.text and "x</script>" not in sheet.text
    none = teacher.post("/teacher/equations/look", data={"equations": "", "do": "print"}, headers=ORIGIN)
    assert none.status_code == 422


def test_leaving_takes_the_cookie(teacher: TestClient) -> None:
    assert teacher.post("/teacher/leave", headers=ORIGIN).status_code == 303
    assert teacher.get("/teacher").status_code == 403
    assert HOST in str(teacher.base_url)
