"""Proves that the audit of ``.ci/run`` fails where there is an advisory, and only there: ``planted_advisory.py FILE``.

FILE lists what is installed (``name==version`` a line). A small server on this computer answers as an advisory service
does (the OSV query, https://google.github.io/osv.dev/post-v1-query), first with one invented advisory for one package
of the list, then with none. pip-audit is run on both, and must find the one and pass the other. Exit code 0 if so.
"""

import json
import re
import subprocess
import sys
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar

ADVISORY = "PLANTED-1"


class Service(BaseHTTPRequestHandler):
    """Answers one package's query with the advisory, every other with nothing."""

    vulnerable = ""
    asked: ClassVar[set[str]] = set()

    def do_POST(self) -> None:
        """One query: a package and its version."""
        name = json.loads(self.rfile.read(int(self.headers["Content-Length"])))["package"]["name"]
        self.asked.add(name)
        found = {"id": ADVISORY, "summary": "invented", "affected": [{"package": {"name": name, "ecosystem": "PyPI"}}]}
        body = json.dumps({"vulns": [found]} if name == self.vulnerable else {}).encode()
        self.send_response(200)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_: object) -> None:
        """Nothing is printed of a query."""


def audit(installed: str, port: int) -> tuple[int, str]:
    """What pip-audit, run as in ``.ci/run``, makes of this service: its exit code and all that it prints."""
    words = ["--strict", "--progress-spinner", "off", "--disable-pip", "--no-deps", "-r", installed]
    service = ["-s", "osv", "--osv-url", f"http://127.0.0.1:{port}"]
    command = [sys.executable, "-m", "pip_audit", *words, *service]
    run = subprocess.run(command, capture_output=True, text=True)  # noqa: S603 - words of our own
    return run.returncode, run.stdout + run.stderr


def main(installed: str) -> None:
    """Both runs."""
    lines = Path(installed).read_text("utf-8").splitlines()
    listed = {re.sub(r"[-_.]+", "-", line.partition("==")[0]).lower() for line in lines if "==" in line}
    server = ThreadingHTTPServer(("127.0.0.1", 0), Service)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    for vulnerable, wanted in ((min(listed), 1), ("", 0)):
        Service.vulnerable = vulnerable
        Service.asked.clear()
        code, printed = audit(installed, server.server_port)
        if code != wanted or (ADVISORY in printed) != bool(vulnerable) or Service.asked != listed:
            asked = f"asked about {len(Service.asked)} of {len(listed)} packages"
            sys.exit(f"pip-audit ended with {code}, not {wanted}; {asked}:\n{printed}")
    print(f"pip-audit asks about all {len(listed)} packages, fails for a planted advisory and passes without it")


if __name__ == "__main__":
    main(sys.argv[1])
