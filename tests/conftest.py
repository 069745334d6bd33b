"""Where ``CI`` is set, a skipped test is a failure: what is asked for there is installed there. ``pytest -m fast`` runs
the files named in ``fast.txt``, which need nothing but Python, and loads no others."""

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile("ours", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ours")  # a busy machine is no fault; what must be quick is measured in tests/bench

HERE = Path(__file__).parent
FAST = frozenset((HERE / "fast.txt").read_text("utf-8").split())

SKIPPED: list[str] = []
FIRST = "test_session_by_voice.py"  # two minutes, nearly all of them waiting
LONGEST = (
    "voice",
    "review",
    "session_logs",
)  # folders whose tests take longest: begun first, that no process is left waiting


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Of the fast tests alone nothing else is loaded: others need what only Linux has."""
    if config.option.markexpr != "fast" or collection_path == HERE or not collection_path.is_relative_to(HERE):
        return None
    name = collection_path.relative_to(HERE).as_posix()
    return not any(each == name or each.startswith(f"{name}/") for each in FAST) or None


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """For ``-n auto``: one process more than there are cores, since tests by voice and in browsers mostly wait."""
    return (os.cpu_count() or 1) + 1


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest first; the order is else as it was. Those of the fast files are marked so."""
    for item in items:
        if item.path.is_relative_to(HERE) and item.path.relative_to(HERE).as_posix() in FAST:
            item.add_marker("fast")
    items.sort(key=lambda item: (item.path.name != FIRST, item.path.parent.name not in LONGEST))


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
