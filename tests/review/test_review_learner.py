"""The learner page, and a teacher's notes and changed judgements."""

import json
from pathlib import Path
from typing import Any

import pytest
from logs import log_of, plan
from processes import chattutor
from test_review import session, solved, wrong

from chattutor.session_logs.schema import Settings

SCRIPT = "<script>document.title='ran'</script><img src=x onerror=\"document.title='ran'\">"


def learner(folder: Path, code: str) -> dict[str, Any]:
    """What ``--learner CODE --json`` says."""
    done = chattutor("review", folder, "--learner", code, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    page: dict[str, Any] = json.loads(done.stdout)
    return page


def moved() -> dict[str, Any]:
    """Nine off both sides of the last equation: 4n = 28, by inverse operations."""
    step = {"act": "move", "operation": "subtract", "operand": "9", "sides": "both"}
    judged = {"balanced": True, "closer": True, "errors": [], "corrected": True}
    return {"task": 3, "event": "move closer", "said": "nine off both", "step": step, "channel": "spoken"} | judged


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """Two learners; bob1 in two lessons."""
    first = {**wrong(0, "n = 48"), "step": {"act": "state", "equation": "n = 48"}, "closer": False}
    doubtful = {"task": 1, "event": "doubtful", "said": "minus four", "channel": "spoken"}
    session(tmp_path, "bob1", [first, doubtful, {"task": 1, "event": "no", "said": "no"}, moved()])
    session(tmp_path, "bob1", [wrong(1, "n is 78"), solved(1, "prompted"), wrong(2, "n = 40", "arithmetic-slip")])
    session(tmp_path, "cara", [wrong(0, "n = 47")])
    return tmp_path


def test_every_turn_is_there_as_heard_and_judged(logs: Path) -> None:
    page = learner(logs, "bob1")
    first, second = page["sessions"]
    assert [turn["heard"] for turn in first["turns"]] == ["n = 48", "minus four", "no", "nine off both"]
    stated, doubtful, _, move = first["turns"]
    assert (stated["left"], stated["right"], stated["judgement"]) == ("n", "48", "not balanced")
    assert (stated["kind"], stated["evidence"]) == ("pattern", ["4n = 52", "6n = 84"])
    assert (doubtful["confirmed"], doubtful["judgement"]) == ("not confirmed", "")
    assert (move["step"], move["left"], move["right"]) == ("subtract 9, both sides", "4*n", "28")
    assert (move["judgement"], move["channel"], move["self_correction"]) == ("right", "voice", True)
    assert (second["turns"][1]["level"], second["turns"][2]["kind"]) == ("prompted", "slip")
    assert (page["self_corrections"], page["spoken_turns"]) == (1, 2)


def test_sides_are_written_as_on_the_board(logs: Path, tmp_path: Path) -> None:
    shown = chattutor("review", logs, "--learner", "bob1").stdout
    assert "left 4n, right 28" in shown and "*" not in shown
    target = tmp_path / "bob.html"
    assert chattutor("review", logs, "--learner", "bob1", "--html", target).returncode == 0
    text = target.read_text("utf-8")
    assert "<mrow><mn>4</mn><mo>\u2062</mo><mi>n</mi></mrow></math></td><td><math" in text
    assert "4*n" not in text


def test_a_value_that_was_asked_for_stands_in_its_side(tmp_path: Path) -> None:
    asked = {"task": 3, "event": "value right", "said": "4n", "meaning": {"act": "value", "value": "4*n"}}
    session(tmp_path, "bob1", [asked | {"phase": "left"}, asked | {"phase": "right", "event": "value wrong"}])
    first, second = learner(tmp_path, "bob1")["sessions"][0]["turns"]
    assert (first["left"], first["right"], first["judgement"]) == ("4*n", "", "right")
    assert (second["left"], second["right"], second["judgement"]) == ("", "4*n", "wrong value")


def test_how_the_lesson_was_read_and_answered_is_said(tmp_path: Path) -> None:
    path = session(tmp_path, "bob1", [solved(0)])
    header = json.loads(path.read_bytes().splitlines()[0])
    log = log_of(tmp_path, "bob1", plan(**header["plan"]), Settings(plain=True, large=True))
    log.end("finished")
    page = learner(tmp_path, "bob1")
    assert sorted(each["access"] for each in page["sessions"]) == [[], ["plain", "large"]]
    assert "the lesson was finished, plain, large" in chattutor("review", tmp_path, "--learner", "bob1").stdout


def test_stages_over_lessons_and_what_comes_next(logs: Path) -> None:
    page = learner(logs, "bob1")
    assert [(row["stage"], row["outcome"]) for row in page["path"]] == [
        (3, "not yet"), (3, "not yet"), (3, "not attempted"), (6, "not yet"),
        (3, "not attempted"), (3, "prompted"), (3, "not yet"), (6, "not attempted"),
    ]  # fmt: skip
    assert page["next"]["stage"] in range(1, 16)


def test_nobody_else_is_on_the_page(logs: Path, tmp_path: Path) -> None:
    target = tmp_path / "bob.html"
    assert chattutor("review", logs, "--learner", "bob1", "--html", target).returncode == 0
    for text in (target.read_text(encoding="utf-8"), chattutor("review", logs, "--learner", "bob1").stdout):
        # the number where it would stand for her: a session id or a time may hold any two digits
        assert "cara" not in text and "n = 47" not in text and "<mn>47</mn>" not in text
        assert "n is 78" in text and "self-correction" in text and "Path over lessons" in text


def test_words_of_a_learner_stay_words(logs: Path, tmp_path: Path) -> None:
    session(logs, "fay1", [wrong(0, SCRIPT)])
    target = tmp_path / "fay.html"
    assert chattutor("review", logs, "--note", "fay1", SCRIPT).returncode == 0
    assert chattutor("review", logs, "--learner", "fay1", "--html", target).returncode == 0
    text = target.read_text(encoding="utf-8")
    assert "<script" not in text and "<img" not in text and text.count("&lt;script&gt;") == 2


def test_a_learner_unknown_is_said_to_be(logs: Path) -> None:
    done = chattutor("review", logs, "--learner", "zed1")
    assert (done.returncode, done.stdout) == (1, "")
    assert "There is no session of learner zed1" in done.stderr


def contents(folder: Path) -> dict[Path, bytes]:
    """Every session log, byte for byte."""
    return {path: path.read_bytes() for path in folder.rglob("*.jsonl")}


def test_an_override_is_used_by_both_pages_and_leaves_the_log_alone(logs: Path) -> None:
    before = contents(logs)
    name = learner(logs, "bob1")["sessions"][0]["id"]
    assert chattutor("review", logs, "--override", name[:8], "1", "right").returncode == 0
    page = learner(logs, "bob1")
    turn = page["sessions"][0]["turns"][0]
    assert (turn["judgement"], turn["error"], turn["overridden"]) == ("right", "", "right")
    replaced = "not balanced: Subtracts the coefficient instead of dividing by it"
    assert turn["replaced"] == replaced
    assert f"right (in place of: {replaced})" in chattutor("review", logs, "--learner", "bob1").stdout
    assert [other["replaced"] for other in page["sessions"][0]["turns"][1:]] == ["", "", ""]
    assert page["patterns"] == []
    everyone = json.loads(chattutor("review", logs, "--json").stdout)
    assert [row["patterns"] for row in everyone["learners"]] == [[], []]
    assert chattutor("review", logs, "--override", name[:8], "1", "withdraw").returncode == 0
    assert [row["id"] for row in learner(logs, "bob1")["patterns"]] == ["subtract-coefficient"]
    assert contents(logs) == before
    assert chattutor("logs", "verify", logs).returncode == 0


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("none", "1", "right"), "No session has an id"),
        (("", "1", "right"), "3 sessions have an id"),
        (("ID", "2", "right"), "Turns with a judged step: 1, 4"),
        (("ID", "1", "lazy"), "is not a judgement"),
        (("ID", "-1", "right"), "is not the number of a turn"),
    ],
)
def test_an_override_that_cannot_be_is_refused(logs: Path, words: tuple[str, str, str], sentence: str) -> None:
    name = learner(logs, "bob1")["sessions"][0]["id"] if words[0] == "ID" else words[0]
    done = chattutor("review", logs, "--override", name, *words[1:])
    assert done.returncode == 2
    assert sentence in done.stderr


