"""Over the weeks: what a class and each learner did, in which days, and the half page for a parent."""

import json
import re
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import msgspec
import pytest
from browser import needs_chromium, pages
from logs import in_bytes
from playwright.sync_api import Browser
from processes import chattutor
from test_review import session, solved, wrong

from chattutor.review.half_terms import HalfTerm, HalfTermSpan, spans
from chattutor.session_logs.reader import read_session

DAYS = ("2026-09-07", "2026-09-14", "2026-10-12")  # a Monday, the next, and one after a break of four weeks


def on(day: str, path: Path) -> None:
    """Move a session to a day, its turns ten seconds apart but for one pause of an hour."""
    read = read_session(path)
    assert read.header is not None
    at = datetime.fromisoformat(f"{day}T10:00:00+00:00")
    turns = []
    for number, turn in enumerate(read.turns):
        at += timedelta(seconds=3600 if number == 2 else 10)
        turns.append(msgspec.structs.replace(turn, at=at.isoformat().replace("+00:00", "Z")))
    header = msgspec.structs.replace(read.header, created=f"{day}T10:00:00.000Z")
    end = None if read.end is None else msgspec.structs.replace(read.end, at=turns[-1].at)
    path.write_bytes(in_bytes(header, turns, end))


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """Two learners over five weeks; ann holds an idea in September and does without it in October."""
    folder = tmp_path / "9B"
    lost = {"task": 0, "event": "stuck", "said": "help", "phase": "move"}
    on(DAYS[0], session(folder, "ann", [wrong(0, "n is 48"), wrong(1, "n is 78"), solved(1)]))
    on(DAYS[1], session(folder, "ann", [wrong(2, "n = 36"), solved(2)]))
    on(DAYS[2], session(folder, "ann", [solved(0), solved(1), solved(2)]))
    on(DAYS[0], session(folder, "bob", [lost] * 6))
    on(DAYS[2], session(folder, "bob", [solved(0), wrong(1, "n is 78")]))
    return folder


