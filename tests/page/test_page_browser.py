"""The page in real Chromium: a server that dies, keys alone, a screen reader's words, small and large, and axe-core."""

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest
from browser import axe, needs_chromium
from invented_class import write_class
from playwright.sync_api import Browser, Page, expect
from served import SET, Served, begun, say

from chattutor.session_logs.reader import read_session

pytestmark = [needs_chromium, pytest.mark.timeout(120)]

STEPS = ["take 2 off the left", "and off the right", "3x", "12", "divide both sides by 3", "x = 4", "14"]
LONG = ["expand", "5n - 10 = 3n + 8", "add 10", "5n = 3n + 18", "subtract 3n", "2n = 18", "halve it"]


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for all of this file that leave it running."""
    folder = tmp_path_factory.mktemp("served")
    (folder / "set.txt").write_text(SET, "utf-8")
    with Served(folder / "logs", "--equations", folder / "set.txt", "--seed", "1") as found:
        yield found


@pytest.fixture
def shared(running: Served) -> Served:
    """It, for a learner who was never there."""
    running.code = f"heron-{int(running.code.rpartition('-')[2]) + 1:02}"
    return running


def _said(logs: Path) -> list[str]:
    sessions = [read_session(path) for path in sorted(logs.rglob("*.jsonl"))]
    assert all(session.sound or session.end is None for session in sessions)
    return [turn.said.text for session in sessions for turn in session.turns if turn.said]


# what is to be seen of a page, its words left out: each kind of element with its name and classes
LOOK = """[...new Set([...document.body.querySelectorAll('*')].filter(each => each.checkVisibility()).map(
    each => each.tagName + '#' + each.id + '.' + (each.getAttribute('class') ?? '')))].sort().join()"""


def _fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollHeight <= innerHeight"))


def _no_sideways(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_every_state_is_whole_on_a_laptop_and_without_faults(page: Page, shared: Served) -> None:
    page.goto(shared.address)
    assert axe(page)["faults"] == []
    begun(page, shared)
    seen = set()
    for text in [None, *STEPS, *LONG, "x", "what is all this for", "9"]:
        if text is not None:
            say(page, text)
        assert _fits(page), text
        if (look := page.evaluate(LOOK)) in seen:
            continue  # other words in the same places
        seen.add(look)
        found = axe(page)
        assert found["faults"] == [] and found["passed"] > 20, (text, found["faults"])
    assert len(seen) > 3  # the phases one by one: test_page_states.py


def test_small_windows_need_no_sideways_scrolling_and_fingers_have_room(page: Page, shared: Served) -> None:
    page.goto(shared.address)
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": 740})
        assert _no_sideways(page), width
    begun(page, shared)
    for text in [*STEPS[:4], "3x = 12"]:
        say(page, text)
    for width in (820, 390, 320):  # 320 CSS pixels are 1280 at 400 %: WCAG 2.2, 1.4.10
        page.set_viewport_size({"width": width, "height": 740})
        assert _no_sideways(page), width
        small = page.evaluate(
            "[...document.querySelectorAll('button, input:not([type=hidden]), a')].filter(each => each.offsetParent)"
            ".map(each => [each.textContent, each.getBoundingClientRect()])"
            ".filter(([, box]) => box.height < 43.5 || box.width < 43.5).map(([text]) => text)"
        )
        assert small == [], width
    page.click("#spaced")
    page.click("#larger")
    assert _no_sideways(page)


def test_a_whole_lesson_by_keys_alone(page: Page, shared: Served) -> None:
    page.goto(shared.address)
    expect(page.locator("#code")).to_be_focused()
    page.keyboard.type(shared.code)
    page.keyboard.press("Enter")
    page.wait_for_selector("html.scripted #question")
    for text in [*STEPS, "stop"]:
        expect(page.locator("#words")).to_be_focused()
        before = page.locator("body").get_attribute("data-turn")
        page.keyboard.type(text)
        page.keyboard.press("Enter")
        page.wait_for_function("was => document.body.dataset.turn !== was", arg=before)
    expect(page.locator("#again button")).to_be_focused()
    assert _said(shared.logs / shared.code) == [*STEPS, "stop"]


def test_what_is_read_out_is_said_once_in_words(page: Page, shared: Served) -> None:
    begun(page, shared)
    say(page, "3x = 12")
    live = page.locator("[aria-live], [role=status], [role=alert], [role=log]")
    expect(live).to_have_count(1)
    text = live.text_content() or ""
    assert "Three x, equals twelve." in text and "3x" not in text
    names = page.eval_on_selector_all("#working math", "all => all.map(each => each.getAttribute('aria-label'))")
    assert names == ["three x, plus two", "equals", "fourteen", "three x", "equals", "twelve"]


def test_a_server_that_dies_is_told_waited_for_and_nothing_is_lost(page: Page, served: Served, tmp_path: Path) -> None:
    begun(page, served)
    say(page, "subtract 2 from both sides")
    served.kill()
    page.wait_for_selector("body.lost")
    assert "nothing you said is lost" in (page.locator("#trouble").text_content() or "")
    page.fill("#words", "3x")
    page.press("#words", "Enter")
    page.wait_for_timeout(300)
    served.start()
    page.wait_for_selector("body[data-turn='2']", timeout=20_000)
    expect(page.locator("#heard")).to_contain_text("3x")
    say(page, "12")
    assert _said(tmp_path / "logs") == ["subtract 2 from both sides", "3x", "12"]


def test_a_server_that_hangs_is_waited_for_and_what_was_said_is_taken_once(
    page: Page, served: Served, tmp_path: Path
) -> None:
    """As where the laptop slept, or the network holds what is sent."""
    begun(page, served)
    served.process.send_signal(signal.SIGSTOP)
    page.fill("#words", "subtract 2 from both sides")
    page.press("#words", "Enter")
    page.wait_for_selector("body.lost", timeout=15_000)
    served.process.send_signal(signal.SIGCONT)
    page.wait_for_selector("body[data-turn='1']", timeout=20_000)
    page.wait_for_selector("body:not(.lost)")
    say(page, "hint")
    assert _said(tmp_path / "logs") == ["subtract 2 from both sides", "hint"]


def test_where_no_socket_comes_through_the_form_is_sent(page: Page, shared: Served) -> None:
    """As before the line is there, or where a school's filter lets none through: nothing typed is thrown away."""
    page.add_init_script("WebSocket = class { readyState = 0; send() {} close() {} }; WebSocket.CLOSING = 2")
    page.goto(shared.address)
    page.fill("#code", shared.code)
    page.press("#code", "Enter")
    for turn, text in enumerate(("subtract 2 from both sides", "3x"), 1):
        page.wait_for_selector("html.scripted #question")
        assert page.input_value("#words") == ""
        page.fill("#words", text)
        page.press("#words", "Enter")
        page.wait_for_selector(f"body[data-turn='{turn}']")
    page.click("button[value=hint]")
    page.wait_for_selector("body[data-turn='3']")
    assert _said(shared.logs / shared.code) == ["subtract 2 from both sides", "3x", "hint"]


