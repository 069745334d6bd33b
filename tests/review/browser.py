"""A page in real Chromium: printed, looked at by axe-core, watched for scripts that run and requests made."""

import json
import re
import shutil
import subprocess
from html import unescape
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = next((path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), "")
needs_chromium = pytest.mark.skipif(not CHROMIUM, reason="needs Chromium (Debian: chromium)")
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')
ERRANDS = re.compile(r"https?://([^/]*\.)?(google|googleapis|gstatic|gvt1)\.com/")  # the browser's own
# axe-core (Deque Systems, MPL 2.0), as packaged in axe-core-python, a test requirement only
RUN_AXE = """<script>%s</script><script>
axe.run(document, {resultTypes: ["violations", "passes"]}).then(found => {
  document.title = JSON.stringify({passed: found.passes.length, faults: found.violations.map(
    fault => [fault.impact, fault.id, fault.nodes.map(node => node.html.slice(0, 200))])}); });
</script></body>"""


def run(tmp_path: Path, *words: str) -> str:
    """Chromium to its end, with a profile of its own; what it wrote."""
    command = [CHROMIUM, "--headless=new", "--no-sandbox", "--disable-gpu"]
    command += ["--disable-background-networking", f"--user-data-dir={tmp_path / 'profile'}"]
    return subprocess.run([*command, *words], capture_output=True, text=True, timeout=120, check=True).stdout


def pages(tmp_path: Path, page: Path) -> int:
    """How many sheets of paper it prints on."""
    target = tmp_path / "printed.pdf"
    run(tmp_path, "--no-pdf-header-footer", f"--print-to-pdf={target}", page.as_uri())
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", target.read_bytes()))


def audit(tmp_path: Path, page: Path) -> dict[str, Any]:
    """What axe-core says: how many checks passed, and the faults as [impact, id, elements]."""
    spec = find_spec("axe_core_python")
    assert spec is not None and spec.origin is not None
    axe = (Path(spec.origin).parent / "axe.min.js").read_text("utf-8")
    copy = tmp_path / "audited.html"
    text = POLICY.sub("", page.read_text("utf-8"))
    copy.write_text(text.replace("</body>", RUN_AXE.replace("%s", axe)), "utf-8")
    shown = run(tmp_path, "--virtual-time-budget=20000", "--dump-dom", copy.as_uri())
    title = re.search(r"<title>(.*?)</title>", shown, re.DOTALL)
    assert title is not None
    found: dict[str, Any] = json.loads(unescape(title[1]))
    return found


def requests(tmp_path: Path, page: Path) -> set[str]:
    """Every address that opening the page asked for, but for the browser's own errands."""
    log = tmp_path / "net.json"
    run(tmp_path, f"--log-net-log={log}", "--virtual-time-budget=3000", "--dump-dom", page.as_uri())
    addresses = set(re.findall(r'"url":"([^"]+)"', log.read_text("utf-8", "replace")))
    return {each for each in addresses if not ERRANDS.match(each)}


def ran(tmp_path: Path, page: Path, policy: bool) -> bool:
    """Whether anything ran: payloads put ``ran`` on the root element. Without the policy the escaping stands alone."""
    copy = tmp_path / f"tried-{policy}.html"
    text = page.read_text("utf-8")
    copy.write_text(text if policy else POLICY.sub("", text), "utf-8")
    shown = run(tmp_path, "--virtual-time-budget=3000", "--dump-dom", copy.as_uri())
    assert "</html>" in shown
    return re.search(r"<html[^>]*\bdata-ran\b", shown) is not None
