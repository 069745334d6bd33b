"""``chattutor equations print`` in real Chromium: pages, alignment, room for working; and the teacher's key."""

import re
from pathlib import Path

import pytest
from browser import needs_chromium, opened, pages
from playwright.sync_api import Browser
from processes import chattutor

from chattutor.common.mathml import math
from chattutor.paper.keys import key_entry
from dialogue.algebra.equation import read_equation

MEASURE = """() => {
const box = (each) => { const b = each.getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]; };
const all = (what) => [...document.querySelectorAll(what)].map(box);
return {pages: all(".page"), equals: all(".equals"), questions: all(".question"),
  fractions: all("mfrac"), numbers: all("mfrac mn"), footers: all("footer"), left: all(".left math"),
  right: all(".right math"),
  cut: [...document.querySelectorAll("td")].filter((each) => each.scrollWidth > each.clientWidth + 1).length};
}"""


def printed(tmp_path: Path, *words: str) -> Path:
    path = tmp_path / "page.html"
    done = chattutor("equations", "print", *words, "--to", path)
    assert done.returncode == 0, done.stderr
    assert done.stdout == "" and done.stderr.startswith("Written: ")
    return path


def measured(chromium: Browser, path: Path) -> dict[str, list[list[float]]]:
    with opened(chromium, path) as page:
        page.set_viewport_size({"width": 900, "height": 1300})
        found: dict[str, list[list[float]]] = page.evaluate(MEASURE)
    return found


@needs_chromium
@pytest.mark.parametrize(
    ("words", "sheets"),
    [
        (("--stage", "6", "--count", "10", "--sheets", "3"), 3),
        (("--stage", "15", "--count", "10"), 1),
        (("--stage", "7", "--count", "11"), 1),
        (("--stage", "15", "--count", "12"), 1),
        (("--stage", "7", "--count", "13"), 2),
        (("--stage", "6", "--count", "5", "--words"), 1),
        (("--stage", "12", "--count", "6", "--words", "--large"), 2),
        (("--stage", "12", "--count", "8", "--large"), 2),
    ],
)
def test_one_page_a_sheet(chromium: Browser, tmp_path: Path, words: tuple[str, ...], sheets: int) -> None:
    assert pages(chromium, printed(tmp_path, *words, "--only", "sheets")) == sheets


@needs_chromium
@pytest.mark.parametrize("words", [("--stage", "15", "--count", "10"), ("--stage", "7", "--count", "4", "--large")])
def test_equals_signs_stand_in_line_and_nothing_runs_out_of_its_place(
    chromium: Browser, tmp_path: Path, words: tuple[str, ...]
) -> None:
    found = measured(chromium, printed(tmp_path, *words, "--only", "sheets"))
    middles = sorted({round((left + right) / 2) for left, _, right, _ in found["equals"]})
    assert len(middles) == (1 if "--large" in words else 2)
    page, footer = found["pages"][0], found["footers"][0]
    for left, top, right, bottom in found["questions"]:
        assert page[0] < left < right < page[2] and page[1] < top < bottom <= footer[1] + 1
    for question in found["questions"]:
        inside = [
            each
            for each in found["equals"]
            if question[1] <= each[1] < question[3] and question[0] < each[0] < question[2]
        ]
        assert len(inside) == 4  # the equation's own, and three lines of working
        assert max(each[3] for each in inside) <= question[3]
    for sides in (found["left"], found["right"]):
        for left, _, right, _ in sides:
            assert any(question[0] <= left and right <= question[2] for question in found["questions"])


@needs_chromium
@pytest.mark.parametrize("large", [(), ("--large",)])
def test_the_key_runs_out_of_no_cell_and_takes_few_pages(
    chromium: Browser, tmp_path: Path, large: tuple[str, ...]
) -> None:
    path = printed(tmp_path, "--stage", "15", "--count", "10", "--seed", "3", "--only", "key", *large)
    assert pages(chromium, path) <= 2
    assert measured(chromium, path)["cut"] == 0


@needs_chromium
def test_fractions_are_stacked(chromium: Browser, tmp_path: Path) -> None:
    found = measured(chromium, printed(tmp_path, "--stage", "4", "--count", "2", "--only", "sheets"))
    assert len(found["fractions"]) == 2
    for fraction, below in zip(found["fractions"], found["numbers"], strict=True):
        assert below[1] > (fraction[1] + fraction[3]) / 2 - 2


def test_the_page_fetches_nothing_and_runs_nothing(tmp_path: Path) -> None:
    text = printed(tmp_path, "--stage", "6").read_text("utf-8")
    assert not re.search(r"<script|<link|https?:|url\(|@import|src=", text)


def test_a_title_is_shown_as_text(tmp_path: Path) -> None:
    text = printed(tmp_path, "--stage", "6", "--title", "<b>Ours & theirs</b>").read_text("utf-8")
    assert "<h1>&lt;b&gt;Ours &amp; theirs&lt;/b&gt;</h1>" in text


