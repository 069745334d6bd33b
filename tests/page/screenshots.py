"""Pictures of every state of the page at three widths, to look at: screenshots.py FOLDER [NAME...]"""

import shutil
import sys
import tempfile
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(TESTS), str(TESTS.parent), str(TESTS / "review")]

from invented_class import write_class  # noqa: E402 - after the path to it
from playwright.sync_api import Browser, Page, Playwright, sync_playwright  # noqa: E402 - after the path to it
from served import Served, begun, say  # noqa: E402 - after the path to it

SIZES = {1280: 720, 820: 1180, 390: 844}
TWO_STEP, FRACTIONS, LONG = "3x + 2 = 14", "(n + 6)/4 = 5", "5(n - 2) = 3n + 8"
STATES: dict[str, tuple[str, list[str]]] = {
    "first": (TWO_STEP, []),
    "move": (TWO_STEP, ["times three then add two", "the two"]),
    "tilted": (TWO_STEP, ["take 2 off the left"]),
    "left": (TWO_STEP, ["subtract 2 from both sides"]),
    "result": (TWO_STEP, ["subtract 2 from both sides", "3x", "12"]),
    "check": (TWO_STEP, ["subtract 2 from both sides", "3x", "12", "divide by 3", "x = 4"]),
    "over": (TWO_STEP, ["subtract 2 from both sides", "3x", "12", "divide by 3", "x = 4", "14"]),
    "wrong": (TWO_STEP, ["3x = 16"]),
    "fraction": (FRACTIONS, ["multiply both sides by 4"]),
    "long": (LONG, ["expand", "5n - 10 = 3n + 8", "add 10", "5n = 3n + 18", "subtract 3n", "2n = 18"]),
    "unclear": (TWO_STEP, ["what is this all about then"]),
    "negative": ("5n + 23 = 8", []),
    "weights": ("n + 19 = 43", []),
}


def main(folder: Path, names: list[str]) -> None:
    """Take them."""
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for name, (equation, said) in STATES.items():
            if not names or name in names:
                _lesson(browser, folder, name, equation, said)
        for name, words in (("scene", ["--stage", "1"]), ("chosen", [])):
            if not names or name in names:
                _pictures(browser, folder, name, words, ["it tips", "take 3 off the right"] if name == "scene" else [])
        if not names or "class" in names:
            _class(browser, folder)
        if not names or "teacher" in names:
            _teacher(browser, folder)
        if not names or "looks" in names:
            _looks(browser, folder)
        if not names or "voice" in names:
            _voice(play, folder)
        browser.close()


def _class(browser: Browser, folder: Path) -> None:
    """Coming in, a class that joins, the teacher's list, and a server that is gone."""
    words = ("--class", "--at", "127.0.0.2", "--class-port", "0", "--stage", "6", "--seed", "1")
    with tempfile.TemporaryDirectory() as work, Served(Path(work) / "logs", *words) as served:
        teacher, tablet = (browser.new_context().new_page() for _ in range(2))
        teacher.goto(served.address)
        _at_every_width(teacher, folder, "who")
        teacher.goto(served.teacher)
        teacher.goto(served.origin + "/teacher/live/pins?code=heron-03")
        _at_every_width(teacher, folder, "pins")
        pin = teacher.locator("td").nth(1).text_content() or ""
        teacher.goto(served.origin + "/teacher/live")
        address, join = teacher.locator(".join b").all_text_contents()
        tablet.goto(address)
        for name, value in (("join", join), ("code", "heron-03"), ("pin", "0000")):
            tablet.fill(f"#{name}", value)
        tablet.press("#pin", "Enter")
        _at_every_width(tablet, folder, "join")
        tablet.fill("#pin", pin)
        tablet.press("#pin", "Enter")
        tablet.wait_for_selector("html.scripted #question")
        say(tablet, "hint")
        tablet.click("#ask")
        _at_every_width(tablet, folder, "in-class")
        teacher.goto(served.origin + "/teacher/live")
        _at_every_width(teacher, folder, "live")
        served.kill()
        tablet.wait_for_selector("body.lost")
        tablet.fill("#words", "3x = 12")
        _at_every_width(tablet, folder, "lost")
        for page in (teacher, tablet):
            page.context.close()