def test_a_note_is_kept_beside_the_log_and_shown(logs: Path) -> None:
    assert chattutor("review", logs, "--note", "bob1", "Used the balance picture on Monday.").returncode == 0
    assert [note["text"] for note in learner(logs, "bob1")["notes"]] == ["Used the balance picture on Monday."]
    assert (logs / "bob1" / "teacher.notes").stat().st_mode & 0o077 == 0
    assert "Note: Used the balance picture" in chattutor("review", logs).stdout
    with (logs / "bob1" / "teacher.notes").open("ab") as out:
        out.write(b'{"at": "x", "no\n\xff\n')
    assert learner(logs, "bob1")["notes_unread"] == 2
    assert chattutor("review", logs, "--note", "zed1", "Nobody.").returncode == 1
    assert chattutor("logs", "erase", "bob1", "--logs", logs, "--yes").returncode == 0
    assert not (logs / "bob1").exists()


def test_the_name_from_the_key_stands_beside_the_code(logs: Path, tmp_path: Path) -> None:
    key = tmp_path / "names.csv"
    key.write_text("code,givenName,familyName,sourcedId\nbob1,Wren,Invented,7\n", encoding="utf-8")
    shown = chattutor("review", logs, "--learner", "bob1", "--key", key)
    assert shown.stdout.startswith("Learner Wren Invented (bob1): ")
    target = tmp_path / "bob.html"
    assert chattutor("review", logs, "--learner", "bob1", "--key", key, "--html", target).returncode == 0
    assert "Learner Wren Invented (bob1)" in target.read_text(encoding="utf-8")
