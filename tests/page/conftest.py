"""An application in this process, and clients that have been let in."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from page_clients import ORIGIN, SECRET, browser, options
from playwright.sync_api import Browser, Page
from served import SET, Served
from starlette.testclient import TestClient

from chattutor.page.server_state import Service
from chattutor.page.tokens import Tokens


@pytest.fixture
def logs(tmp_path: Path) -> Path:
    """Where logs are kept."""
    return tmp_path / "logs"


@pytest.fixture
def equations(tmp_path: Path) -> Path:
    """A teacher's file with two equations."""
    path = tmp_path / "set.txt"
    path.write_text("3x + 2 = 14\n(n + 6)/4 = 5\n", "utf-8")
    return path


@pytest.fixture
def service(logs: Path, equations: Path) -> Service:
    """A server's parts, for lessons on that file."""
    return Service(options(equations=equations), logs, Tokens(SECRET))


@pytest.fixture
def client(service: Service) -> TestClient:
    """A browser that has not been let in."""
    return browser(service)


@pytest.fixture
def let_in(service: Service) -> Callable[..., TestClient]:
    """Browsers in which a learner has begun."""

    def give(code: str = "heron-03", of: Service = service) -> TestClient:
        found = browser(of)
        found.get(f"/?key={of.keys['here']}")
        found.post("/who", data={"code": code}, headers=ORIGIN)
        return found

    return give


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    """A server with a set of two equations."""
    path = tmp_path / "set.txt"
    path.write_text(SET, "utf-8")
    with Served(tmp_path / "logs", "--equations", path, "--seed", "1") as found:
        yield found


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    """A fresh window, which fails the test where a script fails or the policy is broken."""
    context = chromium.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce", bypass_csp=False)
    found = context.new_page()
    faults: list[str] = []
    found.on("pageerror", lambda error: faults.append(str(error)))
    found.on("console", lambda told: faults.append(told.text) if "Content Security Policy" in told.text else None)
    yield found
    context.close()
    assert faults == []
