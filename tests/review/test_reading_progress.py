"""On a terminal a review of many logs says how far it is."""

import os
import pty
import subprocess
import sys
from pathlib import Path

from processes import ROOT

CODE = """
import sys
from chattutor.commands import review
from chattutor.cli import main
review.SOON_READ = 50
sys.exit(main(["review", sys.argv[1], "--json"]))
"""


def test_progress_is_on_the_terminal_and_gone_at_the_end(tmp_path: Path) -> None:
    foreign = tmp_path / "logs" / "0.jsonl"
    foreign.parent.mkdir()
    foreign.write_bytes(b"not a log\n")
    for number in range(1, 150):
        os.link(foreign, foreign.with_name(f"{number}.jsonl"))
    screen, terminal = pty.openpty()
    with open(screen, "rb", buffering=0) as reading:
        command = [sys.executable, "-c", CODE, str(foreign.parent)]
        done = subprocess.run(command, stdout=subprocess.PIPE, stderr=terminal, cwd=ROOT, check=True, timeout=120)
        os.close(terminal)
        said = reading.read(4000).decode()
    assert done.stdout.startswith(b'{"learners": []')
    assert "Reading session logs: 0 of 150" in said and "\rReading session logs: 100 of 150" in said
    assert said.endswith("\r" + " " * 60 + "\r")
