"""Logs that try to be more than text: scripts on the pages, escapes on the terminal, labels in our own words."""

import csv
import json
import re
from html import unescape
from pathlib import Path

import pytest
from browser import needs_chromium, ran
from invented_class import write_class
from logs import in_bytes, plan, record_from, said
from playwright.sync_api import Browser

from chattutor.__main__ import main
from chattutor.session_logs.schema import SCHEMA, EndLine, Header, TurnLine
from dialogue.algebra.misconceptions import error_table
from dialogue.turn_record import ReplyRecord

RUN = "document.documentElement.setAttribute('data-ran','')"
PAYLOADS = (
    f"<script>{RUN}</script>",
    f'<img src=x onerror="{RUN}">',
    f'"><svg onload="{RUN}">',
    f"'><svg onload='{RUN}'><a href='javascript:{RUN}'>",
    f"</style></title></desc></svg><script>{RUN}</script><!--",
    f"${RUN}$ \\mathrm{{x}} &lt;script&gt;{RUN}&lt;/script&gt;",
)
ESCAPES = "\x1b[2J\x1b]0;title\x07\x9b31m\x08\r\u202e\u2066"
STEP = {"act": "move", "operation": "subtract", "operand": "9", "sides": "both"}


def hostile(folder: Path, text: str, code: str = "heron-01") -> Path:
    """A log with this text in every field that a file can hold one in; its chain is right."""
    home = folder / code
    home.mkdir(parents=True, exist_ok=True)
    task = {"equation": text, "stage": 3, "purpose": text}
    sound = {"equation": "4n = 52", "stage": 6}
    tasks = plan(tasks=[task, sound, {**sound, "equation": f"n = {text}"}])
    inner = text if code == "raw" else code
    header = Header(SCHEMA, text[:40], inner, f"2026-01-16T09:00:00{text}", text, tasks)
    step = {**STEP, "operation": text, "operand": text, "sides": text}
    broken = {"event": "line broken", "balanced": False}
    records = [
        {"task": 0, **broken, "errors": [text], "step": {"act": "state", "equation": text}},
        {"task": 1, **broken, "errors": [text, "sign-drop"], "step": step},
        {"task": 1, "event": "unheard", "level": text, "step": STEP, "balanced": False},
        {"task": 2, "event": text, "level": "shown", "solved": text, "balanced": None, "corrected": True},
        {"task": 1, "event": "value right", "phase": "left"},
        {"task": 1, "event": "distress"},
    ]  # fmt: skip
    words = said(text, channel=text, doubt=text, meaning={"act": "value", "value": text})
    replies = (ReplyRecord(text, text, text),)
    turns = [
        TurnLine(number, text, record_from({"line": text} | each), words, replies)
        for number, each in enumerate(records)
    ]  # fmt: skip
    content = in_bytes(header, turns, EndLine(text, text, len(records)))
    name = re.sub(r"[/\x00]", "", text)[:60]  # all that a file system refuses
    (home / f"{name}.jsonl").write_bytes(content)
    note = json.dumps({"at": text, "note": text}) + "\n" + json.dumps({"at": text, "note": text}) + "\n"
    with (home / "teacher.notes").open("a", encoding="utf-8") as notes:
        notes.write(note)
    return folder


