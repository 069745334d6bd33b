"""The class page: what it says of a small invented class, and what it never says."""

import json
import re
import shutil
import subprocess
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import msgspec
import pytest
from logs import add, log_of, plan, said
from processes import chattutor

from chattutor.review.class_page import class_page
from chattutor.review.evidence import Evidence
from chattutor.review.html import class_html
from chattutor.session_logs.hash_chain import chained, split
from chattutor.session_logs.schema import Continues, Settings
from chattutor.session_logs.writer import SessionLog, new_header
from dialogue.algebra.equation import read_equation
from dialogue.turn_record import ReplyRecord

EQUATIONS = ["4n = 52", "6n = 84", "3n = 39", "4n + 9 = 37"]
REPLY = (ReplyRecord("k", "Go on.", "Go on."),)


def session(folder: Path, learner: str, records: list[dict[str, Any]], end: str | None = "stopped") -> Path:
    """A log of an invented learner with these records; each has also "said"."""
    tasks = [{"equation": text, "stage": 3 if place < 3 else 6, "exit": False} for place, text in enumerate(EQUATIONS)]
    log = log_of(folder, learner, plan(tasks=tasks))
    add(log, {"event": "begin"}, replies=REPLY)
    for record in records:
        usual = {"task": 0, "level": "independent", "channel": "typed"}
        whole = usual | {"line": EQUATIONS[record["task"]] if record.get("task") in range(4) else ""} | record
        add(
            log,
            whole,
            said(record.get("said", ""), meaning=record.get("meaning"), channel=record.get("channel", "typed")),
            REPLY,
        )
    if end:
        log.end(end)
    else:
        log.close()
    return log.path


def wrong(task: int, said: str, error: str = "subtract-coefficient") -> dict[str, Any]:
    """A judged wrong line."""
    return {"task": task, "event": "line broken", "said": said, "errors": [error], "balanced": False, "step": {}}


def solved(task: int, level: str = "independent") -> dict[str, Any]:
    """A task brought to its end."""
    return {"task": task, "event": "value right", "level": level, "solved": EQUATIONS[task]}