def test_the_key_has_answer_steps_and_what_wrong_answers_point_to() -> None:
    entry = key_entry(read_equation("4n + 9 = 37"))
    assert entry.answer == "n = 7"
    assert entry.steps == (
        ("Subtract 9 from both sides.", "4n = 28"),
        ("Divide both sides by 4.", "n = 7"),
    )
    pointers = dict(entry.pointers)
    assert pointers["23/2 (11.5)"].startswith("subtracting on one side and adding on the other")  # 46 over 4
    assert pointers["24"] == "subtracting the coefficient"  # 28 - 4
    assert pointers["112"].startswith("multiplying instead of dividing")  # 28 times 4


def test_the_key_of_an_equation_without_a_number() -> None:
    assert key_entry(read_equation("3n + 4 = 3n + 9")).answer == "No number solves it."
    assert key_entry(read_equation("2(n + 3) = 2n + 6")).answer == "Every number solves it."


def test_a_teachers_file_is_printed_and_its_bad_lines_are_said(tmp_path: Path) -> None:
    path = tmp_path / "set.txt"
    path.write_text("Warm up:\n3x + 7 = 31\nx^2 = 3\nHarder:\n4(x - 1) = 20\n")
    done = chattutor("equations", "print", path, "--only", "sheets")
    assert done.returncode == 0
    assert re.findall("<h1>(.*?)</h1>", done.stdout) == ["Warm up", "Harder"]
    assert done.stderr.startswith("Line 3: ")


@pytest.mark.parametrize("words", [(), ("--stage", "99")])
def test_nothing_to_print_is_said(words: tuple[str, ...]) -> None:
    done = chattutor("equations", "print", *words)
    assert done.returncode == 2 and done.stdout == "" and len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    ("text", "mathml"),
    [
        (
            "3x + 2 = 0",
            '<mrow><mrow><mn>3</mn><mo>\u2062</mo><mi>x</mi></mrow><mo form="infix">+</mo><mn>2</mn></mrow>',
        ),
        ("(x - 1)/4 = 0", '<mfrac><mrow><mi>x</mi><mo form="infix">\u2212</mo><mn>1</mn></mrow><mn>4</mn></mfrac>'),
        ("-x = 0", '<mrow><mo form="prefix">\u2212</mo><mi>x</mi></mrow>'),
        ("0.5 = x", "<mn>0.5</mn>"),
    ],
)
def test_mathml(text: str, mathml: str) -> None:
    """Element names: MathML Core, W3C Candidate Recommendation (names from memory)."""
    assert mathml in math(read_equation(text).left)


def test_a_title_and_the_headings_of_a_file_stand_on_the_sheets(tmp_path: Path) -> None:
    path = tmp_path / "set.txt"
    path.write_text("Warm up:\nn + 19 = 43\nTwo steps:\n4n + 9 = 37\n", encoding="utf-8")
    text = printed(tmp_path, str(path), "--title", "Tuesday", "--key", "full").read_text("utf-8")
    assert re.findall("<h1>(.*?)</h1>", text) == [
        "Tuesday: Warm up", "Tuesday: Two steps", "Key: Tuesday: Warm up", "Key: Tuesday: Two steps",
    ]  # fmt: skip


def test_date_class_and_instruction_stand_on_the_sheet_or_leave_room(tmp_path: Path) -> None:
    text = printed(tmp_path, "--stage", "6").read_text("utf-8")
    assert "Class: ________" in text and "Date: ____________" in text
    assert "Solve each equation. Write a new line for each step" in text and "Answers" not in text
    said = ("--class", "8B", "--date", "Mon 1 <June>", "--instruction", "Show each step.")
    text = printed(tmp_path, "--stage", "6", *said).read_text("utf-8")
    assert "Class: 8B" in text and "Date: Mon 1 &lt;June&gt;" in text and "Show each step." in text


def test_the_key_comes_on_request_short_or_full(tmp_path: Path) -> None:
    path = tmp_path / "set.txt"
    path.write_text("4n + 9 = 37\n0.5x + 1.2 = 3.7\n2x = 7\n0.5x = 0.7\n")
    short = printed(tmp_path, str(path), "--key").read_text("utf-8")
    assert re.findall("<b>(.*?)</b>", short) == ["n = 7", "x = 5", "x = 7/2 (3.5)", "x = 1.4"]  # decimals stay decimals
    assert "A wrong answer" not in short
    full = printed(tmp_path, str(path), "--only", "key").read_text("utf-8")
    assert "A wrong answer may come from" in full and 'class="question"' not in full


def test_words_stand_in_place_of_the_equation(tmp_path: Path) -> None:
    path = tmp_path / "set.txt"
    path.write_text("3n = 42\n3n + 4 = 3n + 9\n")
    text = chattutor("equations", "print", path, "--words").stdout
    asked = "3 friends share 42 sweets equally. How many does each get?"
    assert f"{asked}<br>Let n be the number of sweets each gets." in text
    assert text.count("<math") == 2  # the two sides of the equation that has no story


@needs_chromium
@pytest.mark.parametrize("words", [("--stage", "12", "--count", "5"), ("--stage", "11", "--count", "3", "--large")])
def test_words_run_out_of_no_place(chromium: Browser, tmp_path: Path, words: tuple[str, ...]) -> None:
    found = measured(chromium, printed(tmp_path, *words, "--words"))
    assert len(found["questions"]) == int(words[3])
    for question in found["questions"]:
        assert max(each[3] for each in found["equals"] if question[1] <= each[1] < question[3]) <= question[3]
        assert question[3] <= found["footers"][0][1] + 1
