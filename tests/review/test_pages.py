"""The class page, the learner page and the printed sheets in real Chromium, over an invented class of thirty."""

import json
import re
from dataclasses import asdict
from importlib.resources import files
from pathlib import Path

import pytest
from browser import audit, needs_chromium, opened, pages, requests
from invented_class import write_class
from playwright.sync_api import Browser

from chattutor.__main__ import main
from chattutor.review.evidence import OUTCOMES
from dialogue.algebra.misconceptions import error_table
from dialogue.algebra.misconceptions.catalogue import beliefs

LEARNER = "avocet-02"  # holds a wrong rule, in more than one lesson
SERIOUS = {"serious", "critical"}


@pytest.fixture(scope="module")
def logs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class of thirty, three lessons."""
    return write_class(tmp_path_factory.mktemp("class"))


@pytest.fixture(scope="module")
def written(logs: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Each page there is, by name."""
    folder = tmp_path_factory.mktemp("pages")
    found = {name: folder / f"{name}.html" for name in ("class", "learner", "sheets", "large sheets")}
    assert main(["review", str(logs), "--html", str(found["class"])]) == 0
    assert main(["review", str(logs), "--learner", LEARNER, "--html", str(found["learner"])]) == 0
    sheet = ["equations", "print", "--stage", "7", "--count", "6", "--to"]
    assert main([*sheet, str(found["sheets"])]) == 0
    assert main([*sheet, str(found["large sheets"]), "--large"]) == 0
    return found


NAMES = ("class", "learner", "sheets", "large sheets")


@needs_chromium
@pytest.mark.parametrize("name", NAMES)
def test_axe_finds_no_serious_fault(written: dict[str, Path], chromium: Browser, name: str) -> None:
    found = audit(chromium, written[name])
    assert [fault for fault in found["faults"] if fault[0] in SERIOUS] == []
    assert found["passed"] > 10  # it did look


@needs_chromium
def test_axe_would_find_a_fault(written: dict[str, Path], chromium: Browser, tmp_path: Path) -> None:
    spoilt = tmp_path / "spoilt.html"
    text = written["class"].read_text("utf-8")
    spoilt.write_text(text.replace('lang="en"', "").replace("color: #333", "color: #bbb"), "utf-8")
    assert {"html-has-lang", "color-contrast"} <= {fault[1] for fault in audit(chromium, spoilt)["faults"]}


@needs_chromium
def test_nothing_is_asked_for_but_the_pages_themselves(written: dict[str, Path], tmp_path: Path) -> None:
    assert requests(tmp_path, *written.values()) == set()


@needs_chromium
def test_a_request_would_be_seen(tmp_path: Path) -> None:
    page = tmp_path / "asks.html"
    page.write_text("<img src='http://192.0.2.1/a.png'>", "utf-8")  # an address for documentation: RFC 5737
    assert "http://192.0.2.1/a.png" in requests(tmp_path, page)


@needs_chromium
def test_the_class_page_of_thirty_prints_on_both_sides_of_a_sheet_and_leaves_nothing_out(
    written: dict[str, Path], chromium: Browser
) -> None:
    assert pages(chromium, written["class"]) == 2
    assert "on this page on the screen" not in written["class"].read_text("utf-8")


@needs_chromium
def test_the_page_of_a_learner_of_many_turns_prints_on_one_sheet(written: dict[str, Path], chromium: Browser) -> None:
    assert written["learner"].read_text("utf-8").count("<tr><td>2026-") >= 4, "the moments worth a look"
    assert pages(chromium, written["learner"]) == 1


@needs_chromium
def test_a_lesson_of_thirty_turns_prints_on_one_page(logs: Path, chromium: Browser, tmp_path: Path) -> None:
    log = next(path for path in sorted(logs.rglob("*.jsonl")) if path.read_bytes().count(b"\n") in range(33, 36))
    (home := tmp_path / "logs" / log.parent.name).mkdir(parents=True)  # a header, the opening, 30 to 32 and the end
    (home / log.name).write_bytes(log.read_bytes())
    target = tmp_path / "learner.html"
    assert main(["review", str(home.parent), "--learner", home.name, "--html", str(target)]) == 0
    assert pages(chromium, target) == 1


@needs_chromium
def test_the_fullest_class_page_prints_on_both_sides_of_a_sheet_with_something_of_everything(
    chromium: Browser, tmp_path: Path
) -> None:
    target = tmp_path / "full.html"
    from chattutor.review.document import write_page
    from chattutor.review.html import class_html

    html = class_html(full_page())
    write_page(html, target)
    assert pages(chromium, target) == 2
    lists = re.findall(r"<ul[^>]*>(.*?)</ul>", html, re.DOTALL)
    assert len(lists) == 9  # five kinds to see first, groups, errors, not attempted, unsure
    assert all(each.lstrip().startswith("<li>") for each in lists)


