"""Every state of the invented lessons as a page: whole on a laptop's window, nothing wrong by axe-core in any phase."""

from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from browser import axe, needs_chromium
from playwright.sync_api import Browser, Page, Route
from processes import ROOT

from chattutor.page.app import KINDS
from chattutor.page.lesson_page import lesson_page
from chattutor.page.lesson_view import view
from chattutor.session_logs.reader import read_session
from chattutor.session_logs.replay import replay
from dialogue.tutor import Turn

pytestmark = [needs_chromium, pytest.mark.timeout(240)]

LESSONS = ROOT / "transcripts_demo"
STATIC = files("chattutor.page") / "static"
# what the scripts do to a page at once; the lesson itself has been made by the server
SHOWN = """document.documentElement.classList.add('scripted');
for (const each of document.querySelectorAll('.keys, #voice, #larger, #spaced')) each.hidden = false;"""


def _turns() -> Iterator[tuple[str, Turn, str]]:
    """Which turn it is, the turn, and what was said before it."""
    for path in sorted(LESSONS.glob("*.jsonl")):
        for each in replay(read_session(path), LESSONS):
            said = "" if each.line.said is None else each.line.said.text
            yield f"{path.stem}, turn {each.turn.state.turn}", each.turn, said


def _lesson(turn: Turn, said: str) -> Any:
    """As an open lesson stands after the turn."""
    heard = SimpleNamespace(text=said, channel="typed") if said else None
    return SimpleNamespace(
        turn=turn, shown=[turn], said=heard, withheld=False, notices=[], over=turn.state.phase == "done", root="r",
        asked=None,
    )  # fmt: skip


@pytest.fixture
def shown(chromium: Browser) -> Iterator[Any]:
    """Shows a page without a server."""
    context = chromium.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce")
    page = context.new_page()
    held = [""]

    def answer(route: Route) -> None:
        name = Path(route.request.url).name
        if "/static/" not in route.request.url:
            route.fulfill(body=held[0], content_type="text/html")
        elif name.endswith(".js"):
            route.fulfill(body=SHOWN, content_type=KINDS[".js"])
        else:
            route.fulfill(body=(STATIC / name).read_bytes(), content_type=KINDS[Path(name).suffix])

    page.route("**/*", answer)
    page.on("pageerror", lambda error: pytest.fail(str(error)))

    def show(html: str) -> Page:
        if not held[0]:
            held[0] = html
            page.goto("http://lesson.invalid/")
            page.wait_for_selector("html.scripted")
        body = html.partition("<body")[2].partition(">")[2].rpartition("</body>")[0]
        page.evaluate(f"body => {{ document.body.innerHTML = body; {SHOWN} }}", body)
        return page

    yield show
    context.close()


def test_no_turn_of_the_invented_lessons_needs_scrolling_and_no_phase_has_faults(shown: Any) -> None:
    looked: dict[str, list[Any]] = {}
    too_long = []
    for which, turn, said in _turns():
        page = shown(lesson_page(view(_lesson(turn, said)), in_class=True))
        if page.evaluate("document.documentElement.scrollHeight") > 720:
            too_long.append(which)
        if turn.state.phase not in looked:
            looked[turn.state.phase] = axe(page)["faults"]
    assert too_long == []
    assert {phase: faults for phase, faults in looked.items() if faults} == {}
    assert len(looked) > 15


def test_the_most_that_can_be_said_still_needs_none(shown: Any) -> None:
    """A long saying is cut short on the page, and ten lines of working scroll in their own place."""
    _, turn, _ = next(_turns())
    found = view(_lesson(turn, "and then I thought about it " * 30))
    line = found["parts"]["working"].removeprefix("<ol role=list>").removesuffix("</ol>")
    found["parts"]["working"] = f"<ol role=list>{line * 10}</ol>"
    page = shown(lesson_page(found))
    assert page.evaluate("document.documentElement.scrollHeight") <= 720
    assert page.evaluate("document.querySelector('#question').getBoundingClientRect().bottom <= innerHeight")
    assert page.evaluate(
        "document.querySelector('#working').scrollHeight > document.querySelector('#working').clientHeight"
    )