def over_time(*words: str | Path) -> dict[str, Any]:
    """The JSON of ``--over-time``."""
    done = chattutor("review", *words, "--over-time", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_by_week_and_half_term(logs: Path) -> None:
    page = over_time(logs)
    assert [(row["name"], row["from"], row["to"], row["lessons"], row["learners"]) for row in page["half_terms"]] == [
        ("Autumn 1, 2026/27", "2026-09-07", "2026-10-12", 5, 2),
    ]
    weeks = {row["week"]: row for row in page["weeks"]}
    assert list(weeks) == list(DAYS)
    assert [row["alone"] for row in weeks.values()] == [0, 0, 4]
    assert weeks[DAYS[0]]["errors"][0]["learners"] == 1
    assert [row["gained"] for row in weeks.values()] == [0, 0, 1]


def test_by_learner_what_is_gone_what_is_gained_and_where_it_stuck(logs: Path) -> None:
    ann, bob = over_time(logs)["learners"]
    assert (ann["here"], ann["gone"], ann["gained"]) == (
        [],
        ["Subtracts the coefficient instead of dividing by it"],
        [3],
    )
    assert (bob["here"], bob["gone"], bob["gained"]) == ([], [], [])
    assert [(one["line"], one["turns"], one["calls"], one["said"]) for one in bob["stuck"]] == [
        ("4n = 52", 6, 6, "help"),
    ]  # fmt: skip


def test_minutes_leave_out_long_pauses(logs: Path) -> None:
    """Four turns ten seconds apart, and one pause of an hour that counts as two minutes."""
    week = over_time(logs, "--until", DAYS[0])["weeks"][0]
    assert week["minutes"] == round((10 * 2 + 120 + 10 * 5 + 120) / 60)


@pytest.mark.parametrize(
    ("bounds", "sessions"),
    [([], 5), (["--since", DAYS[1]], 3), (["--until", DAYS[1]], 3), (["--since", DAYS[1], "--until", DAYS[1]], 1)],
)
def test_a_review_is_of_the_days_asked_for(logs: Path, bounds: list[str], sessions: int) -> None:
    assert json.loads(chattutor("review", logs, "--json", *bounds).stdout)["sessions"] == sessions
    assert sum(row["lessons"] for row in over_time(logs, *bounds)["weeks"]) == sessions


def test_days_that_are_none_are_refused(logs: Path) -> None:
    done = chattutor("review", logs, "--since", "Monday")
    assert done.returncode == 2 and "a day such as 2026-11-02, please, and not 'Monday'" in done.stderr
    done = chattutor("review", logs, "--learner", "ann", "--since", "2027-01-01")
    assert done.returncode == 1 and "on these days" in done.stderr


def test_several_classes_each_have_their_page(logs: Path, tmp_path: Path) -> None:
    other = tmp_path / "9C"
    session(other, "cat", [solved(0)])
    done = chattutor("review", logs, other, "--html", tmp_path / "page.html")
    assert done.returncode == 0
    for name, own, others in (("9B", "ann", "cat"), ("9C", "cat", "ann")):
        text = (tmp_path / f"page-{name}.html").read_text("utf-8")
        assert f"<h1>Class {name}</h1>" in text and own in text and others not in re.sub("<style>.*</style>", "", text)
    found = json.loads(chattutor("review", logs, other, "--json").stdout)
    assert [each["name"] for each in found["classes"]] == ["9B", "9C"]
    assert chattutor("review", logs, other, "--learner", "ann").returncode == 2


def test_the_class_is_named(logs: Path, tmp_path: Path) -> None:
    target = tmp_path / "x.html"
    assert chattutor("review", logs, "--class", "9B", "--since", DAYS[1], "--html", target).returncode == 0
    assert f"<h1>Class 9B, from {DAYS[1]}</h1>" in target.read_text("utf-8")


def test_half_terms_that_the_teacher_set_are_kept_and_used(logs: Path, tmp_path: Path) -> None:
    told = tmp_path / "days.txt"
    told.write_text("# our school\n02/09/2026 Autumn, first half\n2026-10-05, Autumn, second half\n", "utf-8")
    done = chattutor("review", logs, "--half-terms", told)
    kept = f"2 half-terms are kept in {logs / 'half-terms.txt'}, the first from 2026-09-02.\n"
    assert (done.returncode, done.stdout, done.stderr) == (0, "", kept)
    rows = over_time(logs)["half_terms"]
    assert [(row["name"], row["from"], row["to"], row["lessons"]) for row in rows] == [
        ("Autumn, first half", "2026-09-07", "2026-09-14", 3), ("Autumn, second half", "2026-10-12", "2026-10-12", 2),
    ]  # fmt: skip
    shown = chattutor("review", logs, "--over-time").stdout
    assert "\n  Autumn, second half (2026-10-12 to 2026-10-12): 2 learners, 2 lessons, " in shown
    assert chattutor("review", logs, "--over-time", "--html", tmp_path / "x.html").returncode == 0
    assert "<th scope=row>Autumn, first half: 2026-09-07 to 2026-09-14</th>" in (tmp_path / "x.html").read_text("utf-8")
    for words in (("verify",), ("list",)):
        assert "half-terms" not in chattutor("logs", *words, logs).stdout
    told.write_text("", "utf-8")
    assert "table again" in chattutor("review", logs, "--half-terms", told).stderr
    assert [row["name"] for row in over_time(logs)["half_terms"]] == ["Autumn 1, 2026/27"]


def test_half_terms_that_cannot_be_read_are_refused_with_their_line(logs: Path, tmp_path: Path) -> None:
    told = tmp_path / "days.txt"
    for line in ("November Autumn 2", "2026-02-30 Spring 2", "2/13/2026 Spring"):
        told.write_text(f"2026-09-02 Autumn 1\n{line}\n", "utf-8")
        done = chattutor("review", logs, "--half-terms", told)
        assert (done.returncode, done.stdout) == (1, "")
        assert done.stderr == (
            f'chattutor: {told}, line 2: a first day and a name, please, such as 2026-11-02 Autumn 2. ("{line}")\n'
        )
        assert not (logs / "half-terms.txt").exists()


@pytest.mark.parametrize(
    ("day", "name"),
    [
        ("2026-09-01", "Autumn 1, 2026/27"), ("2026-10-23", "Autumn 1, 2026/27"), ("2026-11-02", "Autumn 2, 2026/27"),
        ("2026-12-18", "Autumn 2, 2026/27"), ("2027-01-04", "Spring 1, 2026/27"), ("2027-02-22", "Spring 2, 2026/27"),
        ("2027-04-12", "Summer 1, 2026/27"), ("2027-06-07", "Summer 2, 2026/27"), ("2027-07-21", "Summer 2, 2026/27"),
        ("2027-08-30", "Autumn 1, 2027/28"),
    ],
)  # fmt: skip
def test_where_nobody_set_half_terms(day: str, name: str) -> None:
    """Common practice in England, no source: six a school year."""
    assert spans([day]) == [HalfTermSpan(day, day, name)]


def test_days_before_and_long_after_those_set_go_by_the_table() -> None:
    told = (HalfTerm("2026-11-02", "Second"),)
    days = ["2026-10-28", "2026-10-30", "2026-11-02", "2027-02-20", "2027-02-21"]
    assert [(each.name, each.first, each.last) for each in spans(days, told)] == [
        ("Autumn 1, 2026/27", "2026-10-28", "2026-10-28"), ("Autumn 2, 2026/27", "2026-10-30", "2026-10-30"),
        ("Second", "2026-11-02", "2027-02-20"), ("Spring 2, 2026/27", "2027-02-21", "2027-02-21"),
    ]  # fmt: skip
    assert spans([]) == []


NOT_FOR_PARENTS = re.compile(r"\b(rank|average|grade [0-9]|score|ability|weak|diagnos\w+|behind)\b", re.I)


def test_a_parent_reads_plain_words_and_the_cautions(logs: Path, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    key.write_text("code,givenName,familyName,sourcedId\nann,Ann,Invented,1\n", "utf-8")
    text = chattutor("review", logs, "--learner", "ann", "--parent", "--key", key).stdout
    assert text.startswith("Equations: Ann Invented\n")
    said = ("3 lessons", "Can do alone: undo multiplying.", "Put right: subtracts the coefficient")
    for words in (*said, "It is not a grade", "Please do not show the steps."):
        assert words in text
    assert "bob" not in text and not NOT_FOR_PARENTS.search(text)
    assert chattutor("review", logs, "--parent").returncode == 2


@needs_chromium
def test_the_pages_print_on_one_sheet(logs: Path, chromium: Browser, tmp_path: Path) -> None:
    target = tmp_path / "page.html"
    for words in (["--over-time"], ["--learner", "ann", "--parent"]):
        assert chattutor("review", logs, *words, "--html", target).returncode == 0
        assert pages(chromium, target) == 1