def full_page() -> dict[str, object]:
    """Thirty learners with long codes, everything of everything, every text as long as a log can make it."""
    long = "the words go on " * 40
    name = max((entry.name for entry in error_table().values()), key=len)
    codes = [f"the-longest-code-{number:02}" for number in range(30)]
    seen = {"equation": "n/4 + 6 = 11", "line": "(n + 6)/4 = 5", "said": long, "file": "f", "turn": 1}
    return {
        "learners": [
            {"code": code, "last": "2026-01-16T09:00", "stages": {
                str(stage): {"now": OUTCOMES[(stage + place) % 6], "best": OUTCOMES[0], OUTCOMES[0]: 10, "not yet": 2}
                for stage in range(16)
            }, "mended": []}
            for place, code in enumerate(codes)
        ],
        "see_first": [
            {"code": code, "kind": kind, "why": f"{name}, on 12 equations", "line": "(n + 6)/4 = 5", "said": long,
             "note": long, "also": [long]}
            for kind, code in zip(("to tell", "idea", "stuck", "little", "guesses") * 6, codes, strict=True)
        ],
        "others": [], "two_at_once": [],
        "errors": [
            {"id": f"e{n}", "name": name, "count": 99 - n, "learners": codes, "evidence": [{"code": "c", **seen}]}
            for n in range(29)
        ],
        "groups": [
            {"error": f"e{n}", "name": name, "learners": codes, "starter": "(n + 8)/6 = 13",
             "or": [{"name": name, "learners": codes}], "evidence": [{"code": "c", **seen}],
             "belief": asdict(beliefs()["divide-one-term-only"])} for n in range(29)
        ],
        "unsure": [{"code": code, **seen} for code in codes],
        "not_attempted": [{"code": code, "equations": [f"(n + {n})/4 = {m}" for m in range(9)]}
                          for n, code in enumerate(codes)],
        "sessions": 90, "turns": 9000, "files_with_faults": [],
    }  # fmt: skip


def test_every_picture_is_told_in_words(written: dict[str, Path]) -> None:
    text = written["learner"].read_text("utf-8")
    told = text.partition('<desc id="path-told">')[2].partition("</desc>")[0]
    assert 'role="img" aria-labelledby="path-title path-told"' in text
    assert len(told) > 40
    for name in ("class", "learner"):
        drawn = re.findall(r"<svg ([^>]*)>", written[name].read_text("utf-8"))
        assert len(drawn) > 5
        assert [each for each in drawn if not re.search(r'aria-hidden="true"|role="img" aria-label', each)] == []


def test_ids_of_a_page_are_its_own(written: dict[str, Path]) -> None:
    for name in ("class", "learner"):
        ids = re.findall(r'\bid="([^"]*)"', written[name].read_text("utf-8"))
        assert ids and len(ids) == len(set(ids))


def test_equations_are_mathml(written: dict[str, Path]) -> None:
    for name in ("class", "learner"):
        text = written[name].read_text("utf-8")
        assert text.count("<math ") > 5
        assert "4*n" not in text and "*n" not in text


@needs_chromium
def test_marks_differ_in_grey(chromium: Browser, tmp_path: Path) -> None:
    """By a fiftieth of their place at least, none of it by shade alone: black and white are apart."""
    from PIL import Image

    shapes = files("chattutor.review").joinpath("templates/marks.html").read_text("utf-8").partition("#}")[2]
    page, seen = tmp_path / "marks.html", tmp_path / "marks.png"
    drawn = "".join(
        f'<svg width=100 height=100 style="display:block"><use href="#mark-{each.replace(" ", "-")}"/></svg>'
        for each in OUTCOMES
    )
    page.write_text(f"<!DOCTYPE html><body style='margin:0'>{shapes}{drawn}", "utf-8")
    with opened(chromium, page) as found:
        found.set_viewport_size({"width": 100, "height": 600})
        found.screenshot(path=seen)
    whole = Image.open(seen).convert("L")
    marks = [whole.crop((0, 100 * row, 100, 100 * row + 100)).tobytes() for row in range(len(OUTCOMES))]
    for place, one in enumerate(marks):
        for other in marks[:place]:
            apart = sum((a < 128) != (b < 128) for a, b in zip(one, other, strict=True))
            assert apart > len(one) / 50, (OUTCOMES[place], apart)


def test_the_json_is_as_scripts_expect(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["review", str(logs), "--json"]) == 0
    page = json.loads(capsys.readouterr().out)
    assert {"learners", "see_first", "errors", "groups", "unsure", "not_attempted"} <= page.keys()
    assert len(page["learners"]) == 30 and all(row["kind"] and row["reason"] for row in page["see_first"])
    assert sorted([row["code"] for row in page["see_first"]] + page["others"]) == sorted(
        row["code"] for row in page["learners"]
    )
    for row in page["learners"]:
        assert {"code", "stages", "patterns"} <= row.keys()
        assert all(isinstance(error, str) for error in row["patterns"])
    for row in page["errors"]:
        assert {"id", "count", "learners", "evidence"} <= row.keys()
        assert row["count"] >= len(row["learners"]) > 0 and row["evidence"]
    for row in page["groups"]:
        assert {"error", "learners", "starter"} <= row.keys()


def test_the_terminal_page_of_thirty_is_about_a_screen(logs: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from rich.console import Console

    from chattutor.review.class_page import class_page
    from chattutor.review.evidence import Evidence
    from chattutor.review.terminal import print_class
    from chattutor.session_logs.folder import session_files
    from chattutor.session_logs.reader import read_session

    page = class_page(Evidence().read(map(read_session, session_files(logs))))
    for width, most in ((60, 80), (80, 84), (120, 60)):
        print_class(page, Console(width=width, highlight=False))
        lines = capsys.readouterr().out.splitlines()
        assert len(lines) <= most, width
        assert max(map(len, lines)) <= width