def _at_every_width(page: Page, folder: Path, name: str) -> None:
    for width, height in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        page.screenshot(path=folder / f"{name}-{width}.png", full_page=True)


def _teacher(browser: Browser, folder: Path) -> None:
    with tempfile.TemporaryDirectory() as work:
        logs = write_class(Path(work) / "logs", 30, 2)
        code = sorted(path.name for path in logs.iterdir() if path.is_dir())[1]
        with Served(logs) as served:
            context = browser.new_context()
            page = context.new_page()
            page.goto(served.teacher)
            for name, path in (
                ("class", "/teacher"),
                ("learner", f"/teacher/learner/{code}"),
                ("equations", "/teacher/equations?stage=7&count=6&seed=2"),
                ("parent", f"/teacher/learner/{code}/parent"),
                ("over-time", "/teacher/over-time"),
                ("tomorrow", "/teacher/tomorrow"),
                ("marking", "/teacher/marking"),
                ("records", "/teacher/records"),
                ("verify", "/teacher/records/verify"),
                ("trouble", "/teacher/learner/nobody"),
                ("nothing", "/nowhere"),
            ):
                page.goto(served.origin + path)
                if name == "equations":
                    page.click("button[value=check]")
                if name == "tomorrow":
                    page.click("text=Make it")
                if name == "marking":
                    page.fill("#work", "A17: 3x + 2 = 14\n3x = 16\n\nB18: 3x + 2 = 14\n3x = 12\nx = 4\n")
                    page.click("button[value=marks]")
                for width, height in SIZES.items():
                    page.set_viewport_size({"width": width, "height": height})
                    page.screenshot(path=folder / f"teacher-{name}-{width}.png")
            context.close()


def _looks(browser: Browser, folder: Path) -> None:
    """A lesson as different people have it; and somebody who was not let in."""
    with tempfile.TemporaryDirectory() as work, Served(Path(work) / "logs", "--stage", "6", "--seed", "1") as served:
        for name, looks in (
            ("dark", {"color_scheme": "dark"}),
            ("forced", {"forced_colors": "active", "color_scheme": "dark"}),
            ("scriptless", {"java_script_enabled": False}),
            ("large", {}),
        ):
            context = browser.new_context(reduced_motion="reduce", **looks)
            page = context.new_page()
            if name == "dark":
                page.goto(served.origin)
                _at_every_width(page, folder, "stranger")
            page.goto(served.address)
            page.fill("#code", name)
            page.press("#code", "Enter")
            page.fill("#words", "take 5 off the left")
            page.press("#words", "Enter")
            page.wait_for_selector("#heard q")
            if name == "large":
                page.click("#larger")
                page.click("#spaced")
            _at_every_width(page, folder, name)
            context.close()


def _voice(play: Playwright, folder: Path) -> None:
    """The microphone's states, with one that hears a hum; and one that was refused."""
    flags = ["--no-sandbox", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream"]
    with tempfile.TemporaryDirectory() as work, Served(Path(work) / "logs", "--stage", "6", "--seed", "1") as served:
        for refused in (False, True):
            browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=flags[: 1 if refused else 3])
            page = browser.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce").new_page()
            begun(page, served)
            page.click("#microphone")
            if refused:
                page.wait_for_selector("#sound-notice:not([hidden])")
                _at_every_width(page, folder, "voice-refused")
            for state in () if refused else ("speaking", "listening"):
                page.wait_for_selector(f"#voice[data-state={state}]", timeout=60_000)
                _at_every_width(page, folder, f"voice-{state}")
            browser.close()


def _lesson(browser: Browser, folder: Path, name: str, equation: str, said: list[str]) -> None:
    with tempfile.TemporaryDirectory() as work:
        path = Path(work) / "set.txt"
        path.write_text(equation + "\n", "utf-8")
        _pictures(browser, folder, name, ["--equations", str(path)], said)


def _pictures(browser: Browser, folder: Path, name: str, words: list[str], said: list[str]) -> None:
    with tempfile.TemporaryDirectory() as work, Served(Path(work) / "logs", *words, "--seed", "1") as served:
        context = browser.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce")
        page = context.new_page()
        begun(page, served)
        for place, text in enumerate(said):
            say(page, text)
            if name == "scene":
                page.screenshot(path=folder / f"{name}-{place}-1280.png")
        _at_every_width(page, folder, name)
        context.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
