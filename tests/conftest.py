"""Where ``CI`` is set, a skipped test is a failure: what is asked for there is installed there. ``pytest -m fast`` runs
the files named in ``fast.txt``, which need nothing but Python, and loads no others."""

import os
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Playwright

settings.register_profile("ours", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ours")  # a busy machine is no fault; what must be quick is measured in tests/bench

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # the programs that tests start are compiled once, not every time

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # begun in the background of a shell: programs inherit that
    signal.signal(signal.SIGINT, signal.default_int_handler)

HERE = Path(__file__).parent
FAST = frozenset((HERE / "fast.txt").read_text("utf-8").split())

SKIPPED: list[str] = []
# Whole files go to the processes (pyproject.toml, --dist), those that take longest first, as measured: by voice, which
# mostly wait, in turn with those that reckon, so that neither are left to the end nor stand in each other's way.
LONGEST = (
    "test_session_by_voice.py", "test_voice_faults.py", "test_turns_by_voice.py", "test_page_browser.py",
    "test_district.py", "test_voice_command.py", "test_lesson.py", "test_page_voice.py", "test_hands_free.py",
    "test_pages.py", "test_thinking_aloud.py", "test_equations_print.py", "test_recognisers.py", "test_families.py",
    "test_page_mishaps.py", "test_never_a_loop.py", "test_read_together.py", "test_judge_and_sympy.py",
    "test_page_hearing.py", "test_tomorrow.py", "test_speaker_adaptation.py", "test_walks.py", "test_lesson_chosen.py",
    "test_review_learner.py", "test_review.py", "test_understood_once.py", "test_blind_turns.py",
    "test_page_tomorrow.py", "test_over_time.py", "test_page_teacher.py", "test_page_firefox.py", "test_page_states.py",
    "test_page_class.py", "test_page_command.py", "test_page_records.py", "test_holds.py", "test_nothing_false.py",
    "test_understanding_properties.py", "test_pages_hostile.py", "test_diagnostic.py", "test_conjectures.py",
    "test_speak.py", "test_house.py",
)  # fmt: skip


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Of the fast tests alone nothing else is loaded: others need what only Linux has."""
    if config.option.markexpr != "fast" or collection_path == HERE or not collection_path.is_relative_to(HERE):
        return None
    name = collection_path.relative_to(HERE).as_posix()
    return not any(each == name or each.startswith(f"{name}/") for each in FAST) or None


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """For ``-n auto``: three processes more than there are cores, since tests by voice and in browsers mostly wait."""
    return (os.cpu_count() or 1) + 3


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest first; the order is else as it was. Those of the fast files are marked so."""
    for item in items:
        if item.path.is_relative_to(HERE) and item.path.relative_to(HERE).as_posix() in FAST:
            item.add_marker("fast")
    place = {name: number for number, name in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.path.name, len(place)))


def _note(report: pytest.TestReport | pytest.CollectReport) -> None:
    if report.skipped:
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        SKIPPED.append(f"{report.nodeid}: {reason}")


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Remember each skipped test."""
    _note(report)


def pytest_collectreport(report: pytest.CollectReport) -> None:
    """Remember each module that skips itself."""
    _note(report)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_sessionfinish(session: pytest.Session) -> Iterator[None]:
    """Fail the run for them."""
    if SKIPPED and os.environ.get("CI") and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED
    return (yield)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """List them."""
    if SKIPPED and os.environ.get("CI"):
        terminalreporter.section("skipped, which fails this run")
        for line in SKIPPED:
            terminalreporter.line(line)


@pytest.fixture(scope="session")
def play() -> "Iterator[Playwright]":
    """What drives browsers; there can be one alone."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as found:
        yield found


@pytest.fixture(scope="module")
def chromium(play: "Playwright") -> "Iterator[Browser]":
    """The system's browser, one for a file of tests."""
    from browser import CHROMIUM

    found = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"])
    yield found
    found.close()
