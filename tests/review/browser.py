"""A page in real Chromium: printed, looked at by axe-core, watched for scripts that run and requests made.

One browser serves a file of tests (``chromium`` in tests/conftest.py), each look a window of its own. Only what the
command line alone can do starts another.
"""

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

CHROMIUM = next((path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), "")
needs_chromium = pytest.mark.skipif(not CHROMIUM, reason="needs Chromium (Debian: chromium)")
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')
ERRANDS = re.compile(r"https?://([^/]*\.)?(google|googleapis|gstatic|gvt1)\.com/")  # the browser's own


def run(tmp_path: Path, *words: str) -> str:
    """Chromium to its end, with a profile of its own; what it wrote."""
    command = [CHROMIUM, "--headless=new", "--no-sandbox", "--disable-gpu"]
    command += ["--disable-background-networking", f"--user-data-dir={tmp_path / 'profile'}"]
    return subprocess.run([*command, *words], capture_output=True, text=True, timeout=120, check=True).stdout


@contextmanager
def opened(chromium: Browser, page: Path) -> Iterator[Page]:
    """The page in a window of its own."""
    context = chromium.new_context()
    try:
        found = context.new_page()
        found.goto(page.as_uri())
        yield found
    finally:
        context.close()


def pages(chromium: Browser, page: Path) -> int:
    """How many sheets of paper it prints on."""
    with opened(chromium, page) as found:
        printed = found.pdf(prefer_css_page_size=True, margin=dict.fromkeys(("top", "right", "bottom", "left"), "1cm"))
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))


@cache
def _axe_core() -> str:
    """axe-core (Deque Systems, MPL 2.0), as packaged in axe-core-python, a test requirement only."""
    spec = find_spec("axe_core_python")
    assert spec is not None and spec.origin is not None
    return (Path(spec.origin).parent / "axe.min.js").read_text("utf-8")


RUN_AXE = (
    "axe.run(document, {resultTypes: ['violations', 'passes']}).then(found => JSON.stringify({"
    "passed: found.passes.length, faults: found.violations.map(fault => [fault.impact, fault.id, "
    "fault.nodes.map(node => node.html.slice(0, 200))])}))"
)


def axe(page: Page) -> dict[str, Any]:
    """What axe-core says, over the page's own policy: how many checks passed, and the faults as [impact, id, elements].

    It is given to a page once and stays until the page is left.
    """
    session = page.context.new_cdp_session(page)
    if not page.evaluate("'axe' in window"):
        session.send("Runtime.evaluate", {"expression": _axe_core()})
    answer = session.send("Runtime.evaluate", {"expression": RUN_AXE, "awaitPromise": True, "returnByValue": True})
    session.detach()
    found: dict[str, Any] = json.loads(answer["result"]["value"])
    return found


def audit(chromium: Browser, page: Path) -> dict[str, Any]:
    """What axe-core says of a file."""
    with opened(chromium, page) as found:
        return axe(found)


def requests(tmp_path: Path, *pages: Path) -> set[str]:
    """Every address that opening these files side by side asked a network for, but for the browser's own errands: from
    its own log, which also has what no page is told of."""
    log, frames = tmp_path / "net.json", tmp_path / "frames.html"
    frames.write_text("".join(f"<iframe src='{page.as_uri()}'></iframe>" for page in pages), "utf-8")
    run(tmp_path, f"--log-net-log={log}", "--virtual-time-budget=3000", "--dump-dom", frames.as_uri())
    addresses = set(re.findall(r'"url":"([^"]+)"', log.read_text("utf-8", "replace")))
    return {each for each in addresses if not ERRANDS.match(each)} - {each.as_uri() for each in (frames, *pages)}


def ran(chromium: Browser, tmp_path: Path, page: Path, policy: bool) -> bool:
    """Whether anything ran: payloads put ``ran`` on the root element. Without the policy the escaping stands alone."""
    copy = tmp_path / f"tried-{policy}.html"
    text = page.read_text("utf-8")
    copy.write_text(text if policy else POLICY.sub("", text), "utf-8")
    with opened(chromium, copy) as found:
        found.wait_for_timeout(300)  # for what begins a moment after the page is there
        assert found.evaluate("document.readyState") == "complete"
        return bool(found.evaluate("document.documentElement.hasAttribute('data-ran')"))
