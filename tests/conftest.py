"""Where ``CI`` is set, a skipped test is a failure: what is asked for there is installed there."""

import os
from collections.abc import Iterator

import pytest

SKIPPED: list[str] = []
FIRST = "test_session_by_voice.py"  # two minutes, nearly all of them waiting
LONGEST = (
    "voice",
    "review",
    "session_logs",
)  # folders whose tests take longest: begun first, that no process is left waiting


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest first; the order is else as it was."""
    items.sort(key=lambda item: (item.path.name != FIRST, item.path.parent.name not in LONGEST))


def _note(report: pytest.TestReport | pytest.CollectReport) -> None:
    if report.skipped and not hasattr(report, "wasxfail"):
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