@pytest.fixture(scope="module")
def tried(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The pages of a folder in which every field is a script."""
    logs, folder = tmp_path_factory.mktemp("hostile"), tmp_path_factory.mktemp("pages")
    for payload in PAYLOADS:
        hostile(logs, payload)
        hostile(logs, payload, "raw")
    found = [folder / "class.html", folder / "learner.html"]
    key = folder / f"{PAYLOADS[1]}.csv"
    with key.open("w", encoding="utf-8", newline="") as out:
        rows = csv.writer(out)
        rows.writerow(["code", "givenName", "familyName", "sourcedId"])
        rows.writerow(["heron-01", PAYLOADS[0], PAYLOADS[2], PAYLOADS[1]])
    assert main(["review", str(logs), "--key", str(key), "--html", str(found[0])]) == 0
    assert main(["review", str(logs), "--learner", "heron-01", "--html", str(found[1])]) == 0
    return found


@needs_chromium
@pytest.mark.parametrize("policy", [True, False])
def test_no_field_of_a_log_becomes_a_script(tried: list[Path], chromium: Browser, tmp_path: Path, policy: bool) -> None:
    for page in tried:
        assert "<script>document" in unescape(page.read_text("utf-8"))  # the words are there, as words
        assert not ran(chromium, tmp_path, page, policy), page.name


@needs_chromium
def test_a_script_that_runs_would_be_seen(chromium: Browser, tmp_path: Path) -> None:
    page = tmp_path / "runs.html"
    page.write_text(f"<!DOCTYPE html><html><body>{PAYLOADS[0]}</body></html>", "utf-8")
    assert ran(chromium, tmp_path, page, policy=False)


def test_no_page_has_a_script_an_event_or_an_address(tried: list[Path]) -> None:
    for page in tried:
        tags = re.findall(r"<[a-zA-Z!/][^>]*>", page.read_text("utf-8"))
        for tag in tags:
            assert not re.match(r"</?(script|iframe|object|embed|link|base|form|img|a)\b", tag, re.I), tag
            outside = re.sub(r'="[^"]*"', "", tag)
            assert not re.search(r"\son\w+", outside), tag
        assert not re.search(r'(?:src="|href="(?!#mark-))', "".join(tags))


@pytest.mark.parametrize("words", [[], ["--learner", "heron-01"], ["--json"], ["--learner", "heron-01", "--json"]])
def test_no_escape_reaches_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str]) -> None:
    hostile(tmp_path, f"a{ESCAPES}b")
    hostile(tmp_path, f"a{ESCAPES}b", "raw")
    assert main(["review", str(tmp_path), *words]) == 0
    shown = capsys.readouterr().out
    if "--json" in words:  # JSON says them as escapes of its own
        assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f]", shown)
        json.loads(shown)
    else:
        assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", shown)
        assert "a" in shown and "b" in shown


# From the trade: what a page about children never says (common practice, no source)
NEVER = re.compile(
    r"\b(rank\w*|top|bottom|best|worst|weak\w*|strong\w*|able|ability|abilities|gifted|talent\w*|bright|clever|smart|"
    r"slow|slower|slowest|fast|faster|fastest|quick\w*|pace|speed|minutes?|seconds?|time taken|lazy|effort|careless|"
    r"predict\w*|forecast\w*|grades?|mark out of|score\w*|percent\w*|per cent|average|target|level [0-9]|"
    r"set [0-9]|mood|happy|sad|anxious|angry|bored|confident|confidence|motivat\w*|attitude|behaviou?r\w*|"
    r"accent|pronunciation|native|dyslexi\w*|dyscalculi\w*|autis\w*|adhd|disorder|diagnos\w*|disab\w*|"
    r"low attainer|high attainer|at risk|behind|ahead|falling|failing|failure|poor)\b|%",
    re.I,
)


@pytest.fixture(scope="module")
def every_page(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Pages over varied invented classes, and over a class in which every error there is was made."""
    found: dict[str, str] = {}
    folder = tmp_path_factory.mktemp("pages")
    for seed in (2, 3):
        logs = write_class(tmp_path_factory.mktemp("class"), learners=8, lessons=2, seed=seed)
        for code in [None, *sorted(path.name for path in logs.iterdir())]:
            target = folder / "page.html"
            chosen = [] if code is None else ["--learner", code]
            assert main(["review", str(logs), *chosen, "--html", str(target)]) == 0
            found[f"{seed} {code or 'class'}"] = target.read_text("utf-8")
    return found


def visible(page: str) -> str:
    """What a reader meets: no style, no tags, and no words of the learner's own."""
    page = re.sub(r"<style>.*?</style>|<style .*?</style>", " ", page, flags=re.DOTALL)
    page = re.sub(r"<span class=said>.*?</span>", " ", page)
    return unescape(re.sub(r"<[^>]*>", " ", page)) + " ".join(
        re.findall(r'(?:aria-label|alttext|title)="([^"]*)"', page)
    )


def test_no_page_ranks_labels_or_guesses(every_page: dict[str, str]) -> None:
    for name, page in every_page.items():
        found = NEVER.search(visible(page))
        assert found is None, (name, found)


def test_no_error_is_named_by_a_label() -> None:
    for entry in error_table().values():
        assert not NEVER.search(entry.name), entry.name


def test_a_label_would_be_found() -> None:
    for words in ("top of the class", "Predicted grade 4", "85%", "a weak learner", "took 14 minutes", "at risk"):
        assert NEVER.search(words), words


def test_no_other_learner_is_on_a_learners_page(every_page: dict[str, str]) -> None:
    codes = {name.split()[1] for name in every_page} - {"class"}
    for name, page in every_page.items():
        own = name.split()[1]
        if own != "class":
            assert own in page
            assert not [code for code in codes - {own} if code in page]


def test_no_page_has_audio(every_page: dict[str, str]) -> None:
    for page in every_page.values():
        assert not re.search(r"<(audio|video|source)\b|\.wav|data:audio", page)