def read(folder: Path) -> dict[str, Any]:
    """What ``chattutor review --json`` says."""
    done = chattutor("review", folder, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    page: dict[str, Any] = json.loads(done.stdout)
    return page


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """A class of five."""
    session(tmp_path, "able", [solved(0), solved(1), solved(2), solved(3)], "finished")
    session(tmp_path, "bob1", [wrong(0, "n is 48"), wrong(1, "n is 78"), solved(1, "prompted")])
    session(tmp_path, "cara", [wrong(0, "n = 48"), solved(0), {"task": 1, "event": "unheard", "said": "six tea"}])
    session(tmp_path, "dev1", [solved(0, "shown"), {"task": 1, "event": "skip"}, {"task": 2, "event": "skip"}])
    session(tmp_path, "eve1", [{"task": 0, "event": "distress", "said": ""}], None)
    return tmp_path


def test_stages_are_by_independence(logs: Path) -> None:
    stages = {row["code"]: row["stages"] for row in read(logs)["learners"]}
    assert stages["able"] == {
        "3": {"now": "independent", "best": "independent", "independent": 3},
        "6": {"now": "independent", "best": "independent", "independent": 1},
    }
    assert stages["bob1"]["3"] == {
        "now": "prompted", "best": "prompted", "not yet": 1, "prompted": 1, "not attempted": 1,
    }  # fmt: skip
    assert stages["dev1"]["3"] == {"now": "shown", "best": "shown", "shown": 1, "not attempted": 2}
    assert stages["dev1"]["6"] == {"now": "not attempted", "best": "not attempted", "not attempted": 1}


def test_one_instance_is_never_a_label(logs: Path) -> None:
    page = read(logs)
    assert {row["code"]: row["patterns"] for row in page["learners"]} == {
        "able": [], "bob1": ["subtract-coefficient"], "cara": [], "dev1": [], "eve1": [],
    }  # fmt: skip
    (error,) = page["errors"]
    assert (error["id"], error["count"], error["learners"]) == ("subtract-coefficient", 3, ["bob1", "cara"])
    assert [(row["code"], row["line"], row["said"]) for row in error["evidence"]] == [
        ("bob1", "4n = 52", "n is 48"),
        ("cara", "4n = 52", "n = 48"),
        ("bob1", "6n = 84", "n is 78"),
    ]


def test_the_same_error_twice_on_one_equation_is_no_pattern(tmp_path: Path) -> None:
    session(tmp_path, "bob1", [wrong(0, "48"), wrong(0, "48"), wrong(1, "85", "arithmetic-slip")])
    assert read(tmp_path)["learners"][0]["patterns"] == []


def test_a_pattern_may_be_seen_over_two_sessions(tmp_path: Path) -> None:
    session(tmp_path, "bob1", [wrong(0, "48")])
    session(tmp_path, "bob1", [wrong(2, "36")])
    assert read(tmp_path)["learners"][0]["patterns"] == ["subtract-coefficient"]


def test_who_to_see_first_has_a_reason(logs: Path) -> None:
    assert [(row["code"], row["reason"]) for row in read(logs)["see_first"]] == [
        ("eve1", "Said something an adult should hear about: follow your safeguarding procedure."),
        (
            "bob1",
            "Subtracts the coefficient instead of dividing by it, on 2 equations: 4n = 52 then “n is 48”.",
        ),
        ("dev1", "Was shown a step on 1 of 1 equation, last: 4n = 52."),
    ]
    assert read(logs)["others"] == ["able", "cara"]


@pytest.mark.parametrize("event", ["comment", "unsure"])
def test_the_words_of_a_step_are_shown_not_the_reason_given_for_it(tmp_path: Path, event: str) -> None:
    reason = {**wrong(0, "because of the four"), "event": event, "then": ["line broken"]}
    session(tmp_path, "bob1", [{"task": 0, "event": "to explain", "said": "n is 48"}, reason])
    assert [row["said"] for row in read(tmp_path)["errors"][0]["evidence"]] == ["n is 48"]


def test_a_pattern_of_an_earlier_lesson_only_is_no_reason_to_be_seen_first(tmp_path: Path) -> None:
    session(tmp_path, "bob1", [wrong(0, "48"), wrong(1, "78")])
    session(tmp_path, "bob1", [solved(0), solved(1)])
    page = read(tmp_path)
    assert page["see_first"] == []
    assert page["learners"][0]["patterns"] == ["subtract-coefficient"]


def test_groups_are_by_error_with_an_equation_to_start_from(logs: Path) -> None:
    (group,) = read(logs)["groups"]
    assert (group["error"], group["learners"]) == ("subtract-coefficient", ["bob1"])
    assert group["starter"] not in EQUATIONS
    assert read_equation(group["starter"]).solution().kind == "one"


def test_what_stayed_unsure_is_in_a_pile_and_what_was_confirmed_is_not(tmp_path: Path) -> None:
    doubtful = {"task": 0, "event": "doubtful", "said": "minus four"}
    session(tmp_path, "a", [doubtful, {"task": 0, "event": "yes"}, doubtful, {"task": 0, "event": "no"}])
    assert [(row["code"], row["turn"], row["said"]) for row in read(tmp_path)["unsure"]] == [("a", 3, "minus four")]


def test_an_answer_that_is_kept_in_any_words_is_not_unsure(tmp_path: Path) -> None:
    """A reason, and an account of what was done, are never judged, so nothing about them is left open; words that the
    recognisers did not catch are."""
    asked = [{"task": 0, "event": event, "phase": phase, "said": f"{event} {phase}"}
             for phase in ("reason", "account", "move") for event in ("unclear", "unheard")]  # fmt: skip
    session(tmp_path, "a", asked)
    said = [row["said"] for row in read(tmp_path)["unsure"]]
    assert said == ["unheard reason", "unheard account", "unclear move", "unheard move"]


def test_a_resumed_lesson_is_one_lesson(tmp_path: Path) -> None:
    first = session(tmp_path, "a", [wrong(0, "48")], None)
    header = json.loads(first.read_bytes().splitlines()[0])
    log = log_of(tmp_path, "a", plan(**header["plan"]), continues=header["id"])
    add(log, {"event": "go on"}, replies=REPLY)
    add(log, {"line": "4n = 52"} | solved(0), said("13"), REPLY)
    log.end("stopped")
    (learner,) = read(tmp_path)["learners"]
    assert learner["sessions"] == 1
    after = "right after wrong steps"
    assert learner["stages"]["3"] == {"now": after, "best": after, after: 1, "not attempted": 2}


def test_a_mixed_folder_never_breaks_a_review(logs: Path) -> None:
    before = read(logs)
    (logs / "notes.txt").write_text("See Anna.", encoding="utf-8")
    (logs / "other.jsonl").write_text('{"a": 1}\n', encoding="utf-8")
    (logs / "half.jsonl").write_bytes(b'{"chattutor":"session","schema":1,"id":"x')
    copied = next((logs / "able").glob("*.jsonl"))
    (logs / "zcopy.jsonl").write_bytes(copied.read_bytes())
    (logs / "link.jsonl").symlink_to(copied)
    path = session(logs / "odd", "odd", [])
    start, chain = split(path.read_bytes().splitlines(keepends=True)[0])
    odd = {"chattutor": "turn", "turn": 0, "at": "", "record": {"kind": "answered", "task": "x", "event": [3]}}
    path.write_bytes(start + f',"chain":"{chain}"}}\n'.encode() + chained(odd, chain)[0])
    after = read(logs)
    assert {Path(row["file"]).name for row in after["files_with_faults"]} == {"other.jsonl", "half.jsonl", path.name}
    assert [row for row in after["learners"] if row["code"] != "odd"] == before["learners"]


def test_an_empty_folder_is_said_to_be(tmp_path: Path) -> None:
    done = chattutor("review", tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "There are no session logs here." in done.stdout


def test_a_lesson_left_before_its_first_step_is_shown(tmp_path: Path) -> None:
    chattutor("lesson", "--learner", "ann", "--logs", tmp_path, given="stop\\n")
    done = chattutor("review", tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Did little or nothing" in done.stdout and "Stages" in done.stdout


def test_whoever_of_the_class_list_had_no_lesson_is_named_on_every_page(logs: Path, tmp_path: Path) -> None:
    key, html = tmp_path / "names.csv", tmp_path / "class.html"
    key.write_text("code,givenName,familyName,sourcedId\nable,Ina,Ott,1\naway,Uwe,Ott,2\n", "utf-8")
    on_terminal = chattutor("review", logs, "--key", key).stdout
    assert "No lesson (1)\n  Uwe Ott (away)\n" in on_terminal
    chattutor("review", logs, "--key", key, "--html", html)
    assert "<p><b>No lesson</b> (1): <span class=working>Uwe Ott (away)</span>.</p>" in html.read_text("utf-8")
    assert json.loads(chattutor("review", logs, "--key", key, "--json").stdout)["no_lesson"]["learners"] == [
        "Uwe Ott (away)"
    ]


def test_days_without_a_lesson_are_said_to_be_and_days_the_wrong_way_round_are_refused(logs: Path) -> None:
    later = chattutor("review", logs, "--since", "2099-01-01")
    assert (later.returncode, "There is no lesson on these days." in later.stdout) == (0, True)
    codes = sorted(each.name for each in logs.iterdir())
    assert later.stdout.endswith(f"\nNo lesson on these days ({len(codes)})\n  {', '.join(codes)}\n")
    assert "No lesson on these days" not in chattutor("review", logs, "--since", "2000-01-01").stdout
    html = logs.parent / "then.html"
    chattutor("review", logs, "--since", "2099-01-01", "--html", html)
    assert f"<b>No lesson on these days</b> ({len(codes)})" in html.read_text("utf-8")
    turned = chattutor("review", logs, "--since", "2026-11-03", "--until", "2026-11-02")
    assert (turned.returncode, turned.stdout) == (2, "")
    assert "--since 2026-11-03 is after --until 2026-11-02." in turned.stderr


def test_nothing_heard_is_not_printed_as_empty_quotes(tmp_path: Path) -> None:
    session(tmp_path, "ann", [{"task": 0, "event": "unheard", "said": ""}])
    html = class_html(json.loads(chattutor("review", tmp_path, "--json").stdout))
    assert ", no words were heard" in html and "“”" not in html


def test_the_terminal_page_is_short_and_holds_what_matters(logs: Path) -> None:
    done = chattutor("review", logs)
    assert done.returncode == 0
    assert "\x1b" not in done.stdout
    for title in ("See first", "Stages", "Commonest errors", "groups to re-teach", "Not attempted", "Unsure what"):
        assert title in done.stdout
    assert "such as 4n = 52 then “n is 48”" in done.stdout
    assert len(done.stdout.splitlines()) < 45


NEVER = re.compile(r"\b(rank|top|bottom|best|worst|weak|strong|able|gifted|lazy|predicted|grade|mood|score)\b", re.I)


class _Page(HTMLParser):
    """Collects tags, attributes and text."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.words: list[str] = []
        self.outside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note it."""
        self.tags.append(tag)
        self.outside += [
            name for name, value in attrs
            if name == "src" or name.startswith("on") or (name == "href" and not str(value).startswith("#"))
        ]  # fmt: skip

    def handle_data(self, data: str) -> None:
        """Note it."""
        self.words.append(data)


def test_the_html_page_is_whole_and_safe(logs: Path, tmp_path: Path) -> None:
    session(logs, "fay1", [wrong(0, "<script>alert(1)</script>", "arithmetic-slip")] * 4)
    target = tmp_path / "class.html"
    done = chattutor("review", logs, "--html", target)
    assert (done.returncode, done.stdout) == (0, "")
    page = _Page()
    page.feed(target.read_text(encoding="utf-8"))
    assert "script" not in page.tags and page.outside == []
    assert page.tags.count("h2") == 6
    text = " ".join(page.words)
    assert "<script>alert(1)</script>" in text  # as words, not as a script
    assert not NEVER.search(re.sub(r"\bable\b", "", text).partition("}  ")[2])
    assert target.stat().st_mode & 0o077 == 0


def test_html_names_nobody_beside_a_line_of_working(logs: Path) -> None:
    from chattutor.session_logs.folder import sessions

    html = class_html(class_page(Evidence().read(sessions(logs))))
    errors = html.partition("Commonest errors")[2].partition("</section>")[0]
    assert "n is 48" in errors
    assert not any(code in errors for code in ("able", "bob1", "cara", "dev1", "eve1"))


@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")
def test_a_class_of_thirty_prints_on_one_sheet(tmp_path: Path) -> None:
    for number in range(30):
        trouble = [wrong(place, "n is 48", error) for place, error in enumerate(("sign-drop", "one-side-only"))]
        unsure = [{"task": 2, "event": "unheard", "said": "fort tea"}]
        done = [solved(place, ("independent", "prompted", "shown")[number % 3]) for place in range(number % 4)]
        session(tmp_path / "logs", f"heron-{number:02}", [*trouble, *unsure, *done])
    target, printed = tmp_path / "class.html", tmp_path / "class.pdf"
    assert chattutor("review", tmp_path / "logs", "--html", target).returncode == 0
    browser = ("chromium", "--headless=new", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path / 'browser'}")
    words = [*browser, "--no-pdf-header-footer", f"--print-to-pdf={printed}", target.as_uri()]
    subprocess.run(words, check=True, capture_output=True, timeout=120)
    assert len(re.findall(rb"/Type */Page\b", printed.read_bytes())) <= 2  # nothing is left out while there is a back


def test_a_clock_set_back_between_two_sittings_counts_no_equation_twice(tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    header = new_header("ann", plan(tasks=[{"equation": "n + 3 = 7", "stage": 3}]), Settings(), "0")
    for created, before in (("2026-09-03T09:00:00.000Z", None), ("2026-09-01T09:00:00.000Z", header.id)):
        continues = Continues(before, 2) if before else None
        name = header.id if before is None else "b" * 16
        log = SessionLog(logs, msgspec.structs.replace(header, id=name, created=created, continues=continues))
        add(log, {"event": "begin"})
        add(log, wrong(0, "4"), said("?"))
        log.close()
    page = json.loads(chattutor("review", logs, "--json").stdout)
    (learner,) = page["learners"]
    assert (learner["sessions"], learner["turns"], learner["stages"]["3"]["not yet"]) == (1, 2, 1)