def test_two_windows_show_one_lesson(page: Page, shared: Served) -> None:
    begun(page, shared)
    other = page.context.new_page()
    other.goto(shared.origin + "/lesson")
    other.wait_for_selector("html.scripted #question")
    say(other, "subtract 2 from both sides")
    page.wait_for_selector("body[data-turn='1']")
    expect(page.locator("#heard")).to_contain_text("subtract 2 from both sides")


def test_signs_and_fractions_are_put_in_by_buttons(page: Page, shared: Served) -> None:
    begun(page, shared)
    page.keyboard.type("x + 6")
    page.press("#words", "Control+a")
    page.click("button[data-over]")
    page.keyboard.type("4")
    for sign in ("=", "\N{MINUS SIGN}"):
        page.click(f"button[data-put='{sign}']")
    page.keyboard.type("5")
    assert page.input_value("#words") == "(x + 6)/4=\N{MINUS SIGN}5"
    page.wait_for_selector("#look mfrac")
    expect(page.locator("#words")).to_be_focused()


def test_changing_what_was_said(page: Page, shared: Served) -> None:
    begun(page, shared)
    say(page, "subtract 5 from both sides")
    page.click("[data-change]")
    assert page.input_value("#words") == "subtract 5 from both sides"
    say(page, "subtract 2 from both sides")
    assert _said(shared.logs / shared.code) == ["subtract 5 from both sides", "undo", "subtract 2 from both sides"]


def test_nothing_is_asked_of_anybody_else(page: Page, shared: Served) -> None:
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    begun(page, shared)
    say(page, "hint")
    assert asked and all(url.startswith((shared.origin, shared.origin.replace("http", "ws"))) for url in asked)


def test_it_moves_only_where_movement_is_welcome(chromium: Browser, shared: Served) -> None:
    for choice, moves in (("reduce", "none"), ("no-preference", "tip")):
        context = chromium.new_context(reduced_motion=choice)
        found = context.new_page()
        begun(found, shared, f"{shared.code}-{moves}")
        say(found, "take 2 off the left")
        assert found.locator(".balance").get_attribute("data-lower") == "right"
        style = "getComputedStyle(document.querySelector('.balance .turning'))"
        assert found.evaluate(f"{style}.animationName") == moves
        assert "matrix" in found.evaluate(f"{style}.transform")
        context.close()


def test_colours_of_the_person_are_kept(chromium: Browser, shared: Served) -> None:
    context = chromium.new_context(forced_colors="active", color_scheme="dark")
    found = context.new_page()
    begun(found, shared)
    say(found, "take 2 off the left")
    assert axe(found)["faults"] == []
    bag, paper = (found.evaluate(f"getComputedStyle(document.querySelector('{one}')).{what}")
                  for one, what in ((".balance .beam", "stroke"), ("body", "backgroundColor")))  # fmt: skip
    assert bag != paper
    context.close()


def test_a_dark_page_has_contrast_too(chromium: Browser, shared: Served) -> None:
    context = chromium.new_context(color_scheme="dark")
    found = context.new_page()
    begun(found, shared)
    say(found, "3x = 12")
    assert axe(found)["faults"] == []
    context.close()


def test_the_teachers_pages_have_no_faults_and_a_turn_is_judged_by_clicking(page: Page, tmp_path: Path) -> None:
    logs = write_class(tmp_path / "logs", 4, 1)
    code = sorted(each.name for each in logs.iterdir() if each.is_dir())[0]
    with Served(logs) as served:
        page.goto(served.teacher)
        assert axe(page)["faults"] == []
        page.click("summary:has-text('One learner')")
        page.click(f"a[href='/teacher/learner/{code}']")
        assert axe(page)["faults"] == []
        page.locator("table.turns button").nth(2).click()
        expect(page.locator("#judge [name=judgement]")).to_be_focused()
        assert page.input_value("#judge [name=turn]").isdigit()
        page.goto(served.origin + "/teacher/equations?stage=7&count=4&seed=2")
        page.click("button[value=check]")
        expect(page.locator(".shown math")).to_have_count(4)
        assert axe(page)["faults"] == []
        for path in (
            "equations",
            "records",
            "marking",
            "tomorrow",
            "live",
            "over-time",
            f"learner/{code}",
            f"learner/{code}/parent",
        ):
            page.set_viewport_size({"width": 1280, "height": 720})
            page.goto(f"{served.origin}/teacher/{path}")
            assert axe(page)["faults"] == [], path
            for width in (390, 320):
                page.set_viewport_size({"width": width, "height": 740})
                assert _no_sideways(page), (path, width)
